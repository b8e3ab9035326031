"""Temporary files beside what is being written: what they are called, and what a program that was killed left of them.

Their name tells which process of which computer writes there. The next program that writes into the folder removes
those whose process is no more, so that killed ones never add up.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import secrets
import shutil
import socket
import stat
import sys
import time
from pathlib import Path

__all__ = ["beginning", "fresh_name", "sweep"]

_NAMED = re.compile(r"\.linewright-([0-9]{1,10})-([0-9a-f]{8})-\w{1,16}\.part")
_OLD_S = 24 * 3600.0  # where nothing tells whether a process lives
_swept: set[tuple[int, str]] = set()  # by this process: what it was forked from may have been killed since


def beginning() -> str:
    """How every temporary name of this process begins; the ending is `.part`."""
    return f".linewright-{os.getpid()}-{_host()}-"


def fresh_name() -> str:
    """A name nothing has: 45 characters at most, whatever is written."""
    return f"{beginning()}{secrets.token_hex(4)}.part"


def sweep(folder: Path) -> None:
    """Remove what killed processes have left in a folder: once in the life of a process. Never raises."""
    mark = (os.getpid(), str(folder))
    if mark in _swept:
        return
    _swept.add(mark)
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.startswith(".linewright-"):
                with contextlib.suppress(OSError):
                    _take_away(entry)


def _take_away(entry: os.DirEntry[str]) -> None:
    named = _NAMED.fullmatch(entry.name)
    if named is None or named[2] != _host():  # another computer's: it alone knows
        return
    status = entry.stat(follow_symlinks=False)
    if sys.platform != "win32" and status.st_uid != os.geteuid():
        return
    if _lives(int(named[1]), status.st_mtime):
        return
    if stat.S_ISDIR(status.st_mode):
        shutil.rmtree(entry.path, ignore_errors=True)
    elif stat.S_ISREG(status.st_mode):
        os.unlink(entry.path)


def _lives(pid: int, written: float) -> bool:
    if sys.platform == "win32":  # to ask there is to end it
        return time.time() - written < _OLD_S
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        pass
    return True


def _host() -> str:
    return hashlib.sha256(socket.gethostname().encode("utf-8", "surrogateescape")).hexdigest()[:8]
