"""One append-only file that belongs to this process, and the thread that lets it reach the disk.

What is written has left the program when `write` returns: the program may be killed and it is kept. The thread waits
and syncs, several writes at once where they come fast, so that a power cut costs little too; it computes nothing.
"""

from __future__ import annotations

import contextlib
import errno
import logging
import os
import secrets
import stat
import sys
import threading
from pathlib import Path

from engine.files.atomic import settle
from engine.files.system_lock import try_lock

__all__ = ["PART", "SUFFIX", "Tape", "private_folder"]

SUFFIX = ".journal"
PART = ".part"  # while its beginning is being written

_log = logging.getLogger(__name__)
_sync = getattr(os, "fdatasync", os.fsync)
_NO_SYNC = (errno.EINVAL, errno.ENOSYS, errno.ENOTSUP)  # some file systems have none
_CLOSING_S = 5.0  # how long quitting waits for a disk that does not answer


def private_folder(folder: Path) -> None:
    """Make a folder that only this person can look into. Raises `OSError`."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    if sys.platform == "win32":
        return
    for status in (os.lstat(folder), os.stat(folder)):
        if status.st_uid != os.geteuid():
            raise PermissionError(errno.EPERM, os.strerror(errno.EPERM), str(folder))
    if stat.S_IMODE(status.st_mode) & 0o077:
        os.chmod(folder, 0o700)


class Tape:
    """A new file in `folder`, its whole beginning in it, locked until it is ended. Raises `OSError`."""

    def __init__(self, folder: Path, beginning: bytes, stem: str) -> None:
        private_folder(folder)
        self.path = folder / f"{stem}-{secrets.token_hex(6)}{SUFFIX}"
        # under another name until it is whole: then what is cut short there never held an edit. Not on Windows, where
        # an open file keeps its name
        first = self.path.with_suffix(PART) if os.name == "posix" else self.path
        flags = os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_APPEND
        flags |= getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
        self._handle = os.open(first, flags, 0o600)
        self._end = 0
        self._is_torn = False  # it ends in half a frame that could not be taken away
        self.sync_fault: OSError | None = None  # why the disk may not keep what the system has taken
        self._due = threading.Event()
        self._is_ending = False
        self._remove_late = False
        self._thread: threading.Thread | None = None
        try:
            if not _locked(self._handle):  # a start of the program is just tidying it away
                raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), str(first))
            self.write(beginning)
            if first != self.path:
                os.rename(first, self.path)
            self._counts_links = os.fstat(self._handle).st_nlink > 0
        except BaseException:
            os.close(self._handle)
            with contextlib.suppress(OSError):
                os.unlink(first)
            raise
        thread = threading.Thread(target=self._run, name="journal", daemon=True)
        try:
            thread.start()
            self._thread = thread
        except RuntimeError:  # no thread to be had: the file is written all the same
            _log.warning("no thread to sync %s", self.path)

    def write(self, data: bytes) -> None:
        """Append, whole or not at all. Raises `OSError`."""
        left = memoryview(data)
        try:
            while left:
                left = left[os.write(self._handle, left) :]
        except BaseException:
            try:
                os.ftruncate(self._handle, self._end)
            except OSError:
                self._is_torn = True
            raise
        self._end += len(data)
        self._due.set()

    def is_lost(self) -> bool:
        """Whether what is written no longer reaches a file that can be found and read."""
        return self._is_torn or (self._counts_links and os.fstat(self._handle).st_nlink == 0)

    def flush(self) -> None:
        """Return when everything has reached the disk. Raises `OSError`."""
        _synced(self._handle)

    def end(self, remove: bool) -> None:
        """Close it, and remove it if told so. Does not wait for the disk: see `join`."""
        if remove and os.name == "posix":
            self._remove()
        self._remove_late = remove and os.name != "posix"
        self._is_ending = True
        self._due.set()
        if self._thread is None:
            self._close()

    def join(self) -> None:
        """Return when it is closed; a disk that does not answer is waited for, but not for ever."""
        if self._thread is not None:
            self._thread.join(_CLOSING_S)
            if self._thread.is_alive():
                _log.warning("the disk does not answer: %s", self.path)

    @property
    def is_closed(self) -> bool:
        """Whether its end is over."""
        return self._thread is None or not self._thread.is_alive()

    def _run(self) -> None:
        settle(self.path.parent)
        while True:
            self._due.wait()
            self._due.clear()
            ending = self._is_ending
            try:
                _synced(self._handle)
            except OSError as fault:
                self.sync_fault = fault
            if ending:
                self._close()
                return

    def _close(self) -> None:
        os.close(self._handle)
        if self._remove_late:
            self._remove()

    def _remove(self) -> None:
        try:
            os.unlink(self.path)
        except OSError as fault:
            _log.warning("%s stays: %s", self.path, fault)


def _locked(handle: int) -> bool:
    try:
        return try_lock(handle)
    except OSError:  # no locks there: the header's host and process must do
        return True


def _synced(handle: int) -> None:
    try:
        _sync(handle)
    except OSError as fault:
        if fault.errno not in _NO_SYNC:
            raise
