"""Locks that the system holds for an open file: gone with the process, however it ended."""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path

__all__ = ["has_name", "try_lock"]

_BUSY = (errno.EACCES, errno.EAGAIN, errno.EWOULDBLOCK, errno.EDEADLK)


if sys.platform == "win32":
    import msvcrt

    # such a lock keeps others from reading what it covers: so it covers one byte far behind everything that is written
    _FAR = 0x7FFF0000

    def try_lock(handle: int) -> bool:
        """Lock an open file for ourselves until it is closed; `False` where another has it. Never waits.

        Raises `OSError` where the file system has no locks.
        """
        here = os.lseek(handle, 0, os.SEEK_CUR)
        try:
            os.lseek(handle, _FAR, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError as fault:
            if fault.errno in (*_BUSY, errno.EDEADLOCK):
                return False
            raise
        finally:
            os.lseek(handle, here, os.SEEK_SET)
        return True

else:
    import fcntl

    def try_lock(handle: int) -> bool:
        """Lock an open file for ourselves until it is closed; `False` where another has it. Never waits.

        Raises `OSError` where the file system has no locks.
        """
        # flock, not lockf: it belongs to this opening of the file, so a second opening in this process is refused too,
        # and closing that second one does not give the first away
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as fault:
            if fault.errno in _BUSY:
                return False
            raise
        return True


def has_name(handle: int, file: Path) -> bool:
    """Whether an open file still is the one of that name: who locks a file asks afterwards, for its owner may have
    removed it between the opening and the locking. On Windows an open file cannot lose its name."""
    if sys.platform == "win32":
        return True
    try:
        return os.path.samestat(os.fstat(handle), os.lstat(file))
    except OSError:
        return False
