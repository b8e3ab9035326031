"""A file is replaced whole or stays as it was."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from engine.files import atomic
from engine.files.atomic import write_bytes


def test_writes_a_new_file_and_leaves_nothing_beside_it(tmp_path: Path) -> None:
    write_bytes(tmp_path / "a.pdf", b"one")
    assert (tmp_path / "a.pdf").read_bytes() == b"one"
    assert [p.name for p in tmp_path.iterdir()] == ["a.pdf"]


def test_the_old_file_survives_a_failure(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "a.pdf"
    target.write_bytes(b"old")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(atomic.os, "fsync", full)
    with pytest.raises(OSError, match="No space left") as caught:
        write_bytes(target, b"new")
    assert caught.value.filename == str(target)
    assert target.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["a.pdf"]


def test_a_folder_that_does_not_exist_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError) as caught:
        write_bytes(tmp_path / "no" / "a.pdf", b"x")
    assert caught.value.filename == str(tmp_path / "no" / "a.pdf")


def test_a_folder_is_not_a_file(tmp_path: Path) -> None:
    with pytest.raises(IsADirectoryError):
        write_bytes(tmp_path, b"x")


@pytest.mark.posix
def test_mode_and_link_are_kept(tmp_path: Path) -> None:
    real = tmp_path / "real.pdf"
    real.write_bytes(b"old")
    real.chmod(0o640)
    link = tmp_path / "link.pdf"
    link.symlink_to(real)
    write_bytes(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


@pytest.mark.posix
def test_a_device_is_written_to_and_not_replaced() -> None:
    write_bytes("/dev/null", b"x")
    assert stat.S_ISCHR(os.stat("/dev/null").st_mode)
