"""The one way a file is written: whole, or not at all.

Every output of the program (drawing file, PDF, XLSX, CSV, JSON) goes through `write_bytes`.
"""

from __future__ import annotations

import contextlib
import os
import stat
from collections.abc import Callable
from pathlib import Path

from engine.files.leftovers import fresh_name, sweep

__all__ = ["settle", "write_bytes"]


def write_bytes(path: Path | str, data: bytes, last: Callable[[], None] | None = None) -> None:
    """Replace the file at `path` by `data`; when anything fails, what was there stays whole.

    `last` is asked when all is written and before it takes the place of what is there: what it raises keeps that.

    A symbolic link is followed, the mode of an existing file is kept, and a target that is no regular file (a pipe,
    a terminal) is written to directly. Raises `OSError` that names `path`, never the temporary file.
    """
    target = Path(os.path.realpath(path))
    try:
        _write(target, data, last)
    except OSError as fault:
        if fault.errno is None:
            raise
        raise OSError(fault.errno, os.strerror(fault.errno), str(path)) from None


def _write(target: Path, data: bytes, last: Callable[[], None] | None) -> None:
    try:
        old_mode: int | None = target.stat().st_mode
    except FileNotFoundError:
        old_mode = None
    if old_mode is not None:
        # opening says whether we may write here: `os.replace` would put aside a file that is write-protected
        with target.open("r+b" if stat.S_ISREG(old_mode) else "wb") as direct:
            if not stat.S_ISREG(old_mode):
                direct.write(data)
                return
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
        if last is not None:
            last()
        os.replace(temporary, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise
    settle(target.parent)


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
