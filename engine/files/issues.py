"""Issues of a drawing as frozen copies: a file each in the folder `issued` beside it, never written over.

A copy is the drawing as issued, so it cannot hold its own checksum: its name ends in how that begins, and the drawing's
own list of revisions has all of it. Undo of an issue leaves the copy; issued again, the same bytes are the same copy.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import stat
from pathlib import Path, PurePosixPath
from typing import NamedTuple

from engine.edits.edit import Edit, Put, Several
from engine.edits.issuing import in_order, issue
from engine.files.atomic import write_bytes
from engine.files.drawing import FileError, Opened, dump_snapshot, read_bytes, sha256_at
from engine.files.errors import reason
from engine.files.reading import read_whole
from engine.installation.model import Installation, Snapshot
from engine.installation.records import Revision
from engine.words import _

__all__ = [
    "FOLDER",
    "Issue",
    "as_issued",
    "carried_over",
    "copy_of",
    "history",
    "home",
    "is_copy",
    "issue_with_copy",
    "last_issue",
    "open_issue",
    "state_of",
]

FOLDER = "issued"
_SHORT = 8  # digits of the checksum in the name of a copy
_NAMED = re.compile(r".* ([0-9a-f]{8,64})")  # its stem


class Issue(NamedTuple):
    """One revision and its copy."""

    item: str
    record: Revision
    state: str  # "there", "missing", "altered", "no copy" was kept, "not issued"
    path: Path | None  # where the copy is looked for


# -- issuing ----------------------------------------------------------------------------------------------------------
def issue_with_copy(
    installation: Installation, drawing: Path, *, by: str, day: str, text: str = "", index: str = ""
) -> Several:
    """Keep a frozen copy of what is issued beside the file of a drawing; the edit that issues it and names the copy.

    Nothing of the installation is changed here. Raises `EditError` as `issue` does and `FileError` where the copy
    cannot be kept; a copy that is there already stays as it is.
    """
    snapshot, last_id = installation.snapshot(), installation.last_id
    edit = issue(snapshot, last_id, by=by, day=day, text=text, index=index)
    frozen, frozen_id = _after(snapshot, edit, last_id)
    data = dump_snapshot(frozen, frozen_id, installation.unknown)
    sha256 = hashlib.sha256(data).hexdigest()
    record = in_order(frozen)[-1][1]
    name = _keep(drawing, record.index, sha256, data)
    return issue(snapshot, last_id, by=by, day=day, text=text, index=index, copy=f"{FOLDER}/{name}", sha256=sha256)


def _after(snapshot: Snapshot, edit: Edit, last_id: int) -> tuple[Snapshot, int]:
    """A snapshot after an edit of whole records, and the last id."""
    tables, lone = dict(snapshot.tables), dict(snapshot.lone)
    for put in edit.edits if isinstance(edit, Several) else (edit,):
        assert isinstance(put, Put)
        if put.table in lone:
            lone[put.table] = put.record
        else:
            tables[put.table] = {**tables[put.table], put.id: put.record}
            digits = put.id[1:]
            last_id = max(last_id, int(digits) if digits.isdecimal() else 0)
    return Snapshot(tables=tables, lone=lone), last_id


def _keep(drawing: Path, index: str, sha256: str, data: bytes) -> str:
    """Write the copy and make it read-only; its name. Nothing that is there is written over. Raises `FileError`."""
    folder = home(drawing) / FOLDER
    stem = f"{drawing.stem} {_safe(index)}"
    path = folder / f"{stem} {sha256[:_SHORT]}.linewright"
    try:
        folder.mkdir(exist_ok=True)
        for digits in (_SHORT, 2 * _SHORT, 64):
            path = folder / f"{stem} {sha256[:digits]}.linewright"
            if not path.exists():
                write_bytes(path, data)
                break
            if sha256_at(path) == sha256:
                break
        else:
            raise FileError(str(path), _("a file of that name is there already and is another; it stays as it is"))
        with contextlib.suppress(OSError):  # a file system without such rights
            os.chmod(path, stat.S_IRUSR | stat.S_IRGRP | stat.S_IROTH)
    except OSError as fault:
        raise FileError(
            str(path), _("the copy of what is issued cannot be kept: {why}").format(why=reason(fault))
        ) from None
    return path.name


def _safe(index: str) -> str:
    return "".join(c if c.isalnum() or c in "-_" else "-" for c in index) or "-"


# -- looking ----------------------------------------------------------------------------------------------------------
def home(drawing: Path) -> Path:
    """The folder in which a drawing is at home: where its file stands, for a frozen copy the one above."""
    folder = drawing.absolute().parent
    return folder.parent if is_copy(drawing) else folder


def is_copy(path: Path) -> bool:
    """Whether a file is a frozen copy, by where it stands and what it is called."""
    return path.absolute().parent.name == FOLDER and _NAMED.fullmatch(path.stem) is not None


def copy_of(folder: Path | None, record: Revision) -> Path | None:
    """Where the copy of a revision is looked for, `folder` that of the drawing; `None` where none is recorded.

    A drawing from elsewhere names no file outside of its own folder: what would be one is `None` too.
    """
    inside = PurePosixPath(record.copy.replace("\\", "/"))
    if folder is None or not record.copy or inside.is_absolute() or ".." in inside.parts or ":" in record.copy:
        return None
    return folder / inside


def state_of(folder: Path | None, record: Revision) -> str:
    """What became of the copy of a revision, as `Issue.state`."""
    if not record.issued:
        return "not issued"
    if not record.copy:
        return "no copy"
    path = copy_of(folder, record)
    try:
        if path is None or not path.is_file():
            return "missing"
        return "there" if sha256_at(path) == record.sha256 else "altered"
    except OSError:
        return "missing"


def history(snapshot: Snapshot, folder: Path | None) -> tuple[Issue, ...]:
    """Every revision in the order in which they were made, with what became of its copy."""
    return tuple(
        Issue(item, record, state_of(folder, record), copy_of(folder, record)) for item, record in in_order(snapshot)
    )


def last_issue(snapshot: Snapshot, folder: Path | None) -> Issue | None:
    """The newest issue, `None` where the drawing was never issued."""
    return next((each for each in reversed(history(snapshot, folder)) if each.record.issued), None)


def open_issue(folder: Path | None, record: Revision) -> Opened:
    """A revision as it was issued. Raises `FileError` where its copy is missing, or is not what was issued."""
    path = copy_of(folder, record)
    index = record.index or "?"
    if not record.issued:
        raise FileError(index, _("this revision is not issued yet"))
    if path is None:
        why = _("no copy was kept when it was issued") if not record.copy else _("its copy is not beside the drawing")
        raise FileError(index, why)
    data = read_whole(path)
    if hashlib.sha256(data).hexdigest() != record.sha256:
        raise FileError(
            str(path),
            _("this is not revision {index} as it was issued: the copy was altered since").format(index=index),
        )
    return read_bytes(data, str(path))


def as_issued(path: Path, opened: Opened) -> tuple[str, bool]:
    """Of a file that is opened: which issue it is, as a sentence, "" where it is none; whether it is unaltered."""
    named = _NAMED.fullmatch(path.stem)
    if named is None or not is_copy(path):
        return "", True
    made = [record for _item, record in in_order(opened.installation.snapshot()) if record.issued]
    index, day = (made[-1].index or "?", made[-1].date or "?") if made else ("?", "?")
    if opened.sha256.startswith(named[1]):
        return _("this is revision {index} as it was issued on {date}.").format(index=index, date=day), True
    return _("this is NOT revision {index} as it was issued: the file was altered since.").format(index=index), False


def carried_over(snapshot: Snapshot, folders: tuple[Path, ...], target: Path) -> tuple[str, ...]:
    """Copy the frozen copies of a drawing that has moved to the folder `target`; a sentence for each not there then."""
    told = []
    for _item, record in in_order(snapshot):
        if state_of(target, record) not in ("missing", "altered"):
            continue
        data = next((d for d in (_whole(folder, record) for folder in folders) if d is not None), None)
        path = copy_of(target, record)
        index = record.index or "?"
        if data is None or path is None:
            told.append(_("The copy of revision {index} is missing or was altered.").format(index=index))
            continue
        try:
            if path.exists():
                told.append(_("The copy of revision {index} is missing or was altered.").format(index=index))
                continue
            path.parent.mkdir(parents=True, exist_ok=True)
            write_bytes(path, data)
            with contextlib.suppress(OSError):
                os.chmod(path, stat.S_IRUSR | stat.S_IRGRP | stat.S_IROTH)
        except OSError as fault:
            told.append(
                _("The copy of revision {index} cannot be kept in {folder}: {why}.").format(
                    index=index, folder=path.parent, why=reason(fault)
                )
            )
    return tuple(told)


def _whole(folder: Path, record: Revision) -> bytes | None:
    path = copy_of(folder, record)
    if path is None or state_of(folder, record) != "there":
        return None
    try:
        return read_whole(path)
    except FileError:
        return None
