"""Temporary files of killed programs: the next that writes there removes them, and nothing else."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from engine.files import leftovers
from engine.files.atomic import write_bytes
from engine.files.leftovers import beginning, fresh_name, sweep


def dead() -> int:
    """The number of a process that was."""
    with subprocess.Popen([sys.executable, "-c", ""]) as child:
        child.wait()
    return child.pid


@pytest.fixture
def old() -> str:
    """How the temporary names of a dead process of this computer begin."""
    return beginning().replace(f"-{os.getpid()}-", f"-{dead()}-")


@pytest.mark.posix
def test_what_a_dead_process_left_goes_with_the_next_save(tmp_path: Path, old: str) -> None:
    (tmp_path / f"{old}0123abcd.part").write_bytes(b"half")
    (tmp_path / f"{old}pack_x.part").mkdir()
    (tmp_path / f"{old}pack_x.part" / "sheets.pdf").write_bytes(b"half")
    write_bytes(tmp_path / "knot.linewright", b"whole")
    assert [path.name for path in tmp_path.iterdir()] == ["knot.linewright"]


@pytest.mark.posix
def test_what_is_or_may_be_in_use_stays(tmp_path: Path, old: str) -> None:
    stay = [
        fresh_name(),  # ours
        beginning().replace(f"-{os.getpid()}-", f"-{os.getppid()}-") + "0123abcd.part",  # of one that lives
        f".linewright-{dead()}-00000000-0123abcd.part",  # of another computer
        f"{old}0123abcd.part.txt",
        f"{old}0123 abcd.part",
        f"x{old}0123abcd.part",
        ".linewright-99999999999-0123abcd.part",
    ]
    for name in stay:
        (tmp_path / name).write_bytes(b"")
    victim = tmp_path / "victim"
    victim.write_bytes(b"precious")
    (tmp_path / f"{old}link.part").symlink_to(victim)
    sweep(tmp_path)
    assert victim.read_bytes() == b"precious"
    assert {path.name for path in tmp_path.iterdir()} == {*stay, "victim", f"{old}link.part"}


def test_a_folder_is_looked_through_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sweep(tmp_path)
    monkeypatch.setattr(leftovers.os, "scandir", None)  # would be a fault
    sweep(tmp_path)
    sweep(Path(str(tmp_path)))


def test_a_folder_that_cannot_be_looked_through_is_no_fault(tmp_path: Path) -> None:
    sweep(tmp_path / "none")


def test_the_name_does_not_grow_with_what_is_written() -> None:
    assert len(fresh_name()) <= 45
    assert fresh_name() != fresh_name()
