"""Which ends are still to be traced: where a run goes on nobody knows where, or was only seen at one end.

An end is to be traced where it is an open end that nobody saw to end there, where it was looked for and not seen, where
only the other end was seen, where it is only assumed, and where a terminal that must have a run has none. A run of
which nobody ever said whether its ends were seen was not traced in this sense: `count_ends` counts those, so that an
empty list is never taken for a boat that was traced.
"""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

import msgspec

from engine.installation.model import Snapshot
from engine.installation.records import End, Run
from engine.naming import natural, title_of
from engine.words import N_, _

__all__ = ["WHY", "EndToTrace", "TracePlace", "Traced", "count_ends", "to_be_traced"]

Why = Literal["open end", "not identified", "not seen", "one end seen", "assumed", "nothing arrives"]
WHY: dict[Why, str] = {
    "open end": N_("it goes on, nobody knows where"),
    "not identified": N_("what it ends at is not identified"),
    "not seen": N_("this end was not seen"),
    "one end seen": N_("only the other end was seen"),
    "assumed": N_("where it ends is only assumed"),
    "nothing arrives": N_("a run must arrive here and none is recorded"),
}
_LEFT = ("spare", "to remove")  # of what is left so there is nothing to trace


class EndToTrace(msgspec.Struct, frozen=True, kw_only=True):
    """One end to go and look for. `run` is "" where no run is known; `end` is "from" or "to"."""

    why: Why
    run: str = ""  # id
    end: str = ""
    equipment: str  # id of what is at this end
    terminal: str
    name: str  # the run, else the equipment
    known: str = ""  # the other end, in words
    here: str  # what is recorded at this end, in words
    hint: str = ""  # what was noted of where it goes
    place: str = ""  # id
    place_name: str = ""
    where: str = ""  # enclosure and position

    @property
    def item(self) -> str:
        """Id of what to go to: the run, else the equipment."""
        return self.run or self.equipment

    @property
    def words(self) -> str:
        """*W3 from F1: it goes on, nobody knows where*."""
        told = _("{name} from {known}") if self.run and self.known else "{name}"
        return _("{thing}: {why}").format(thing=told.format(name=self.name, known=self.known), why=_(WHY[self.why]))


class TracePlace(NamedTuple):
    """The ends of one place, in walking order; `place` is "" for those that have none recorded."""

    place: str
    heading: str
    ends: tuple[EndToTrace, ...]


class Traced(NamedTuple):
    """How many runs there are, of how many both ends were seen, of how many nobody said anything."""

    runs: int
    seen: int
    unsaid: int


def count_ends(snapshot: Snapshot) -> Traced:
    """What is known of how runs were traced; what is spare or to remove aside."""
    runs = [run for run in snapshot.runs.values() if run.status not in _LEFT]
    both = [(run.from_end.seen, run.to_end.seen) for run in runs]
    return Traced(len(runs), both.count((True, True)), both.count((None, None)))


def to_be_traced(snapshot: Snapshot) -> tuple[TracePlace, ...]:
    """Every end to be traced, by place in the order the places were recorded in, those without place last."""
    loose = {item for item, record in snapshot.equipment.items() if record.KIND == "open_end"}
    found = []
    for item, run in snapshot.runs.items():
        start, end = run.from_end, run.to_end
        said = start.seen is not None or end.seen is not None or run.origins
        if not said and start.equipment not in loose and end.equipment not in loose:
            continue  # most runs of a large boat that was drawn
        if run.status not in _LEFT:
            both = (_end(snapshot, item, run, "from"), _end(snapshot, item, run, "to"))
            found += [made for made in both if made is not None]
    found += _bare(snapshot)
    by_place: dict[str, list[EndToTrace]] = {}
    for one in found:
        by_place.setdefault(one.place, []).append(one)
    order = [place for place in sorted(snapshot.places, key=natural) if place in by_place]
    order += [""] if "" in by_place else []
    return tuple(
        TracePlace(
            place,
            title_of(snapshot, "places", place) if place else _("No place recorded"),
            tuple(sorted(by_place[place], key=_walked)),
        )
        for place in order
    )


def _walked(end: EndToTrace) -> tuple[object, ...]:
    return natural(end.where), natural(end.here), natural(end.name), natural(end.item), end.end, end.terminal


def _end(snapshot: Snapshot, item: str, run: Run, which: str) -> EndToTrace | None:
    at, other = (run.from_end, run.to_end) if which == "from" else (run.to_end, run.from_end)
    record: Any = snapshot.equipment[at.equipment]
    why = _why(record, run, at, other, which)
    if why is None:
        return None
    is_open = record.KIND == "open_end"
    known = "" if snapshot.equipment[other.equipment].KIND == "open_end" else _at(snapshot, other)
    place, where = _place(snapshot, run, which)
    hints = (record.leads_to, record.label) if is_open else ()
    return EndToTrace(
        why=why,
        run=item,
        end=which,
        equipment=at.equipment,
        terminal=at.terminal,
        name=run.designation or run.label or title_of(snapshot, "runs", item),
        known=known,
        here=_("open end") if is_open else _at(snapshot, at),
        hint=next((hint for hint in hints if hint), "") or run.note,
        place=place,
        place_name=title_of(snapshot, "places", place) if place else "",
        where=where,
    )


def _why(record: Any, run: Run, at: End, other: End, which: str) -> Why | None:
    if record.KIND == "open_end" and record.status not in _LEFT:
        if at.seen is not True:
            return "open end"
        if record.insulated is None and (record.leads_to or record.label):
            return "not identified"
    if at.seen is False:
        return "not seen"
    if at.seen is None and other.seen is True:
        return "one end seen"
    if run.origin(f"{which}_end") == "assumed" and at.seen is not True:
        return "assumed"
    return None


def _at(snapshot: Snapshot, end: End) -> str:
    return f"{title_of(snapshot, 'equipment', end.equipment)}.{end.terminal}"


def _place(snapshot: Snapshot, run: Run, which: str) -> tuple[str, str]:
    """Where to begin looking: where the end stands, else the nearest place the run passes, else the other end's."""
    at, other = (run.from_end, run.to_end) if which == "from" else (run.to_end, run.from_end)
    place, where = _stands(snapshot, at.equipment)
    if place:
        return place, where
    passed = [passage.place for passage in run.places if passage.place in snapshot.places]
    if passed:
        return (passed[0] if which == "from" else passed[-1]), where
    return _stands(snapshot, other.equipment)[0], where


def _stands(snapshot: Snapshot, item: str) -> tuple[str, str]:
    record = snapshot.equipment[item]
    box = snapshot.enclosures.get(record.enclosure)
    place = record.place or (box.place if box is not None else "")
    parts = (title_of(snapshot, "enclosures", record.enclosure) if box is not None else "", record.position)
    return (place if place in snapshot.places else ""), ", ".join(part for part in parts if part)


def _bare(snapshot: Snapshot) -> list[EndToTrace]:
    """Terminals that must have a run and have none."""
    arrives = {(end.equipment, end.terminal) for run in snapshot.runs.values() for end in (run.from_end, run.to_end)}
    made = []
    for item, record in snapshot.equipment.items():
        if record.status in _LEFT or not record.KIND:
            continue
        for terminal in record.terminals():
            if terminal.must and (item, terminal.name) not in arrives:
                place, where = _stands(snapshot, item)
                name = title_of(snapshot, "equipment", item)
                made.append(
                    EndToTrace(
                        why="nothing arrives",
                        equipment=item,
                        terminal=terminal.name,
                        name=f"{name}.{terminal.name}",
                        here=f"{name}.{terminal.name}",
                        place=place,
                        place_name=title_of(snapshot, "places", place) if place else "",
                        where=where,
                    )
                )
    return made
