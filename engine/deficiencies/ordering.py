"""The order of deficiencies, their numbers, what they speak of and how they stand, in words."""

from __future__ import annotations

from engine.installation import Snapshot
from engine.installation.surveying import Deficiency
from engine.naming import speaks_of, title_of
from engine.words import N_, _

__all__ = ["STATUSES", "in_order", "is_open", "next_number", "place_of", "status_words", "told_at"]

STATUSES = {
    "open": N_("open"),
    "in hand": N_("in hand"),
    "closed": N_("closed"),
    "not agreed": N_("not agreed"),
}


def next_number(snapshot: Snapshot) -> int:
    """The number of the next deficiency: above every number there is, closed ones' as well; none is given twice."""
    return max((d.number or 0 for d in snapshot.deficiencies.values()), default=0) + 1


def in_order(snapshot: Snapshot, survey: str = "") -> list[tuple[str, Deficiency]]:
    """Deficiencies, of one survey where it is named: class A first, without class last; within a class by number."""
    some = ((i, d) for i, d in snapshot.deficiencies.items() if not survey or d.survey == survey)
    return sorted(some, key=lambda each: _order(*each))


def _order(item: str, deficiency: Deficiency) -> tuple[str, bool, int, int, str]:
    number = deficiency.number
    made = int(item[1:]) if item[1:].isdecimal() else 0
    return deficiency.grade or "D", number is None, number or 0, made, item


def is_open(deficiency: Deficiency) -> bool:
    """Whether it still asks for something: all but those seen put right."""
    return deficiency.status != "closed"


def status_words(deficiency: Deficiency) -> str:
    """How it stands: *closed, seen by R. Terns on 2026-05-02: new lug in place*."""
    told = _(STATUSES[deficiency.status])
    if deficiency.status == "closed":
        return _("closed, seen put right by {who} on {date}: {evidence}").format(
            who=deficiency.closed_by, date=deficiency.closed, evidence=deficiency.evidence or _("photographs")
        )
    if deficiency.status == "not agreed" and deficiency.answer.strip():
        return _("not agreed; the answer: {answer}").format(answer=" ".join(deficiency.answer.split()))
    return told


def told_at(snapshot: Snapshot, deficiency: Deficiency) -> str:
    """What it speaks of and where that is, by name: *F3, engine space*; of nothing drawn, the sheet; "" for nothing."""
    told = [speaks_of(snapshot, deficiency.at)] if deficiency.at else []
    place = place_of(snapshot, deficiency)
    if place:
        told.append(title_of(snapshot, "places", place))
    if not told and deficiency.sheet in snapshot.sheets:
        told.append(title_of(snapshot, "sheets", deficiency.sheet))
    return ", ".join(dict.fromkeys(told))


def place_of(snapshot: Snapshot, deficiency: Deficiency) -> str:
    """Id of the place aboard: its own, else that of the equipment, its enclosure or the one place of a run."""
    if deficiency.place in snapshot.places:
        return deficiency.place
    at = deficiency.at
    if at in snapshot.equipment:
        record = snapshot.equipment[at]
        enclosure = snapshot.enclosures.get(record.enclosure)
        return record.place or ("" if enclosure is None else enclosure.place)
    if at in snapshot.enclosures:
        return snapshot.enclosures[at].place
    if at in snapshot.runs:
        passed = {passage.place for passage in snapshot.runs[at].places}
        return passed.pop() if len(passed) == 1 else ""
    return ""
