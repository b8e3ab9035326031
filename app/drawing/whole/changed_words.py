"""What has changed since the drawing was last issued, in a few sentences for the record of revisions."""

from __future__ import annotations

from collections.abc import Iterable

from engine.compare import compare
from engine.installation import Snapshot
from engine.words import _

__all__ = ["MOST_NAMES", "changed_words"]

MOST_NAMES = 12  # of things one sentence names; the rest is counted
_MOST_FIELDS = 4  # of one thing


def changed_words(before: Snapshot, after: Snapshot) -> str:
    """Sentences: what was added, taken out, changed and in what; "" where no equipment and no run differs."""
    made = compare(before, after)
    told = []
    if made.added:
        told.append(_("Added: {names}.").format(names=_names(after.name(item) for item in made.added)))
    if made.removed:
        told.append(_("Taken out: {names}.").format(names=_names(before.name(item) for item in made.removed)))
    changed = [
        _("{name} ({fields})").format(name=after.name(each.item), fields=_fields(each.words or each.fields))
        for each in made.changed
    ]
    if changed:
        told.append(_("Changed: {names}.").format(names=_names(changed)))
    return " ".join(told)


def _fields(every: tuple[str, ...]) -> str:
    if len(every) <= _MOST_FIELDS:
        return "; ".join(every)
    return _("{fields}; and {n} more").format(fields="; ".join(every[:_MOST_FIELDS]), n=len(every) - _MOST_FIELDS)


def _names(every: Iterable[str]) -> str:
    names = list(every)
    if len(names) <= MOST_NAMES:
        return ", ".join(names)
    told = _("{names} and {n} more")
    return told.format(names=", ".join(names[:MOST_NAMES]), n=len(names) - MOST_NAMES)
