"""Designations of an issued drawing are locked: who holds it on paper must find what it names.

A drawing is locked while its newest revision is issued: adding one that is not yet issued begins a new one. Revisions
are in the order in which they were made.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from engine.installation.model import Installation, Snapshot
from engine.installation.records import Revision
from engine.words import _

__all__ = ["LABELLED", "issued_change", "lock_of", "lock_sentence", "locked_by", "locked_change", "was_issued"]

LABELLED = ("equipment", "runs")  # tables whose records bear designations


def lock_of(revisions: Mapping[str, Revision]) -> Revision | None:
    """The issued revision that locks designations, `None` where they may be changed."""
    newest = max(revisions, key=_made, default="")
    return revisions[newest] if newest and revisions[newest].issued else None


def locked_by(snapshot: Snapshot) -> Revision | None:
    """The same of a drawing at one moment."""
    return lock_of(snapshot.revisions)


def was_issued(snapshot: Snapshot) -> bool:
    """Whether the drawing was ever issued: its designations may stand on labels aboard."""
    return any(revision.issued for revision in snapshot.revisions.values())


def lock_sentence(name: str, revision: Revision) -> str:
    """Why a designation stays, and how a new revision is begun."""
    return _(
        "{name} keeps its designation: revision {index} is issued, and only a new revision, added to the list of "
        "revisions and not yet issued, may change it."
    ).format(name=name, index=revision.index.strip() or "?")


def locked_change(
    installation: Installation, before: Mapping[tuple[str, str], Any], items: Iterable[tuple[str, str]]
) -> str:
    """The sentence that refuses an edit just done, or "". `before`: the records as they stood, by table and id.

    A lock that the same edit opens (a revision begun) or closes (one issued) refuses nothing; what had no designation
    may be given one.
    """
    lock: Revision | None = None
    for table, item in items:
        if table not in LABELLED:
            continue
        old, new = before.get((table, item)), installation.get(table, item)
        if old is None or new is None or not old.designation or old.designation == new.designation:
            continue
        if lock is None:
            now: dict[str, Revision] = installation.tables["revisions"]
            stood = dict(now)
            for (name, revision), record in before.items():
                if name == "revisions":
                    if record is None:
                        stood.pop(revision, None)
                    else:
                        stood[revision] = record
            lock = lock_of(now)
            if lock is None or lock_of(stood) is None:
                return ""
        return lock_sentence(old.designation, lock)
    return ""


def issued_change(
    installation: Installation, before: Mapping[tuple[str, str], Any], items: Iterable[tuple[str, str]]
) -> str:
    """The sentence that refuses to change or remove a revision that is issued, or ""; arguments as `locked_change`."""
    for table, item in items:
        old = before.get((table, item)) if table == "revisions" else None
        if old is not None and old.issued and old != installation.get(table, item):
            return _(
                "Revision {index} is issued: others hold it as it is, so it stays. What changes is for a new revision."
            ).format(index=old.index.strip() or "?")
    return ""


def _made(item: str) -> tuple[int, str]:
    digits = item[1:]
    return (int(digits) if digits.isdecimal() and digits.isascii() else 0), item
