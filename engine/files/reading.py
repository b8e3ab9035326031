"""The one way a file is read: whole, never larger than a bound, and refused in one clear sentence."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from engine.files.errors import FileError, reason
from engine.words import _

__all__ = ["LARGEST", "read_whole"]

LARGEST = 64 * 2**20  # bytes; a drawing of 5000 pieces takes some 5 MB


def read_whole(path: Path | str, largest: int = LARGEST) -> bytes:
    """The bytes of a regular file. Raises `FileError`."""
    name = str(path)
    if "\0" in name:
        raise FileError(name.replace("\0", "�"), _("there is no such file or folder"))
    try:
        # without waiting: opening a pipe nobody writes to would hang
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0))
        with open(handle, "rb") as file:
            status = os.fstat(file.fileno())
            if stat.S_ISDIR(status.st_mode):
                raise FileError(name, _("it is a folder, not a file"))
            if not stat.S_ISREG(status.st_mode):
                raise FileError(name, _("it is no regular file"))
            data = file.read(largest + 1)
    except OSError as fault:
        raise FileError(name, reason(fault)) from None
    except ValueError as fault:
        if isinstance(fault, FileError):
            raise
        raise FileError(name, _("there is no such file or folder")) from None
    if len(data) > largest:
        raise FileError(
            name,
            _("it is larger than {limit} MB, the most that is read").format(limit=largest // 2**20),
        )
    return data
