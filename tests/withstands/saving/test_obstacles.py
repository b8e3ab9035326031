"""What stands in the way of a save, each really there: the old file stays whole, or the new one is."""

from __future__ import annotations

import errno
import os
import shutil
import stat
import subprocess
import sys
import unicodedata
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from engine.builder import Builder
from engine.files import atomic
from engine.files.atomic import parted, write_bytes, write_together
from engine.files.drawing import FileError, dump, load, save
from engine.installation import Installation

pytestmark = pytest.mark.posix

OLD, NEW = b"old", b"new" * 5000


def boat(pieces: int = 1) -> Installation:
    b = Builder(name="Petrel")
    for n in range(pieces):
        b.add("fuse", f"F{n + 1}", rating_a=5)
    return b.installation


def saved(installation: Installation, path: Path) -> str:
    """Why it is not saved, "" where it is."""
    try:
        save(installation, path)
    except FileError as fault:
        return str(fault)
    return ""


def only(folder: Path, *names: str) -> None:
    """Nothing of ours is left beside what should be there."""
    assert sorted(p.name for p in folder.iterdir()) == sorted(names)


# -- a disk that fills up ---------------------------------------------------------------------------------------------
@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 64 KiB of its own."""
    place = tmp_path / "disk"
    place.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)], capture_output=True, check=False
    )
    if mounted.returncode != 0:
        pytest.skip("no file system can be mounted here")
    yield place
    subprocess.run(["umount", str(place)], check=True)


@pytest.mark.root
def test_a_full_disk_at_every_size_leaves_the_old_drawing(small_disk: Path) -> None:
    path = small_disk / "petrel.linewright"
    save(boat(), path)
    before = path.read_bytes()
    larger = boat(270)
    assert 20_000 < len(dump(larger)) < 30_000
    refused = written = 0
    for filled in range(0, 64 << 10, 4 << 10):
        path.write_bytes(before)
        filler = small_disk / "filler"
        with filler.open("wb") as out:
            try:
                out.write(b"x" * filled)
                out.flush()
            except OSError as fault:
                if fault.errno != errno.ENOSPC:
                    raise
        told = saved(larger, path)
        if told:
            refused += 1
        else:
            written += 1
        assert told in ("", f"{path}: it cannot be saved: the disk is full")
        assert path.read_bytes() == (before if told else dump(larger))
        only(small_disk, "filler", path.name)
        filler.unlink()
    assert refused >= 5
    assert written >= 3
    save(larger, path)  # there is room again
    assert load(path).installation.snapshot().equipment.keys() == larger.snapshot().equipment.keys()


@pytest.mark.root
def test_on_a_full_disk_a_drawing_is_held_all_the_same(small_disk: Path) -> None:
    from engine.files.lock import Held, Lock, take

    path = small_disk / "petrel.linewright"
    save(boat(), path)
    (small_disk / "filler").write_bytes(b"x" * 4096 * (shutil.disk_usage(small_disk).free // 4096))
    with pytest.raises(OSError, match="No space left"):
        (small_disk / "probe").write_bytes(b"x")
    (small_disk / "probe").unlink()
    lock = take(path)
    assert isinstance(lock, Lock)
    assert lock.advisory
    assert lock.file.stat().st_size == 0  # the obstacle is real
    assert isinstance(take(path), Held)
    lock.release()
    only(small_disk, "filler", path.name)


@pytest.mark.root
def test_a_set_of_files_that_does_not_fit_changes_none(small_disk: Path) -> None:
    names = [f"plan-{n:02}.svg" for n in range(1, 9)]
    for name in names:
        (small_disk / name).write_bytes(OLD)
    with pytest.raises(OSError, match="No space left") as caught:
        write_together((small_disk / name, b"x" * 9000) for name in names)
    assert caught.value.filename in {str(small_disk / name) for name in names}
    assert {(small_disk / name).read_bytes() for name in names} == {OLD}
    only(small_disk, *names)
    write_together((small_disk / name, NEW[:2000]) for name in names)
    assert {(small_disk / name).read_bytes() for name in names} == {NEW[:2000]}


@pytest.mark.root
def test_a_pack_that_does_not_fit_changes_nothing(small_disk: Path) -> None:
    from app.handover.placing import MANIFEST, place_for

    def made(name: str, data: bytes) -> None:
        with place_for(small_disk / name) as place:
            place.put("a.pdf", data)
            place.put("b/c.csv", data)
            place.put(MANIFEST, b'{"made_by": "linewright", "files": [{"name": "a.pdf"}, {"name": "b/c.csv"}]}')
            place.finish()

    for name in ("pack", "pack.zip"):
        made(name, OLD)
        top = sorted(p.name for p in small_disk.iterdir())
        before = {p: p.read_bytes() for p in small_disk.rglob("*") if p.is_file()}
        with pytest.raises(OSError, match="No space left"):
            made(name, os.urandom(40_000))
        assert {p: p.read_bytes() for p in small_disk.rglob("*") if p.is_file()} == before
        only(small_disk, *top)


# -- a call that fails ------------------------------------------------------------------------------------------------
class Failing:
    """The `os` module, in which the n-th call of those that touch the disk fails."""

    TOUCHING = ("open", "fsync", "chmod", "replace")

    def __init__(self, at: int, code: int) -> None:
        self.at, self.code, self.count = at, code, 0

    def __getattr__(self, name: str) -> object:
        found = getattr(os, name)
        if name not in self.TOUCHING:
            return found

        def call(*arguments: object, **named: object) -> object:
            self.count += 1
            if self.count == self.at:
                raise OSError(self.code, os.strerror(self.code), "a name of ours")
            return found(*arguments, **named)

        return call


@pytest.mark.parametrize("code", [errno.EIO, errno.EDQUOT, errno.ENOSPC, errno.EROFS, errno.EINTR])
def test_whichever_call_fails_the_old_or_the_new_file_is_whole(
    code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "petrel.linewright"
    at = 0
    outcomes = []
    while True:
        at += 1
        target.write_bytes(OLD)
        failing = Failing(at, code)
        monkeypatch.setattr(atomic, "os", failing)
        try:
            write_bytes(target, NEW)
            outcomes.append("written")
        except OSError as fault:
            outcomes.append(f"refused: {fault.filename}")
        assert target.read_bytes() == (NEW if outcomes[-1] == "written" else OLD)
        only(tmp_path, target.name)
        if failing.count < at:
            break
    # made, synced, mode, renamed; then the folder, which some file systems refuse to sync: the file is whole
    assert outcomes == [f"refused: {target}"] * 4 + ["written"] * 3


@pytest.mark.parametrize("fault", [KeyboardInterrupt, MemoryError])
def test_given_up_in_its_midst_nothing_is_left(
    fault: type[BaseException], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "plan.pdf"
    target.write_bytes(OLD)

    def stop(_handle: int) -> None:
        raise fault

    monkeypatch.setattr(atomic.os, "fsync", stop)
    with pytest.raises(fault):
        write_bytes(target, NEW)
    monkeypatch.undo()
    assert target.read_bytes() == OLD
    only(tmp_path, target.name)


# -- names ------------------------------------------------------------------------------------------------------------
NAMES = {
    "255 bytes": "x" * 244 + ".linewright",
    "255 bytes of letters of three": "帆" * 81 + "x.linewright",
    "composed": unicodedata.normalize("NFC", "Möwe.linewright"),
    "decomposed": unicodedata.normalize("NFD", "Möwe.linewright"),
    "emoji": "⛵🐧.linewright",
    "right to left": "סירה \u202ea.linewright",
    "a new line": "two\nlines.linewright",
    "a lone byte": os.fsdecode(b"petrel-\xff.linewright"),
    "a point last": "petrel.linewright.",
    "a blank last": "petrel.linewright ",
    "a minus first": "-o.linewright",
}


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_a_name_of_any_kind_is_written_to_and_read_again(name: str, tmp_path: Path) -> None:
    try:
        (tmp_path / name).touch()
    except OSError:
        pytest.skip("no such name can be on this file system")
    for n in (2, 3):
        save(boat(n), tmp_path / name)
        assert len(load(tmp_path / name).installation.snapshot().equipment) == n
        only(tmp_path, name)


def test_two_names_that_look_alike_are_two_files(tmp_path: Path) -> None:
    composed, decomposed = tmp_path / NAMES["composed"], tmp_path / NAMES["decomposed"]
    composed.touch()
    if decomposed.exists():
        pytest.skip("they are one on this file system")
    save(boat(2), composed)
    save(boat(3), decomposed)
    assert len(load(composed).installation.snapshot().equipment) == 2


def test_a_name_one_byte_too_long_is_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / ("x" * 256)
    with pytest.raises(FileError, match="it cannot be saved: its name is too long"):
        save(boat(), path)
    assert list(tmp_path.iterdir()) == []


# -- what is there is no plain file -----------------------------------------------------------------------------------
def test_another_name_of_the_file_keeps_what_was_there_and_that_is_told(tmp_path: Path, open_folder: Path) -> None:
    path, other = tmp_path / "petrel.linewright", tmp_path / "backup.linewright"
    save(boat(1), path)
    parted()
    os.link(path, other)
    assert path.stat().st_nlink == 2
    before = other.read_bytes()
    save(boat(2), path)
    (told,) = parted()
    assert told.startswith(f"{path} had another name on this disk")
    assert other.read_bytes() == before
    assert len(load(path).installation.snapshot().equipment) == 2
    save(boat(3), path)
    assert parted() == ()


def test_the_command_line_tells_of_the_other_name(open_folder: Path, command_line: Callable) -> None:
    path, other = open_folder / "petrel.csv", open_folder / "other.csv"
    sample = Path(__file__).parents[3] / "samples" / "launch" / "launch.linewright"
    path.write_bytes(OLD)
    os.link(path, other)
    said = command_line(["parts", str(sample), "-o", str(path)])
    assert said.code in (0, 1)
    assert f"linewright: {path} had another name on this disk (a hard link), which keeps" in said.told
    assert other.read_bytes() == OLD
    assert path.read_bytes() != OLD
    assert "another name" not in command_line(["parts", str(sample), "-o", str(path)]).told


@pytest.mark.parametrize("steps", [1, 3])
def test_links_stay_links_whatever_they_lead_to(steps: int, tmp_path: Path) -> None:
    real = tmp_path / "elsewhere" / "petrel.linewright"
    real.parent.mkdir()
    name = real
    for n in range(steps):
        link = tmp_path / f"link-{n}"
        link.symlink_to(name)
        name = link
    for n in (1, 2):  # it leads nowhere, then to a file
        assert real.exists() == (n == 2)
        save(boat(n), name)
        assert name.is_symlink()
        assert len(load(real).installation.snapshot().equipment) == n
        only(real.parent, real.name)
    real.unlink()
    real.parent.rmdir()
    with pytest.raises(FileError, match="it cannot be saved: there is no such file or folder"):
        save(boat(), name)


def test_a_folder_replaced_by_a_file_is_one_sentence(tmp_path: Path) -> None:
    room = tmp_path / "room"
    room.mkdir()
    path = room / "petrel.linewright"
    save(boat(), path)
    shutil.rmtree(room)
    room.write_bytes(b"somebody's notes")
    with pytest.raises(FileError, match="it cannot be saved: a part of the path is no folder"):
        save(boat(), path)
    assert room.read_bytes() == b"somebody's notes"
    only(tmp_path, "room")


def test_a_pipe_is_written_to_and_one_that_nobody_reads_is_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(FileError, match="it cannot be saved: nobody reads from it"):
        save(boat(), pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    try:
        save(boat(), pipe)
        assert os.read(reader, 1 << 20) == dump(boat())
    finally:
        os.close(reader)
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    with pytest.raises(FileError):
        load(pipe)


# -- what is kept of the old file -------------------------------------------------------------------------------------
@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o755])
def test_the_mode_is_kept(mode: int, tmp_path: Path) -> None:
    path = tmp_path / "petrel.linewright"
    path.write_bytes(OLD)
    path.chmod(mode)
    write_bytes(path, NEW)
    assert stat.S_IMODE(path.stat().st_mode) == mode


def test_a_new_file_has_the_mode_the_person_gives_to_new_files(tmp_path: Path) -> None:
    mask = os.umask(0o027)
    try:
        write_bytes(tmp_path / "a", NEW)
    finally:
        os.umask(mask)
    assert stat.S_IMODE((tmp_path / "a").stat().st_mode) == 0o640


@pytest.mark.skipif(sys.platform != "linux", reason="extended attributes are asked for as Linux does")
def test_extended_attributes_are_not_carried_over(tmp_path: Path) -> None:
    path = tmp_path / "petrel.linewright"
    path.write_bytes(OLD)
    try:
        os.setxattr(path, "user.note", b"seen")
    except OSError:
        pytest.skip("no extended attributes on this file system")
    write_bytes(path, NEW)
    assert os.listxattr(path) == []  # as `engine.files.atomic` says; were they kept, this and that are to be changed
