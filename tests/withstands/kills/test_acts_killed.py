"""Killed at every single call of the system while an act writes several files: each is whole, old or new, and the act
done again ends as if nothing had been.
"""

from __future__ import annotations

import hashlib
import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from app.photographs import store_of
from engine.builder import Builder
from engine.files.drawing import load, save
from engine.files.issues import history
from engine.files.recovery import left_behind

pytestmark = pytest.mark.posix

ACTS = Path(__file__).with_name("acts.py")
long = pytest.mark.long
BEFORE, AFTER, AMID = "before", "after", "amid"


@pytest.fixture(scope="module")
def nursery(nursery_of: Callable[..., Any]) -> Iterator[Any]:
    with nursery_of(ACTS) as made:
        yield made


def files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def boat(folder: Path) -> Path:
    b = Builder(name="Godwit")
    b.add("fuse", "F1", rating_a=5)
    folder.mkdir()
    save(b.installation, folder / "godwit.linewright")
    b.installation.last_id += 1
    save(b.installation, folder / "out.linewright")
    return folder / "godwit.linewright"


def run(nursery: Any, path: Path, die_at: int, how: str) -> list[Any]:
    """`issue` onto a file that is there; what it told, [] where it was killed."""
    arguments = [
        "issue", str(path), "--by", "A. Dunnock", "--date", "2026-11-29", "-o", str(path.with_name("out.linewright")),
        "--replace",
    ]  # fmt: skip
    child = nursery.child("command", {"arguments": arguments, "die_at": die_at, "die_how": how})
    told: list[Any] = child.line.hear()
    assert child.ended() == (0 if told else -signal.SIGKILL)
    return told


@pytest.mark.parametrize("how", [BEFORE, pytest.param(AFTER, marks=long)])
def test_an_issue_is_killed_at_every_call(
    how: str, nursery: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("XDG_DATA_HOME", "LOCALAPPDATA", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "data"))
    whole = boat(tmp_path / "whole")
    before = files(whole.parent)
    assert run(nursery, whole, 0, "") == [0, ""]
    wanted = files(whole.parent)
    (copy,) = set(wanted) - set(before)
    killed = 0
    for die_at in range(1, 400):
        path = boat(tmp_path / f"{die_at}")
        told = run(nursery, path, die_at, how)
        if told:
            assert told == [0, ""]
            break
        killed += 1
        left = files(path.parent)
        assert left["godwit.linewright"] == before["godwit.linewright"]
        assert left["out.linewright"] in (before["out.linewright"], wanted["out.linewright"])
        assert left.get(copy, wanted[copy]) == wanted[copy]
        if left["out.linewright"] == wanted["out.linewright"]:  # issued, then its copy is there
            issued = load(path.with_name("out.linewright")).installation.snapshot()
            assert [each.state for each in history(issued, path.parent)] == ["there"]
        assert len(set(left) - set(wanted)) <= 2  # a lock, and the temporary of the write that was killed
        assert run(nursery, path, 0, "") == [0, ""]
        assert files(path.parent) == wanted
    assert killed > 10


@pytest.mark.parametrize("how", [AMID, pytest.param(BEFORE, marks=long), pytest.param(AFTER, marks=long)])
def test_photographs_are_killed_at_every_call(how: str, nursery: Any, tmp_path: Path) -> None:
    """What is recorded is there; a picture that is there and not recorded is told as such, and is whole."""
    killed = 0
    for die_at in range(1, 400):
        path = boat(tmp_path / f"{die_at}")
        recovery = path.parent / "recovery"
        child = nursery.child(
            "photographs", {"file": str(path), "folder": str(recovery), "die_at": die_at, "die_how": how}
        )
        told = child.line.rest()
        code = child.ended()
        found = left_behind(recovery)
        records = dict(found[0].recover().installation.snapshot().photographs) if found else {}
        for left in found:
            left.close()
        assert len(records) - len(told) in (0, 1)
        store = store_of(path)
        assert {store.state(record) for record in records.values()} <= {"there"}
        for kept in store.files():
            if not kept.name.startswith("."):
                assert hashlib.sha256(kept.read_bytes()).hexdigest() == kept.stem
        assert len(store.files()) - len(records) <= 1
        if code == 0:
            assert len(records) == len(told) == 4
            break
        assert code == -signal.SIGKILL
        killed += 1
    assert killed > 10
