"""Issuing a drawing: a revision is begun, what changed is said, it is issued. Issued, its designations are locked."""

from __future__ import annotations

from datetime import date

import msgspec

from engine.edits.draft import Draft, highest_id
from engine.edits.edit import EditError, Put, Several
from engine.edits.locking import locked_by
from engine.installation.model import Snapshot
from engine.installation.records import Revision
from engine.words import _

__all__ = ["begin", "begun", "in_order", "is_date", "issue", "next_index"]

_LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"  # without I, O and Q, which are read as figures
_DRAFT, _ISSUED = "Draft", "Issued"  # the document status where nobody gave one of their own


def in_order(snapshot: Snapshot) -> list[tuple[str, Revision]]:
    """Revisions in the order in which they were made."""
    return sorted(snapshot.revisions.items(), key=lambda r: (int(r[0][1:]) if r[0][1:].isdecimal() else 0, r[0]))


def begun(snapshot: Snapshot) -> str:
    """The id of the revision in hand: the newest, where it is not issued; "" where there is none."""
    made = in_order(snapshot)
    return made[-1][0] if made and not made[-1][1].issued else ""


def next_index(snapshot: Snapshot) -> str:
    """What the next revision is called: A after none, D after C, AA after Z, 4 after 3, "P2" after "P1"."""
    made = in_order(snapshot)
    last = made[-1][1].index.strip() if made else snapshot.title_block.revision.strip()
    taken = {record.index.strip().casefold() for _item, record in made}
    while True:
        last = _after(last)
        if last.casefold() not in taken:
            return last


def _after(index: str) -> str:
    head = index.rstrip("0123456789")
    digits = index[len(head) :]
    if digits.isascii() and digits:
        return f"{head}{int(digits) + 1:0{len(digits)}d}"
    if not index:
        return _LETTERS[0]
    tail = index[-1].upper()
    if tail in _LETTERS and (len(index) == 1 or index.isalpha()):
        at = _LETTERS.index(tail) + 1
        if at < len(_LETTERS):
            made = index[:-1] + _LETTERS[at]
        else:
            made = (_after(index[:-1]) if index[:-1] else _LETTERS[0]) + _LETTERS[0]
        return made.lower() if index.islower() else made
    return index + "2"


def is_date(text: str) -> bool:
    """Whether it is a day, written YYYY-MM-DD."""
    try:
        return len(text) == 10 and date.fromisoformat(text) is not None
    except ValueError:
        return False


def begin(snapshot: Snapshot, last_id: int, index: str = "", text: str = "") -> Several:
    """Begin a new revision: designations may be changed again, the title block names it.

    Raises `EditError` where one is in hand already, or its index was used before.
    """
    open_one = begun(snapshot)
    if open_one:
        raise EditError(
            _("Revision {index} is begun and not issued; issue it before another is begun.").format(
                index=snapshot.revisions[open_one].index
            )
        )
    index = " ".join(index.split()) or next_index(snapshot)
    _refuse_taken(snapshot, index)
    draft = Draft(snapshot, max(last_id, highest_id(snapshot)))
    draft.add("revisions", Revision(index=index, text=text.strip()))
    made = draft.done(_("Begin revision {index}").format(index=index))
    block = snapshot.title_block
    status = _DRAFT if block.document_status == _ISSUED else block.document_status
    wanted = msgspec.structs.replace(block, revision=index, date="", document_status=status)
    return Several((*made.edits, Put("title_block", "title_block", wanted)), made.words)


def issue(
    snapshot: Snapshot,
    last_id: int,
    *,
    by: str,
    day: str,
    text: str = "",
    index: str = "",
    copy: str = "",
    sha256: str = "",
) -> Several:
    """Issue the revision in hand, or the first where there is none: its designations are locked from then on.

    The title block takes its index and date. `copy`, `sha256`: the frozen copy of it (`engine.files.issues`) and its
    checksum. Raises `EditError` where nobody is named, the day is none, or the newest
    revision is issued already.
    """
    by, day, text = " ".join(by.split()), day.strip(), text.strip()
    item = begun(snapshot)
    lock = locked_by(snapshot)
    if not item and lock is not None:
        raise EditError(
            _("Revision {index} is issued already; begin a new revision first.").format(index=lock.index or "?")
        )
    if not by:
        raise EditError(_("Nobody is named who issues it."))
    if not is_date(day):
        raise EditError(_("“{text}” is no day written YYYY-MM-DD.").format(text=day))
    draft = Draft(snapshot, max(last_id, highest_id(snapshot)))
    if item:
        record = snapshot.revisions[item]
        index = " ".join(index.split()) or record.index
        if index != record.index:
            _refuse_taken(snapshot, index)
        draft.change(
            "revisions",
            item,
            index=index,
            by=by,
            date=day,
            text=text or record.text,
            issued=True,
            copy=copy,
            sha256=sha256,
        )
    else:
        index = " ".join(index.split()) or snapshot.title_block.revision.strip() or next_index(snapshot)
        draft.add("revisions", Revision(index=index, by=by, date=day, text=text, issued=True, copy=copy, sha256=sha256))
    made = draft.done(_("Issue revision {index}").format(index=index))
    block = snapshot.title_block
    status = _ISSUED if block.document_status.strip() in ("", _DRAFT) else block.document_status
    wanted = msgspec.structs.replace(block, revision=index, date=day, document_status=status)
    return Several((*made.edits, Put("title_block", "title_block", wanted)), made.words)


def _refuse_taken(snapshot: Snapshot, index: str) -> None:
    if any(record.index.strip().casefold() == index.casefold() for record in snapshot.revisions.values()):
        raise EditError(_("There was a revision {index} before: each needs an index of its own.").format(index=index))
