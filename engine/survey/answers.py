"""What was said of each point of the walk in a survey, what was not inspected, and the edits that say it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, NamedTuple

import msgspec

from engine.edits import Edit
from engine.edits.draft import Draft
from engine.installation import Snapshot
from engine.installation.surveying import Inspection
from engine.naming import natural, speaks_of
from engine.survey.aboard import System
from engine.survey.checklist import Group, Item, Point, Walk
from engine.words import N_, _

__all__ = [
    "ENERGISED",
    "SEEN",
    "Counts",
    "Energised",
    "NotInspected",
    "Seen",
    "State",
    "answered",
    "not_inspected",
    "state",
    "system_answered",
]

Seen = Literal["", "seen", "not seen", "not accessible"]
Energised = Literal["", "energised", "not energised", "not tested"]
SEEN: tuple[Seen, ...] = ("seen", "not seen", "not accessible")
ENERGISED: tuple[Energised, ...] = ("energised", "not energised", "not tested")
_WORDS = (N_("seen"), N_("not seen"), N_("not accessible"), N_("energised"), N_("not energised"), N_("not tested"))


class Counts(NamedTuple):
    """How many points were answered how."""

    seen: int = 0
    not_seen: int = 0
    not_accessible: int = 0
    open: int = 0

    @property
    def all(self) -> int:
        """How many there are."""
        return sum(self)

    @property
    def words(self) -> str:
        """*12 seen, 1 not seen, 2 not accessible, 30 open*."""
        return _("{seen} seen, {not_seen} not seen, {not_accessible} not accessible, {open} open").format(
            seen=self.seen, not_seen=self.not_seen, not_accessible=self.not_accessible, open=self.open
        )


def _made(item: str) -> tuple[int, str]:
    """Ids in the order they were made in."""
    return (int(item[1:]) if item[1:].isdecimal() else 0), item


class State:
    """What a survey says of each point and system. Of two records of one thing the later made one holds."""

    def __init__(self, snapshot: Snapshot, survey: str) -> None:
        self.survey = survey
        self._points: dict[tuple[str, str], str] = {}
        self._systems: dict[str, str] = {}
        self._records = snapshot.inspections
        for item in sorted(snapshot.inspections, key=_made):
            record = snapshot.inspections[item]
            if record.survey != survey:
                continue
            if record.system:
                self._systems[record.system] = item
            if record.at:
                self._points[record.at, record.place] = item

    def id_of(self, point: Point | System) -> str:
        """Id of the inspection of just this, "" where there is none."""
        if isinstance(point, System):
            return self._systems.get(point.key, "")
        return self._points.get((point.item, point.place), "")

    def of(self, point: Point | System) -> Inspection | None:
        """What was said of it; of a run in one place, else of the whole run."""
        item = self.id_of(point)
        if not item and isinstance(point, Point):
            item = self._points.get((point.item, ""), "")
        return self._records[item] if item else None

    def seen(self, point: Point) -> Seen:
        """Whether it was seen, "" where nobody said."""
        record = self.of(point)
        return "" if record is None else record.seen

    def energised(self, system: System) -> Energised:
        """Whether it was seen energised, "" where nobody said."""
        record = self.of(system)
        return "" if record is None else record.energised

    def note(self, point: Point | System) -> str:
        """What was noted of it."""
        record = self.of(point)
        return "" if record is None else record.note

    def counts(self, points: Iterable[Point]) -> Counts:
        """How many of these were answered how."""
        n = {"": 0, "seen": 0, "not seen": 0, "not accessible": 0}
        for point in points:
            n[self.seen(point)] += 1
        return Counts(n["seen"], n["not seen"], n["not accessible"], n[""])


class Unseen(NamedTuple):
    """A point that was not inspected: in which place, and what was noted of it."""

    heading: str
    item: Item
    note: str = ""

    @property
    def words(self) -> str:
        """*F21 fuse (Bilge pump 1), engine space: behind the tank*."""
        told = f"{self.item.told}, {self.heading}" if self.item.point.table != "places" else self.item.name
        return f"{told}: {self.note}" if self.note else told


class NotInspected(NamedTuple):
    """What a survey must say was not inspected."""

    not_seen: tuple[Unseen, ...]
    not_accessible: tuple[Unseen, ...]
    unanswered: tuple[Unseen, ...]  # nothing was ever said of these
    not_energised: tuple[tuple[System, str], ...]  # with what was noted
    not_tested: tuple[tuple[System, str], ...]
    systems_unanswered: tuple[System, ...]
    on_no_sheet: tuple[Item, ...]  # recorded, and no sheet shows it
    counts: Counts
    systems: int  # how many there are

    @property
    def is_nothing(self) -> bool:
        """Whether everything was seen, every system energised, all of it drawn."""
        return not any(self[:7])

    @property
    def words(self) -> str:
        """One sentence on how much was inspected."""
        if not self.counts.all:
            return _("Nothing is drawn: there was no list to walk by, and nothing is told as inspected.")
        return _("Seen: {seen} of {n} on the walk.").format(seen=self.counts.seen, n=self.counts.all)


def state(snapshot: Snapshot, survey: str) -> State:
    """What a survey says of each point of the walk. `survey`: its id; "" for what belongs to none."""
    return State(snapshot, survey)


def not_inspected(snapshot: Snapshot, survey: str) -> NotInspected:
    """What was not seen, could not be reached, was never answered, was not energised; and what is on no sheet."""
    walk, said = Walk(snapshot), State(snapshot, survey)
    by_answer: dict[str, list[Unseen]] = {"not seen": [], "not accessible": [], "": []}
    counts: list[Point] = []
    for group in walk.groups:
        for point in group.points:
            counts.append(point)
            if (answer := said.seen(point)) in by_answer:
                by_answer[answer].append(Unseen(group.heading, walk.item(point), said.note(point)))
    by_system: dict[str, list[tuple[System, str]]] = {answer: [] for answer in ("", *ENERGISED)}
    for system in walk.systems:
        by_system[said.energised(system)].append((system, said.note(system)))
    missing = sorted(walk.undrawn, key=lambda i: (i in snapshot.runs, natural(snapshot.name(i)), natural(i)))
    return NotInspected(
        tuple(by_answer["not seen"]),
        tuple(by_answer["not accessible"]),
        tuple(by_answer[""]),
        tuple(by_system["not energised"]),
        tuple(by_system["not tested"]),
        tuple(system for system, _note in by_system[""]),
        tuple(walk.item(Point("runs" if item in snapshot.runs else "equipment", item)) for item in missing),
        said.counts(counts),
        len(walk.systems),
    )


# -- edits ----------------------------------------------------------------------------------------------------------
def answered(
    snapshot: Snapshot,
    last_id: int,
    survey: str,
    points: Iterable[Point],
    *,
    seen: Seen | None = None,
    note: str | None = None,
    who: str = "",
    date: str = "",
) -> Edit:
    """The edit that says of some points whether they were seen, or what is noted; `None` leaves that as it is.

    What then says nothing is taken out again.
    """
    said, draft = State(snapshot, survey), Draft(snapshot, last_id)
    first: Point | None = None
    for point in points:
        first = first or point
        before = said.of(point) or Inspection()
        made = Inspection(
            survey=survey,
            at=point.item,
            place=point.place,
            seen=before.seen if seen is None else seen,
            note=before.note if note is None else note,
            who=who or before.who,
            date=date or before.date,
        )
        _put(draft, said.id_of(point), made)
    words = _("Walk: {answer}").format(answer=_(seen)) if seen else _("Walk: note") if note else _("Walk: no answer")
    if first is not None:
        words = f"{words}, {speaks_of(snapshot, first.item)}"
    return draft.done(words)


def system_answered(
    snapshot: Snapshot,
    last_id: int,
    survey: str,
    system: System,
    *,
    energised: Energised | None = None,
    note: str | None = None,
    who: str = "",
    date: str = "",
) -> Edit:
    """The edit that says whether a system was seen energised, or what is noted of it."""
    said, draft = State(snapshot, survey), Draft(snapshot, last_id)
    before = said.of(system) or Inspection()
    made = Inspection(
        survey=survey,
        system=system.key,
        energised=before.energised if energised is None else energised,
        note=before.note if note is None else note,
        who=who or before.who,
        date=date or before.date,
    )
    _put(draft, said.id_of(system), made)
    words = _("Walk: {answer}").format(answer=_(energised)) if energised else _("Walk: note")
    return draft.done(f"{words}, {system.words}")


def _put(draft: Draft, item: str, made: Inspection) -> None:
    if not (made.seen or made.energised or made.note):
        if item:
            draft.put("inspections", item, None)
    elif item:
        kept = draft.get("inspections", item)
        draft.put("inspections", item, msgspec.structs.replace(made, origins=kept.origins, unknown=kept.unknown))
    else:
        draft.add("inspections", made)


def open_of(group: Group, said: State) -> tuple[Point, ...]:
    """Points of a place of which nothing was said yet."""
    return tuple(point for point in group.points if not said.seen(point))
