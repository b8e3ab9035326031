"""What differs between two drawings as a numbered list: the numbers are those of the signs on the sheets."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from app.drawing.whereabouts import Whereabouts
from engine.comparing import Differences, Pair, told
from engine.comparing.telling import How
from engine.installation import Snapshot
from engine.naming import speaks_of, title_of
from engine.units import number
from engine.words import _

__all__ = ["Entry", "entries_of", "entry_words", "matched_words", "pair_words", "where_words"]


class Entry(NamedTuple):
    """One thing that differs. `shown_new`, `shown_old`: what stands for it on the sheets of either drawing, by id."""

    number: int
    how: How
    table: str
    section: str  # title of the part of the list it stands in
    name: str
    fields: tuple[str, ...] = ()
    item: str = ""  # id in the newer drawing, "" where it is gone
    was: str = ""  # id in the older, "" where it is new
    because: str = ""  # why it was taken for the same, where that is not sure
    shown_new: tuple[str, ...] = ()
    shown_old: tuple[str, ...] = ()
    marked: bool = False  # whether sheets show it by a cloud or struck: not what was merely moved or is on no sheet


def entries_of(before: Snapshot, after: Snapshot, made: Differences) -> tuple[Entry, ...]:
    """Every line of what is told of the differences, numbered from 1 in that order."""
    back = {new: old for old, new in made.same.items()}
    entries: list[Entry] = []
    for section in told(before, after, made):
        for line in section.lines:
            item = "" if line.how == "removed" else line.item
            was = "" if line.how == "added" else line.item
            if line.how == "changed" and made.matched == "likeness":
                was = back.get(line.item, line.item)
            new = _stand_for(after, line.table, item)
            old = _stand_for(before, line.table, was)
            if line.table == "interlocks" and not item:  # what it held may stand there still
                now = (made.same.get(each, "") if made.matched == "likeness" else each for each in old)
                new = tuple(each for each in now if each in after.equipment)
            entries.append(
                Entry(
                    len(entries) + 1,
                    line.how,
                    line.table,
                    section.title,
                    line.name,
                    line.fields,
                    item,
                    was,
                    line.because,
                    new,
                    old,
                    line.table in ("equipment", "runs", "remarks", "interlocks"),
                )
            )
    return tuple(entries)


def _stand_for(snapshot: Snapshot, table: str, item: str) -> tuple[str, ...]:
    """What of a sheet shows a record: itself, what an interlock holds, what a remark of a survey speaks of."""
    record = snapshot.tables.get(table, {}).get(item)
    if record is None:
        return ()
    if table in ("equipment", "runs", "remarks", "sheets"):
        return (item,)
    if table == "interlocks":
        return tuple(dict.fromkeys(held.equipment for held in record.held if held.equipment in snapshot.equipment))
    at = getattr(record, "at", "")
    some: Iterable[str] = (at,) if isinstance(at, str) else at
    known = (snapshot.equipment, snapshot.runs, snapshot.sheets)
    return tuple(each for each in some if any(each in of for of in known))


def entry_words(entry: Entry) -> str:
    """An entry in one line: *changed: F3 (rated current of the link: 200 A, now 150 A)*."""
    how = {"added": _("added"), "removed": _("removed"), "changed": _("changed")}[entry.how]
    if not entry.item and not entry.was:
        return entry.name
    if not entry.fields:
        return _("{how}: {name}").format(how=how, name=entry.name)
    return _("{how}: {name} ({fields})").format(how=how, name=entry.name, fields="; ".join(entry.fields))


def where_words(entry: Entry, old: Whereabouts, new: Whereabouts) -> str:
    """Where a difference stands: *sheet 2 / B3*, *older: sheet 1 / C2* for what is gone; "" where nothing shows it."""
    if entry.shown_new:
        return new.told(entry.shown_new[0])
    if entry.shown_old:
        return _("older: {where}").format(where=old.told(entry.shown_old[0]))
    return ""


def matched_words(made: Differences) -> str:
    """By what things of the two drawings were taken for the same, in a sentence."""
    if made.matched == "ids":
        return _("Matched by id: both are one drawing at two times.")
    unsure = sum(pair.unsure for pair in made.pairs)
    told_words = _("Matched by likeness, for the ids do not agree; each match has a score from 0 to 1 and its reasons.")
    if not unsure:
        return told_words
    return told_words + " " + _("Not sure, another was nearly as like: {n}.").format(n=unsure)


def pair_words(before: Snapshot, after: Snapshot, pair: Pair) -> str:
    """What was taken for what, with score and reasons: *F1 is F3 (0.82): same kind; same rating*."""
    sure = _("{was} is {now} ({score}): {why}")
    text = _("{was} is {now} ({score}), not surely: {why}") if pair.unsure else sure
    return text.format(
        was=_called(before, pair.table, pair.before),
        now=_called(after, pair.table, pair.after),
        score=number(pair.score, 2),
        why="; ".join(pair.why) or _("nothing else is as like"),
    )


def _called(snapshot: Snapshot, table: str, item: str) -> str:
    name = title_of(snapshot, table, item)
    return speaks_of(snapshot, item) if name == item else name
