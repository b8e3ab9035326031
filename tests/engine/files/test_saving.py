"""Saving where the system stands in the way: the old file stays whole, nothing is left beside it, one clear sentence.

Each test first asserts that the obstacle is real. A person is not root, so where the tests are, a child process gives
its rights up before it saves.
"""

from __future__ import annotations

import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from engine.builder import Builder
from engine.files.drawing import FileError, dump, load, save
from engine.installation import Installation

AsAPerson = Callable[[Callable[[], str]], str]

pytestmark = pytest.mark.posix


def boat() -> Installation:
    b = Builder(name="Petrel")
    b.add("fuse", "F1", rating_a=5)
    return b.installation


def test_an_unwritable_folder(folder: Path, as_a_person: AsAPerson) -> None:
    path = folder / "petrel.linewright"
    path.write_bytes(b"old")
    path.chmod(0o666)  # the file itself could be written to
    folder.chmod(0o555)

    def work() -> str:
        try:
            (folder / "probe").touch()
        except PermissionError:
            save(boat(), path)
        return "the folder can be written to"

    said = as_a_person(work)
    assert said == f"FileError {path}: it cannot be saved: not allowed by the system"
    assert path.read_bytes() == b"old"
    assert [p.name for p in folder.iterdir()] == [path.name]


def test_a_file_marked_read_only(folder: Path, as_a_person: AsAPerson) -> None:
    folder.chmod(0o777)  # replacing it would be possible
    path = folder / "petrel.linewright"
    path.write_bytes(b"old")
    path.chmod(0o444)

    def work() -> str:
        try:
            path.open("r+b").close()
        except PermissionError:
            save(boat(), path)
        return "the file can be written to"

    assert as_a_person(work) == f"FileError {path}: it cannot be saved: not allowed by the system"
    assert path.read_bytes() == b"old"
    assert [p.name for p in folder.iterdir()] == [path.name]


def test_an_unreadable_file(folder: Path, as_a_person: AsAPerson) -> None:
    path = folder / "petrel.linewright"
    save(boat(), path)
    path.chmod(0o000)

    def work() -> str:
        try:
            path.open("rb").close()
        except PermissionError:
            load(path)
        return "the file can be read"

    assert as_a_person(work) == f"FileError {path}: not allowed by the system"


def test_a_disk_that_fills_up(folder: Path, as_a_person: AsAPerson) -> None:
    import resource
    import signal

    folder.chmod(0o777)
    path = folder / "petrel.linewright"
    path.write_bytes(b"old")
    path.chmod(0o666)
    assert len(dump(boat())) > 100

    def work() -> str:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))
        save(boat(), path)
        return "there was room"

    said = as_a_person(work)
    assert said.startswith(f"FileError {path}: it cannot be saved: ")
    assert path.read_bytes() == b"old"
    assert [p.name for p in folder.iterdir()] == [path.name]


def test_a_link_stays_a_link_and_the_mode_is_kept(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    real = tmp_path / "real" / "petrel.linewright"
    real.write_bytes(b"old")
    real.chmod(0o640)
    link = tmp_path / "petrel.linewright"
    link.symlink_to(real)
    save(boat(), link)
    assert link.is_symlink()
    assert load(link).installation.vessel.name == "Petrel"
    assert stat.S_IMODE(real.stat().st_mode) == 0o640
    assert [p.name for p in real.parent.iterdir()] == [real.name]


def test_a_link_that_leads_nowhere_makes_its_target(tmp_path: Path) -> None:
    link = tmp_path / "petrel.linewright"
    link.symlink_to(tmp_path / "new.linewright")
    assert not link.exists()
    save(boat(), link)
    assert link.is_symlink()
    assert (tmp_path / "new.linewright").is_file()


def test_a_link_in_a_ring_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    with pytest.raises(FileError, match="it cannot be saved"):
        save(boat(), tmp_path / "a")
    assert (tmp_path / "a").is_symlink()
    with pytest.raises(FileError):
        load(tmp_path / "a")


def test_a_target_that_is_a_folder(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="it cannot be saved: it is a folder, not a file"):
        save(boat(), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    path = tmp_path / "none" / "petrel.linewright"
    with pytest.raises(FileError, match="it cannot be saved: there is no such file or folder"):
        save(boat(), path)


def test_a_name_that_is_too_long(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="it cannot be saved: "):
        save(boat(), tmp_path / ("x" * 300))
    with pytest.raises(FileError):
        save(boat(), tmp_path / "a\0b")
