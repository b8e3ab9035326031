"""What processes that died have left in the folder of recovery journals, and how the work in it comes back.

A journal whose process lives is never touched: its owner holds it by a lock of the system. While a `Left` is kept it is
held the same way, so that two starts of the program at once do not both offer it.
"""

from __future__ import annotations

import contextlib
import datetime
import hashlib
import json
import logging
import os
import socket
import stat
import sys
import weakref
from pathlib import Path
from typing import Any, NamedTuple

import msgspec

from engine.edits import apply
from engine.files.drawing import FileError, dump, read_bytes
from engine.files.edit_form import edit_of
from engine.files.errors import reason
from engine.files.frames import Scan, scan
from engine.files.journal import FORMAT, WORDS
from engine.files.migrations import CURRENT
from engine.files.parsing import is_too_much
from engine.files.reading import read_whole
from engine.files.system_lock import has_name, try_lock
from engine.files.tape import PART, SUFFIX
from engine.installation.model import LARGEST_ID, Installation
from engine.version import version
from engine.words import _

__all__ = ["Left", "Recovered", "left_behind"]

_LONGEST = 500  # letters of the words of an edit
_LONGEST_PATH = 4096  # letters of a path in a header

_log = logging.getLogger(__name__)


class Recovered(NamedTuple):
    """A drawing as a journal gives it back."""

    installation: Installation
    edits: int  # that the drawing's file did not hold when the process died
    words: tuple[str, ...]  # of the last few of them, the newest last
    path: Path | None  # the drawing's file, `None` where it had none
    base_sha256: str  # of that file when it was opened or last saved
    base_changed: bool  # the file there now is another one, or gone
    base_gone: bool  # there is no such file any more
    torn: bool  # what stood last was not whole and was dropped
    missing: int  # edits that are told of but could not be read
    when: datetime.datetime  # of the last edit, local time
    other_version: str  # the program that wrote it, "" when it was this one; then only its last snapshot comes back
    notices: tuple[str, ...]  # sentences about the drawing itself, as opening a file gives them
    damaged: bool  # more than the edit in flight was dropped: `discard` would lose what might still be read by hand


class _Replayed(NamedTuple):
    installation: Installation
    number: int
    words: tuple[str, ...]
    notices: tuple[str, ...]


class Left:
    """A journal that was left behind, held by us now. `why` says why nothing can be recovered, "" where it can."""

    def __init__(self, file: Path, handle: int | None, why: str = "") -> None:
        self.file = file
        self.why = why
        self.name = ""  # of the drawing: its file's name, or the vessel's
        self.path: Path | None = None
        self.base_sha256 = ""
        self.edits = 0
        self.words: tuple[str, ...] = ()
        self.missing = 0
        self.torn = False
        self.damaged = False
        self.other_version = ""
        self.when = datetime.datetime.fromtimestamp(0).astimezone()
        self.host = ""
        self.takes_over = ""  # the name of an older journal all of whose work is in this one
        self.holds_nothing = False  # what it holds is in the drawing's file, or it never held an edit
        self._handle = handle
        self._scan = Scan(None, (), (), 0, False)
        if handle is not None and not why:
            self._look(handle)
        self._close = weakref.finalize(self, _shut, handle)

    def recover(self) -> Recovered:
        """The drawing with every edit that could be read. Raises `FileError` where `why` says that it cannot."""
        if self.why:
            raise FileError(str(self.file), self.why)
        found = self._replayed()
        on_disk = _sha256(self.path)
        return Recovered(
            installation=found.installation,
            edits=found.number,
            words=found.words,
            path=self.path,
            base_sha256=self.base_sha256,
            base_changed=self.path is not None and on_disk != self.base_sha256,
            base_gone=self.path is not None and not self.path.exists(),
            torn=self.torn,
            missing=self.missing,
            when=self.when,
            other_version=self.other_version,
            notices=found.notices,
            damaged=self.damaged,
        )

    def discard(self) -> bool:
        """Remove it: for what is recovered and kept elsewhere, or not wanted. Tells whether that could be done."""
        if os.name != "posix":  # an open file cannot be removed there
            self.close()
        try:
            os.unlink(self.file)
        except FileNotFoundError:
            pass
        except OSError as fault:
            _log.warning("%s stays: %s", self.file, fault)
            return False
        finally:
            self.close()
        return True

    def close(self) -> None:
        """Let go of it and leave it for the next start."""
        self._close()
        self._handle = None

    # -- reading ------------------------------------------------------------------------------------------------
    def _look(self, handle: int) -> None:
        self.when = datetime.datetime.fromtimestamp(os.fstat(handle).st_mtime).astimezone()
        with open(handle, "rb", closefd=False) as file:
            self._scan = found = scan(file)
        header = _Header(found.header or {})
        self.host = header.text("host")
        self.path = Path(header.text("path")) if header.text("path") else None
        self.name = self.path.name if self.path else header.text("name")
        self.base_sha256 = header.text("sha256")
        self.takes_over = header.text("takes_over")
        wrote = (header.text("program"), header.number("format"), header.number("drawing_format"))
        if found.header is not None and wrote != (version(), FORMAT, CURRENT):
            self.other_version = wrote[0] or "?"
        self.torn = found.left_over > 0
        self.damaged = self.torn and not found.is_cut
        if not found.snapshots:
            # a power cut before anything reached the disk leaves nothing, or a length of zeros
            self.holds_nothing = _only_zeros(handle)
            self.why = _("it is damaged at its beginning")
            return
        try:
            made = self._replayed()
        except FileError as fault:
            self.why = _("its drawing cannot be read: {why}").format(why=_first_line(fault))
            return
        self.edits, self.words = made.number, made.words
        told = max([n for n, _payload in found.edits] + [s.number for s in found.snapshots])
        self.missing = max(0, told - made.number)
        if self.missing or self.damaged:
            if not self.missing and not self.edits:
                self.why = _("it is damaged before its first change")
            return
        self.holds_nothing = self.edits == 0 or self._is_in_the_file(made.installation)

    def _is_in_the_file(self, installation: Installation) -> bool:
        """Whether the drawing's file holds just this: all was undone, or the process died right after saving."""
        if self.path is None or installation.read_only:
            return False
        on_disk = _sha256(self.path)
        return on_disk != "" and hashlib.sha256(dump(installation)).hexdigest() == on_disk

    def _replayed(self) -> _Replayed:
        """The newest snapshot that can be read, and the edits after it. Raises `FileError`."""
        refused: FileError | None = None
        for at in reversed(self._scan.snapshots):
            try:
                opened = read_bytes(self._bytes(at.offset, at.length), self.name)
            except FileError as fault:
                refused = fault
                continue
            made = opened.installation
            words = [] if self.other_version else self._words_until(at.number)
            number = at.number
            for told, payload in () if self.other_version else self._scan.edits:
                if told <= number:
                    continue
                if told != number + 1 or not _done(made, payload, words):
                    break
                number = told
            return _Replayed(made, number, tuple(words[-WORDS:]), opened.notices)
        assert refused is not None
        raise refused

    def _words_until(self, number: int) -> list[str]:
        """Of the last edits that a snapshot holds already."""
        words = _Header(self._scan.header or {}).words()
        for payload in [payload for told, payload in self._scan.edits if told <= number][-WORDS:]:
            with contextlib.suppress(ValueError, TypeError, KeyError, msgspec.MsgspecError):
                words.append(str(msgspec.json.decode(payload)["words"])[:_LONGEST])
        return words

    def _bytes(self, offset: int, length: int) -> bytes:
        if self._handle is None:
            raise FileError(str(self.file), _("it was let go of"))
        with open(self._handle, "rb", closefd=False) as file:
            file.seek(offset)
            return file.read(length)


class _Header:
    """Members of a header, whatever stands in it."""

    def __init__(self, members: dict[str, Any]) -> None:
        self._members = members

    def text(self, name: str) -> str:
        found = self._members.get(name)
        return found if isinstance(found, str) and "\0" not in found and len(found) <= _LONGEST_PATH else ""

    def number(self, name: str) -> int:
        found = self._members.get(name)
        return found if type(found) is int else 0

    def words(self) -> list[str]:
        found = self._members.get("words")
        return [word[:_LONGEST] for word in found if isinstance(word, str)][-WORDS:] if isinstance(found, list) else []


def left_behind(folder: Path | str) -> tuple[Left, ...]:
    """Every journal in `folder` whose process no longer lives, the newest first. Never raises.

    Those that hold nothing that is not in the drawing's file, or in a newer one that was begun in their place, are
    removed. Keep or `close` what is given: it is held.
    """
    try:
        files = sorted(path for path in Path(folder).iterdir() if path.suffix in (SUFFIX, PART))
    except OSError:
        return ()
    found = []
    for file in files:
        try:
            left = _taken(file)
        except OSError as fault:
            left = None if isinstance(fault, FileNotFoundError) else Left(file, None, reason(fault))
        if left is None:
            continue
        if left.holds_nothing:
            left.discard()
        else:
            found.append(left)
    over = {left.takes_over for left in found if not (left.why or left.missing or left.damaged or left.other_version)}
    for left in [left for left in found if left.file.name in over]:  # a program died just as one took another's place
        found.remove(left)
        left.discard()
    return tuple(sorted(found, key=lambda left: (left.when, left.file.name), reverse=True))


def _taken(file: Path) -> Left | None:
    """The journal, held by us; `None` where its process lives or it is none of ours. Raises `OSError`."""
    if not stat.S_ISREG(os.lstat(file).st_mode):
        _log.warning("%s is no journal", file)
        return None
    flags = os.O_RDWR | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
    handle = os.open(file, flags)
    try:
        status = os.fstat(handle)
        if not stat.S_ISREG(status.st_mode) or (sys.platform != "win32" and status.st_uid != os.geteuid()):
            _log.warning("%s is no journal of ours", file)
        elif _is_free(handle) and has_name(handle, file):
            left = Left(file, handle)
            # what has this name was never whole: its process died while it began the file, and no edit is in it
            left.holds_nothing = left.holds_nothing or file.suffix == PART
            return left
    except BaseException:
        os.close(handle)
        raise
    os.close(handle)
    return None


def _is_free(handle: int) -> bool:
    """Lock the journal for us; `False` where somebody has it."""
    try:
        return try_lock(handle)
    except OSError:
        pass
    # no locks on this file system: the header must tell, and where it cannot, the journal is left alone
    with open(handle, "rb", closefd=False) as file:
        header = _Header(scan(file).header or {})
    pid = header.number("pid")
    if sys.platform == "win32" or header.text("host") != socket.gethostname() or pid <= 0 or pid == os.getpid():
        return False
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        pass
    return False


def _done(installation: Installation, payload: bytes, words: list[str]) -> bool:
    """Do a recorded edit; `False` where it cannot be done, and nothing was."""
    try:
        if is_too_much(payload):
            raise ValueError("it holds far more than a drawing of any boat")
        values = json.loads(payload)
        edit, last_id, told = edit_of(values), values["last_id"], values["words"]
        if type(last_id) is not int or not 0 <= last_id <= LARGEST_ID:
            raise ValueError("its last id is none")
        apply(installation, edit, again=True)
    except Exception as fault:  # whatever a damaged or foreign journal holds, the program starts
        _log.warning("an edit cannot be done again: %s", str(fault)[:_LONGEST])
        return False
    installation.last_id = max(installation.last_id, last_id)
    words.append(str(told)[:_LONGEST])
    return True


def _sha256(path: Path | None) -> str:
    """Of the file that is there now, "" where none can be read."""
    if path is None:
        return ""
    try:
        return hashlib.sha256(read_whole(path)).hexdigest()
    except FileError:
        return ""


def _only_zeros(handle: int) -> bool:
    with open(handle, "rb", closefd=False) as file:
        file.seek(0)
        while block := file.read(2**20):
            if block.count(0) < len(block):
                return False
    return True


def _first_line(fault: FileError) -> str:
    return str(fault).partition("\n")[0]


def _shut(handle: int | None) -> None:
    if handle is not None:
        os.close(handle)
