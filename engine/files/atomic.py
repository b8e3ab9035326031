"""The one way a file is written: whole, or not at all.

Every output of the program (drawing file, PDF, XLSX, CSV, JSON) goes through `write_bytes`, what is several files
through `write_together`. Mode and place are kept. The file is a new one to the system: its owner is who writes,
extended attributes and access lists are not carried over, other hard links keep what was there before (`parted`).
"""

from __future__ import annotations

import contextlib
import errno
import os
import stat
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from engine.files.leftovers import fresh_name, sweep
from engine.words import _

__all__ = ["note_links", "parted", "settle", "write_bytes", "write_together"]

_parted: list[str] = []


class _Ready(NamedTuple):
    """A file on the disk that has only to be renamed; `temporary` is `None` where that cannot be done: written at once.

    `asked`: what the caller calls it.
    """

    asked: str
    target: Path
    temporary: Path | None
    data: bytes = b""


def write_bytes(path: Path | str, data: bytes, last: Callable[[], None] | None = None) -> None:
    """Replace the file at `path` by `data`; when anything fails, what was there stays whole.

    `last` is asked when all is written and before it takes the place of what is there: what it raises keeps that.

    A symbolic link is followed, the mode of an existing file is kept, and a target that is no regular file (a pipe,
    a terminal) is written to directly. Raises `OSError` that names `path`, never the temporary file.
    """
    write_together([(path, data)], last)


def write_together(files: Iterable[tuple[Path | str, bytes]], last: Callable[[], None] | None = None) -> None:
    """As `write_bytes`, several files: none takes its place before all are on the disk, so a full one changes none."""
    waiting: list[_Ready] = []
    folders: dict[Path, None] = {}
    try:
        for path, data in files:
            with _named(path):
                waiting.append(_ready(path, data))
        if last is not None:
            last()
        while waiting:
            each = waiting[0]
            with _named(each.asked):
                if each.temporary is None:
                    _straight(each.target, each.data)
                else:
                    note_links(each.target, each.asked)
                    os.replace(each.temporary, each.target)
                    folders[each.target.parent] = None
            waiting.pop(0)
    except BaseException:
        for each in waiting:
            if each.temporary is not None:
                with contextlib.suppress(OSError):
                    os.unlink(each.temporary)
        raise
    finally:
        for folder in folders:
            settle(folder)


@contextlib.contextmanager
def _named(path: Path | str) -> Iterator[None]:
    """What the system says is of `path`, which the person knows, not of a temporary file."""
    try:
        yield
    except OSError as fault:
        if fault.errno is None:
            raise
        raise OSError(fault.errno, os.strerror(fault.errno), str(path)) from None


def _ready(path: Path | str, data: bytes) -> _Ready:
    target = Path(os.path.realpath(path))
    try:
        old_mode: int | None = target.stat().st_mode
    except FileNotFoundError:
        old_mode = None
    if old_mode is not None:
        if not stat.S_ISREG(old_mode):
            if stat.S_ISDIR(old_mode):
                raise IsADirectoryError(errno.EISDIR, "")
            return _Ready(str(path), target, None, data)
        # opening says whether we may write here: `os.replace` would put aside a file that is write-protected
        target.open("r+b").close()
    # the same folder, so that the replacing cannot cross file systems; created with the person's own umask
    sweep(target.parent)
    temporary = target.parent / fresh_name()
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    handle = os.open(temporary, flags, 0o666)
    try:
        with open(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        if old_mode is not None:
            os.chmod(temporary, stat.S_IMODE(old_mode))
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise
    return _Ready(str(path), target, temporary)


def _straight(target: Path, data: bytes) -> None:
    """Into a pipe or a terminal. A pipe that nobody reads from is refused, not waited for."""
    handle = os.open(target, os.O_WRONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with open(handle, "wb") as direct:
        if os.name == "posix":
            os.set_blocking(handle, True)
        direct.write(data)


def note_links(target: Path, asked: Path | str) -> None:
    """Remember, for `parted`, a file about to be replaced that has other names (hard links): those keep what it was.

    Not written into instead: a write that stops half way would take the drawing from both. Backups made of hard links
    live by their names keeping what was.
    """
    with contextlib.suppress(OSError):
        if target.stat().st_nlink > 1:
            _parted.append(
                _("{path} had another name on this disk (a hard link), which keeps what was there before").format(
                    path=asked
                )
            )


def parted() -> tuple[str, ...]:
    """Sentences on files that were replaced since this was asked last and whose other names keep what was before."""
    told = tuple(_parted)
    _parted.clear()
    return told


def settle(folder: Path) -> None:
    """Let the folder's entry reach the disk too, where the system can."""
    if os.name != "posix":
        return
    with contextlib.suppress(OSError):  # some file systems refuse; the file itself is safe
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
