"""Who has a drawing open: a small file beside it, locked by the system for as long as its process lives.

The lock is advice, never a wall: where it cannot be had (a folder that cannot be written to, a file system without
locks) the drawing can still be opened, and saving compares the file with what was opened all the same.
"""

from __future__ import annotations

import contextlib
import datetime
import errno
import getpass
import json
import logging
import os
import socket
import stat
import sys
from pathlib import Path
from types import TracebackType
from typing import Any, NamedTuple

from engine.files.errors import reason
from engine.files.system_lock import has_name, try_lock
from engine.words import _

__all__ = ["Held", "Lock", "take"]

_LONGEST = 4096  # bytes that are read of what anybody may have written
_LONGEST_NAME = 80
_TRIES = 20  # each lost to another process that let go or took hold at the same moment

_log = logging.getLogger(__name__)
_ours: dict[str, int] = {}  # lock file -> the process that holds it: this one, or what it was forked from


class Held(NamedTuple):
    """Somebody has the drawing open. What is not known is "" or 0."""

    name: str  # of the drawing's file
    host: str = ""
    user: str = ""
    pid: int = 0
    since: str = ""  # ISO 8601 in UTC

    @property
    def sentence(self) -> str:
        """Who has it, for the person."""
        facts = {"name": self.name, "user": self.user, "host": self.host, "since": _local(self.since)}
        if self.pid == os.getpid() and self.host == socket.gethostname():
            return _("{name} is open already in another window.").format(**facts)
        if not self.host:
            return _("{name} is open already somewhere else; who has it open is not told.").format(**facts)
        facts["user"] = self.user or _("somebody")
        if self.host == socket.gethostname():
            return _("{name} is open already on this computer: {user} has had it open since {since}.").format(**facts)
        return _("{name} is open already on {host}: {user} has had it open since {since}.").format(**facts)


class Lock:
    """The drawing is ours until `release`.

    `advisory` is false where others cannot be told; `why` then says why. `notice` is a sentence where the drawing was
    left open on another computer and nothing tells whether it still is; `before` then is who had it.
    """

    def __init__(self, file: Path, handle: int | None, why: str = "", before: Held | None = None) -> None:
        self.file = file
        self.advisory = handle is not None
        self.why = why
        self.before = before
        self.notice = ""
        if before is not None:
            self.notice = _(
                "{name} was left open by {user} on {host} since {since}. No lock is held for it now: that computer "
                "stopped, or this folder does not pass locks from one computer to another."
            ).format(name=before.name, user=before.user or _("somebody"), host=before.host, since=_local(before.since))
        self._handle = handle
        if handle is not None:
            _ours[str(file)] = os.getpid()

    def is_lost(self) -> bool:
        """Whether others no longer see it: the folder or the lock file was taken away. `release`, then `take` anew."""
        return self._handle is not None and not has_name(self._handle, self.file)

    def release(self) -> None:
        """Let others have it. May be called again."""
        handle, self._handle = self._handle, None
        if handle is None:
            return
        self.advisory = False
        _ours.pop(str(self.file), None)
        # on POSIX it goes while we hold it: whoever opened it before finds out that it has lost its name. On Windows
        # an open file cannot be removed, ours or another's
        if os.name == "posix" and has_name(handle, self.file):
            _remove(self.file)
        os.close(handle)
        if os.name != "posix":
            _remove(self.file)

    def __enter__(self) -> Lock:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.release()


def take(path: Path | str) -> Lock | Held:
    """Take hold of a drawing's file, or learn who has it. Never raises, never waits.

    A link is followed, so that both names are the same drawing. The file need not be there yet.
    """
    target = Path(path)
    with contextlib.suppress(OSError, ValueError, RuntimeError):
        target = Path(os.path.realpath(path))
    file = target.with_name(f".{target.name}.lock") if target.name else target / ".lock"
    try:
        return _take(target.name, file)
    except ValueError:  # the system's way to refuse a zero byte in a name
        return Lock(file, None, _("that is no name of a file"))
    except OSError as fault:
        _log.info("no lock %s: %s", file, fault)
        return Lock(file, None, _strange(fault))


def _take(name: str, file: Path) -> Lock | Held:
    if _ours.get(str(file)) == os.getpid():
        return Held(name, socket.gethostname(), _user(), os.getpid())
    removed: Held | None = None  # who a file told of that was in the way
    for _try in range(_TRIES):
        told: Lock | Held | _Removed | None
        try:
            handle = _opened(file, os.O_RDWR | os.O_CREAT)
        except OSError as fault:
            if not isinstance(fault, PermissionError) and fault.errno != errno.EROFS:
                raise
            told = _only_looked(name, file, fault)
        else:
            told = _taken(name, file, handle, removed)
        if isinstance(told, _Removed):
            removed = told.before
        elif told is not None:
            return told
    return Held(name)


class _Removed(NamedTuple):
    before: Held | None


def _taken(name: str, file: Path, handle: int, removed: Held | None) -> Lock | Held | None:
    """What came of locking the open file; `None` where it lost its name meanwhile."""
    kept = False
    try:
        before = _read(handle, name)
        try:
            if not try_lock(handle):
                return before
        except OSError:
            if os.fstat(handle).st_size == 0:  # ours, and of no use
                _remove(file)
            raise
        if not has_name(handle, file):
            return None  # its owner let go and removed it between our opening and our locking
        try:
            _write(handle)
        except OSError as fault:  # a full disk: held all the same, without a name
            _log.info("nothing is written into the lock %s: %s", file, fault)
            with contextlib.suppress(OSError):
                os.ftruncate(handle, 0)
        kept = True
    finally:
        if not kept:
            os.close(handle)
    return Lock(file, handle, before=_elsewhere(before) or removed)


def _only_looked(name: str, file: Path, fault: OSError) -> Lock | Held | _Removed | None:
    """As `_taken` for a lock file that another made and we may only read. Raises `fault` where there is none.

    Nobody holding it, it is removed where that is allowed, so that one of ours can take its place.
    """
    try:
        handle = _opened(file, os.O_RDONLY)
    except OSError:
        raise fault from None
    try:
        before = _read(handle, name)
        try:
            is_free = try_lock(handle)
        except OSError:  # to be locked by us it would have to be writable
            return Lock(file, None, reason(fault), _elsewhere(before))
        if not is_free:
            return before
        if not has_name(handle, file):
            return None
        if _remove(file):
            return _Removed(_elsewhere(before))
        return Lock(file, None, reason(fault), _elsewhere(before))
    finally:
        os.close(handle)


def _opened(file: Path, flags: int) -> int:
    # never through a link somebody laid there, never waiting for a pipe
    flags |= getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    handle = os.open(file, flags, 0o666)
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP), str(file))
    return handle


def _elsewhere(before: Held) -> Held | None:
    return before if before.host and before.host != socket.gethostname() else None


def _write(handle: int) -> None:
    now = datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds")
    facts = {"host": socket.gethostname(), "user": _user(), "pid": os.getpid(), "since": now}
    text = json.dumps(facts).encode() + b"\n"
    os.lseek(handle, 0, os.SEEK_SET)
    os.write(handle, text)
    os.ftruncate(handle, len(text))  # afterwards, so that a reader never finds it empty
    if sys.platform != "win32":
        with contextlib.suppress(OSError):  # another's; others must be able to ask, whatever this person's umask
            os.fchmod(handle, 0o644)


def _read(handle: int, name: str) -> Held:
    """Who a lock file names; anybody may have written it."""
    facts: Any = None
    with contextlib.suppress(OSError, ValueError, RecursionError):
        os.lseek(handle, 0, os.SEEK_SET)
        facts = json.loads(os.read(handle, _LONGEST))
    if not isinstance(facts, dict):
        return Held(name)
    pid = facts.get("pid")
    return Held(
        name,
        host=_text(facts.get("host")),
        user=_text(facts.get("user")),
        pid=pid if type(pid) is int else 0,
        since=_text(facts.get("since")),
    )


def _text(value: Any) -> str:
    return "".join(c for c in value if c.isprintable())[:_LONGEST_NAME] if isinstance(value, str) else ""


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):  # no name for this user id
        return ""


def _local(since: str) -> str:
    try:
        return datetime.datetime.fromisoformat(since).astimezone().strftime("%Y-%m-%d %H:%M")
    except (ValueError, OverflowError, OSError):
        return since or _("an unknown time")


def _strange(fault: OSError) -> str:
    if fault.errno == errno.ELOOP:
        return _("what stands in the place of its lock file is none")
    return reason(fault)


def _remove(file: Path) -> bool:
    try:
        os.unlink(file)
    except OSError as fault:
        _log.info("%s stays: %s", file, fault)
        return False
    return True
