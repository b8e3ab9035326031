"""Whenever the power fails while a file is saved, the old or the new one is there, whole; once saved, the new one.

The order of calls is recorded from the real writer; what a disk may then hold is the model's (`disk.py`), which is
itself shown to find each order that would be wrong.
"""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from engine.files import atomic
from engine.files.drawing import load, save
from engine.installation import Installation

pytestmark = pytest.mark.posix

OLD, NEW = b"the old drawing, all of it", b"the new drawing, all of it and more"


def _disk() -> ModuleType:
    path = Path(__file__).with_name("disk.py")
    spec = importlib.util.spec_from_file_location("disk_that_forgets", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


disk = _disk()


def recorded(work: Callable[[], object], patch: pytest.MonkeyPatch) -> list[Any]:
    """The calls that `work` makes through the writer."""
    recorder = disk.Recorder()
    patch.setattr(atomic, "os", recorder)
    patch.setattr(atomic, "open", recorder.opened, raising=False)
    work()
    patch.undo()
    assert {"make", "write", "sync", "replace", "settle"} <= {call.what for call in recorder.calls}
    return list(recorder.calls)


def wrong(calls: list[Any], files: dict[str, bytes], name: str, old: bytes | None, new: bytes) -> list[str]:
    """Where a power cut leaves neither the old nor the new file; where it leaves the old one after all is done."""
    found = []
    for count, content in disk.every_cut(calls, files, name):
        if content not in (old, new):
            found.append(f"after {count} calls: {content!r}")
        elif count == len(calls) and content != new:
            found.append(f"saved, and gone again: {content!r}")
    return found


@pytest.mark.parametrize("old", [None, OLD, b""], ids=["nothing", "old", "empty"])
def test_at_every_moment_the_old_or_the_new_file_is_whole(
    old: bytes | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "boat.linewright"
    if old is not None:
        target.write_bytes(old)
    before = disk.files_in(tmp_path)
    calls = recorded(lambda: atomic.write_bytes(target, NEW), monkeypatch)
    assert target.read_bytes() == NEW
    assert wrong(calls, before, str(target), old, NEW) == []


def test_a_drawing_is_saved_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "boat.linewright"
    save(Installation(), target)
    before = disk.files_in(tmp_path)
    opened = load(target)
    opened.installation.last_id = 7
    calls = recorded(lambda: save(opened.installation, target), monkeypatch)
    assert wrong(calls, before, str(target), before[str(target)], target.read_bytes()) == []


def _without(what: str) -> Callable[[list[Any]], list[Any]]:
    return lambda calls: [call for call in calls if call.what != what]


def _early(what: str, before: str) -> Callable[[list[Any]], list[Any]]:
    def moved(calls: list[Any]) -> list[Any]:
        rest = [call for call in calls if call.what != what]
        at = next(n for n, call in enumerate(rest) if call.what == before)
        return [*rest[:at], next(call for call in calls if call.what == what), *rest[at:]]

    return moved


def _in_place(calls: list[Any]) -> list[Any]:
    """Written over the old file itself, as a careless program does."""
    target = next(call.other for call in calls if call.what == "replace")
    written = [call._replace(path=target) for call in calls if call.what in ("make", "write", "sync")]
    return [*written, *(call for call in calls if call.what == "settle")]


def _renamed(calls: list[Any]) -> list[Any]:
    """What is done to the temporary file after it was renamed is done to the new name."""
    at = next((n for n, call in enumerate(calls) if call.what == "replace"), len(calls))
    return [
        call._replace(path=calls[at].other) if n > at and call.path == calls[at].path else call
        for n, call in enumerate(calls)
    ]


@pytest.mark.parametrize(
    ("mutant", "told"),
    [
        (_without("sync"), "after"),
        (_without("settle"), "saved, and gone again"),
        (_early("sync", "write"), "after"),
        (_early("settle", "replace"), "saved, and gone again"),
        (_early("replace", "sync"), "after"),
        (_early("replace", "write"), "after"),
        (_in_place, "after"),
    ],
    ids=[
        "no sync",
        "no settling",
        "early sync",
        "early settling",
        "replaced unsynced",
        "replaced unwritten",
        "in place",
    ],
)
def test_the_model_finds_every_wrong_order(
    mutant: Callable[[list[Any]], list[Any]], told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "boat.linewright"
    target.write_bytes(OLD)
    before = disk.files_in(tmp_path)
    calls = recorded(lambda: atomic.write_bytes(target, NEW), monkeypatch)
    changed = _renamed(mutant(calls))
    found = wrong(changed, before, str(target), OLD, NEW)
    assert any(each.startswith(told) for each in found), found
