"""Locks that the system holds for an open file: gone with the process, however it ended."""

from __future__ import annotations

import errno
import os
import sys

__all__ = ["try_lock"]

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
