"""The walk aboard: all that is drawn, place by place, and what of it was seen in a survey.

One point a place, an enclosure, a piece of equipment; of a run one in every place it touches. Places come in the order
they were recorded in, within a place the place itself, what stands free, then each enclosure by position, then runs;
what has no place recorded comes last. Words are made only when they are wanted: a large boat has thousands of points.
"""

from __future__ import annotations

import functools
from typing import NamedTuple

from engine.books import Book, BookError, load
from engine.installation import Snapshot
from engine.naming import inside, natural, title_of
from engine.survey.aboard import System, systems
from engine.survey.looking import look_at
from engine.words import _

__all__ = ["Group", "Item", "Point", "Walk", "checklist"]


class Point(NamedTuple):
    """One thing to be looked at. `place`: of a run that touches several places, the one it is looked at in; else ""."""

    table: str
    item: str
    place: str = ""


class Item(NamedTuple):
    """A point in words."""

    point: Point
    name: str  # designation or name
    what: str  # kind; from where to where
    label: str  # in the owner's words
    where: str  # enclosure and position
    look: tuple[str, ...]  # what to look at, in phrases
    drawn: bool  # whether any sheet shows it

    @property
    def told(self) -> str:
        """*F21 fuse (Bilge pump 1)*."""
        if self.point.table == "places":
            return self.name
        what = inside(self.what) if self.what.casefold() != self.name.casefold() else ""
        told = " ".join(part for part in (self.name, what) if part)
        shows = self.label and self.label.casefold() not in (self.what.casefold(), self.name.casefold())
        return _("{name} ({label})").format(name=told, label=self.label) if shows else told


class Group:
    """The points of one place; `place` is "" for those that have none recorded."""

    def __init__(self, walk: Walk, place: str, points: list[Point]) -> None:
        self.place = place
        self.heading = title_of(walk.snapshot, "places", place) if place else _("No place recorded")
        self._walk, self._loose = walk, points

    def __len__(self) -> int:
        return len(self._loose)

    @property
    def loose(self) -> tuple[Point, ...]:
        """In no order."""
        return tuple(self._loose)

    @functools.cached_property
    def points(self) -> tuple[Point, ...]:
        """In walking order."""
        return tuple(sorted(self._loose, key=self._walk.walked))

    @functools.cached_property
    def items(self) -> tuple[Item, ...]:
        """In walking order, in words."""
        return tuple(self._walk.item(point) for point in self.points)


class Walk:
    """Everything to be looked at in one state of a drawing."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self._order = {place: n for n, place in enumerate(sorted(snapshot.places, key=natural))}
        by_place: dict[str, list[Point]] = {place: [Point("places", place)] for place in self._order}
        for item, enclosure in snapshot.enclosures.items():
            by_place.setdefault(self._known(enclosure.place), []).append(Point("enclosures", item))
        boxes = {item: self._known(enclosure.place) for item, enclosure in snapshot.enclosures.items()}
        self._stands: dict[str, str] = {}
        for item, record in snapshot.equipment.items():
            place = self._known(record.place) or boxes.get(record.enclosure, "")
            self._stands[item] = place
            by_place.setdefault(place, []).append(Point("equipment", item))
        for item in snapshot.runs:
            touched = self.places_of(item)
            if len(touched) > 1:
                for place in touched:
                    by_place.setdefault(place, []).append(Point("runs", item, place))
            else:
                by_place.setdefault(touched[0] if touched else "", []).append(Point("runs", item))
        self.groups = tuple(
            Group(self, place, by_place[place])
            for place in sorted(by_place, key=lambda p: self._order.get(p, len(self._order)))
        )

    @functools.cached_property
    def systems(self) -> tuple[System, ...]:
        """The systems of voltage aboard, each to be seen energised."""
        return systems(self.snapshot)

    @functools.cached_property
    def book(self) -> Book | None:
        """The book the drawing is judged by; `None` where there is none of that name."""
        try:
            return load(self.snapshot.settings.book)
        except BookError:
            return None

    def __len__(self) -> int:
        return sum(len(group) for group in self.groups)

    def _known(self, place: str) -> str:
        return place if place in self._order else ""

    def place_of(self, equipment: str) -> str:
        """Id of the place a piece of equipment stands in; "" where none is recorded."""
        return self._stands.get(equipment, "")

    def places_of(self, run: str) -> tuple[str, ...]:
        """Ids of the places a run touches, from its one end to the other."""
        record = self.snapshot.runs[run]
        stands, order = self._stands, self._order
        touched = {stands.get(record.from_end.equipment, ""): None}
        for passage in record.places:
            if passage.place in order:
                touched[passage.place] = None
        touched[stands.get(record.to_end.equipment, "")] = None
        touched.pop("", None)
        return tuple(touched)

    @functools.cached_property
    def undrawn(self) -> frozenset[str]:
        """Ids of equipment and runs that no sheet shows."""
        placed = {placement.equipment for placement in self.snapshot.placements.values()}
        led = {route.run for route in self.snapshot.routes.values()}
        return frozenset(
            [item for item in self.snapshot.equipment if item not in placed]
            + [
                item
                for item, run in self.snapshot.runs.items()
                if item not in led and not {run.from_end.equipment, run.to_end.equipment} <= placed
            ]
        )

    def redrawn(self, snapshot: Snapshot) -> None:
        """Go on with a drawing in which only sheets, and what they show, are other than before."""
        self.snapshot = snapshot
        self.__dict__.pop("undrawn", None)

    def walked(self, point: Point) -> tuple[object, ...]:
        """The order one walks in within a place."""
        table, item, _place = point
        enclosure = position = ""
        if table == "enclosures":
            enclosure = title_of(self.snapshot, table, item)
        elif table == "equipment":
            record = self.snapshot.equipment[item]
            if record.enclosure in self.snapshot.enclosures:
                enclosure = title_of(self.snapshot, "enclosures", record.enclosure)
            position = record.position
        return (
            table != "places",
            table == "runs",
            natural(enclosure),
            table != "enclosures",
            natural(position),
            natural(title_of(self.snapshot, table, item)),
            natural(item),
        )

    def item(self, point: Point) -> Item:
        """A point in words."""
        snapshot, (table, item, place) = self.snapshot, point
        record = snapshot.tables[table][item]
        where = ""
        if table == "equipment":
            enclosure = record.enclosure if record.enclosure in snapshot.enclosures else ""
            named = title_of(snapshot, "enclosures", enclosure) if enclosure else ""
            where = ", ".join(part for part in (named, record.position) if part)
        return Item(
            point,
            title_of(snapshot, table, item),
            self._what(table, item),
            getattr(record, "label", ""),
            where,
            look_at(snapshot, self.book, table, item, place),
            item not in self.undrawn,
        )

    def _what(self, table: str, item: str) -> str:
        if table == "places":
            return _("place")
        if table == "enclosures":
            return _("enclosure")
        record = self.snapshot.tables[table][item]
        if table == "equipment":
            return _(record.NAME)
        start, end = (title_of(self.snapshot, "equipment", e.equipment) for e in (record.from_end, record.to_end))
        return _("run from {start} to {end}").format(start=start, end=end)


def checklist(snapshot: Snapshot) -> tuple[Group, ...]:
    """What there is to be looked at, place by place in walking order."""
    return Walk(snapshot).groups
