"""What has changed since the drawing was last issued, in a few sentences for the record of revisions."""

from __future__ import annotations

from collections.abc import Iterable

from engine.compare import compare
from engine.comparing.differences import Differences, differences
from engine.comparing.telling import Line
from engine.comparing.telling import told as sections
from engine.installation import Snapshot
from engine.installation.model import LONE
from engine.words import _

__all__ = ["MOST_NAMES", "changed_words"]

MOST_NAMES = 12  # of things one sentence names; the rest is counted
_MOST_FIELDS = 4  # of one thing
_MOST_LINES = 6  # of one section
_TOLD = ("equipment", "runs")  # sections told in sentences of their own


def changed_words(before: Snapshot, after: Snapshot) -> str:
    """Sentences for a list of revisions, for a person to go over: equipment and runs first, then all else.

    "" where nothing differs but the issue itself.
    """
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
    for section in sections(before, after, _but_the_issue(differences(before, after))):
        if section.key not in _TOLD:
            lines = [_line(line) for line in section.lines]
            told.append(_("{title}: {names}.").format(title=section.title, names=_names(lines, _MOST_LINES)))
    return " ".join(told)


def _line(line: Line) -> str:
    if line.how == "added":
        return _("{name} added").format(name=line.name)
    if line.how == "removed":
        return _("{name} taken out").format(name=line.name)
    if line.table in LONE:
        return _fields(line.fields)
    return _("{name} ({fields})").format(name=line.name, fields=_fields(line.fields)) if line.fields else line.name


def _but_the_issue(made: Differences) -> Differences:
    """Without what changes with every issue: the revisions themselves, and what of the title block follows them."""
    return made._replace(
        added=tuple(each for each in made.added if each[0] != "revisions"),
        removed=tuple(each for each in made.removed if each[0] != "revisions"),
        changed=tuple(
            change
            for change in made.changed
            if change.table != "revisions"
            and not (change.table == "title_block" and change.field in ("revision", "date", "document_status"))
        ),
    )


def _fields(every: tuple[str, ...]) -> str:
    if len(every) <= _MOST_FIELDS:
        return "; ".join(every)
    return _("{fields}; and {n} more").format(fields="; ".join(every[:_MOST_FIELDS]), n=len(every) - _MOST_FIELDS)


def _names(every: Iterable[str], most: int = MOST_NAMES) -> str:
    names = list(every)
    if len(names) <= most:
        return ", ".join(names)
    told = _("{names} and {n} more")
    return told.format(names=", ".join(names[:most]), n=len(names) - most)
