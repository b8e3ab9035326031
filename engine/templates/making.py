"""A sub-assembly being put together: new ids, free designations, places, conductors of a size that suits.

What a template adds is *new*. A figure that nobody gave is a proposal: its origin is *assumed* until the article that
is bought has its own; what a person answered has the origin *typed*.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import Any, NamedTuple

import msgspec

from engine.books import Book
from engine.books.ampacity import ampacity
from engine.books.resistances import ohm_per_m
from engine.edits.designations import for_kind, next_designation
from engine.edits.draft import Draft
from engine.edits.edit import EditError, Several
from engine.equipment import kind_named
from engine.equipment.base import Breaking, Equipment
from engine.installation import (
    Condition,
    ConditionDuty,
    Enclosure,
    End,
    Held,
    Interlock,
    Passage,
    Place,
    Run,
    Setting,
    Snapshot,
)
from engine.record import Origin
from engine.study import Study
from engine.templates.stock import NOT_OFFERED, PLACES, PlaceFacts
from engine.units import AWG_SIZES, METRIC_SIZES, area_mm2, number
from engine.words import _

__all__ = ["ALIKE", "Making", "Spot"]

INSULATION_C = 105.0
PLAIN = (
    "designation",
    "label",
    "place",
    "enclosure",
    "position",
    "marking",
    "status",
    "poles",
    "in_position",
    "quantity",
)
MOST_PARALLEL = 4
ALIKE = 0.2  # of the volts: 25.6 V is a 24 V system, 14.4 V a 12 V one
APART_ABOVE_A = 60  # conductors for more are laid by themselves, lesser ones as a pair in one sheath

# (largest device in amperes, smallest conductor it stands before)
AC_LEAST = ((15, "14 AWG"), (20, "12 AWG"), (30, "10 AWG"), (40, "8 AWG"), (55, "6 AWG"))
AC_LEAST_METRIC = ((16, "2.5 mm2"), (20, "4 mm2"), (32, "6 mm2"), (40, "10 mm2"), (63, "16 mm2"))
DC_LEAST = ((20, "14 AWG"), (30, "12 AWG"), (45, "10 AWG"), (70, "8 AWG"))
DC_LEAST_METRIC = ((16, "1.5 mm2"), (20, "2.5 mm2"), (32, "4 mm2"), (63, "6 mm2"))


class Spot(NamedTuple):
    """A terminal of a piece of equipment, by id."""

    equipment: str
    terminal: str


class Making:
    """Grows one edit. Lengths are metres, currents amperes."""

    def __init__(self, snapshot: Snapshot, last_id: int, book: Book, *, is_metric: bool) -> None:
        self.draft = Draft(snapshot, last_id)
        self.book = book
        self.is_metric = is_metric
        self.items: list[str] = []  # equipment made, in order
        self._places: dict[str, str] = {}
        self._boxes: dict[str, str] = {}
        self._studs: dict[str, int] = {}

    # -- where things stand -----------------------------------------------------------------------------------------
    def place(self, name: str) -> str:
        """The id of a place of the drawing of that name, else of the only one of its kind, else of a new one."""
        if name not in self._places:
            self._places[name] = self._place(name, PLACES[name])
        return self._places[name]

    def _place(self, name: str, facts: PlaceFacts) -> str:
        kind: Any = facts.kind
        fuel = self.draft.first.vessel.engine_fuel
        if kind == "diesel machinery" and fuel.startswith("petrol"):
            kind = "petrol machinery"
        there = self.draft.table("places")
        for item, place in there.items():
            if place.name.casefold() in (name.casefold(), _(facts.name).casefold()):
                return item
        alike = [item for item, place in there.items() if place.kind == kind]
        if facts.only_one and len(alike) == 1:
            return alike[0]
        return self.draft.add(
            "places",
            Place(
                name=_(facts.name),
                kind=kind,
                temperature_c=facts.temperature_c,
                origins=(("temperature_c", "assumed"),),
            ),
        )

    def box(self, name: str, place: str, *, sign: bool = False) -> str:
        """The id of a new panel or box; `sign`: it says that several sources feed it."""
        if name not in self._boxes:
            borne = {record.name.casefold() for record in self.draft.table("enclosures").values()}
            record = Enclosure(name=_free(name, borne), place=self.place(place), several_sources_sign=sign)
            self._boxes[name] = self.draft.add("enclosures", record)
        return self._boxes[name]

    # -- equipment --------------------------------------------------------------------------------------------------
    def add(self, kind: str, place: str, label: str, typed: Iterable[str] = (), **fields: Any) -> str:
        """A new piece of equipment; returns its id. `typed` names the fields that a person answered."""
        cls = kind_named(kind)
        assert cls is not None, kind
        at = self.place(place)
        known: dict[str, Any] = {"status": "new", "label": label, "marking": label.upper()}
        if self.draft.get("places", at).kind == "petrol machinery":
            known["ignition_protected"] = True
        known |= fields
        record: Equipment = cls(
            designation=for_kind(self.draft.snapshot(), kind),
            place=at,
            origins=_origins(known, tuple(typed)),
            **known,
        )
        item = self.draft.add("equipment", record)
        self.items.append(item)
        return item

    def of(self, item: str) -> Any:
        """The record of equipment as it stands."""
        return self.draft.get("equipment", item)

    def set(self, item: str, **fields: Any) -> None:
        """Change fields of equipment this template made."""
        self.draft.change("equipment", item, **fields)

    def found(self, asked: str, what: str) -> str:
        """The id of equipment a person named. Raises `EditError` where there is none, or several."""
        wanted = asked.rpartition(".")[0] if "." in asked and not self._called(asked) else asked
        called = self._called(wanted)
        if len(called) != 1:
            told = _("{what}: there is no equipment “{name}” on the drawing")
            if called:
                told = _("{what}: several pieces of equipment are called “{name}”")
            raise EditError(told.format(what=what, name=wanted))
        return called[0]

    def joined(self, asked: str, what: str, conductors: tuple[str, ...]) -> Spot:
        """The terminal a person named (`X1` or `X1.bar`), which must take these conductors. Raises `EditError`."""
        item = self.found(asked, what)
        record = self.of(item)
        name = "" if self._called(asked) else asked.rpartition(".")[2]
        takes = [t.name for t in record.terminals() if set(conductors) <= set(t.conductors)]
        if name and name not in {t.name for t in record.terminals()}:
            raise EditError(
                _("{what}: {designation} has no terminal “{name}”; it has {names}").format(
                    what=what,
                    designation=record.designation,
                    name=name,
                    names=", ".join(t.name for t in record.terminals()) or _("none"),
                )
            )
        if name:
            takes = [t for t in takes if t == name]
        if not takes or getattr(record, "purpose", "") in ("negative", "neutral", "protective earth", "bonding"):
            raise EditError(
                _("{what}: {name} takes no {conductors}").format(
                    what=what, name=asked, conductors=_(" and ").join(conductors)
                )
            )
        return Spot(item, takes[0])

    def hold_to(self, volts: float, spot: Spot, conductor: str, what: str) -> None:
        """Raise `EditError` where what is joined is known to be of other volts than were answered."""
        other = [have for have in self.nominal_at(spot, conductor) if abs(have / volts - 1) > ALIKE]
        if other:
            raise EditError(
                _("{what}: {name} is of {have} V, and {volts} V were answered").format(
                    what=what, name=self.of(spot.equipment).designation, have=number(other[0]), volts=number(volts)
                )
            )

    def nominal_at(self, spot: Spot, conductor: str) -> tuple[float, ...]:
        """Nominal volts that the drawing as it was has at a spot, as far as they are known."""
        study = self._study
        return study.volts.at(study.circuit.node(spot.equipment, spot.terminal, conductor)).nominal()

    def sources_at(self, spot: Spot, conductor: str, *, battery: bool) -> tuple[str, ...]:
        """Equipment of the drawing as it was that can feed a spot; with `battery` banks only."""
        study = self._study
        feeds = study.volts.at(study.circuit.node(spot.equipment, spot.terminal, conductor)).feeds
        return tuple(dict.fromkeys(feed.equipment for feed in feeds if feed.source.battery or not battery))

    @cached_property
    def _study(self) -> Study:
        """Of the drawing as it was."""
        return Study(self.draft.first, self.book)

    def _called(self, name: str) -> list[str]:
        folded = name.casefold()
        return [i for i, r in self.draft.table("equipment").items() if r.designation.casefold() == folded]

    # -- runs -------------------------------------------------------------------------------------------------------
    def dc(
        self,
        start: Spot,
        end: Spot,
        amps: float,
        metres: float,
        *,
        volts: float,
        load_a: float = 0.0,
        drop: float = 0.03,
        inside: bool = False,
        typed: tuple[str, ...] = (),
    ) -> str:
        """Positive and negative, for a device of `amps` and, over `metres`, `drop` of `volts` at `load_a`.

        To a bus that is recorded as positive only, the positive alone.
        """
        purposes = {getattr(self.of(spot.equipment), "purpose", "") for spot in (start, end)}
        function = "dc positive" if "positive" in purposes else "dc pair"
        apart = amps > APART_ABOVE_A or function == "dc positive"
        colours = "red + black" if self.is_metric else "red + yellow"
        run = self._run(start, end, metres, inside=inside, function=function, bundle=1 if apart else 2)
        run = msgspec.structs.replace(run, colour="red" if function == "dc positive" else colours)
        return self._sized(run, amps, metres, volts, 2 * load_a / (drop * volts) if load_a else 0.0, typed)

    def ac(
        self,
        start: Spot,
        end: Spot,
        amps: float,
        metres: float,
        *,
        volts: float,
        inside: bool = False,
        earth: bool = True,
        typed: tuple[str, ...] = (),
    ) -> str:
        """Line, neutral and (unless told otherwise) protective earth, for a device of `amps`; 3 % lost at most."""
        colours = ("brown + blue", "green/yellow") if self.is_metric else ("black + white", "green")
        colour = " + ".join(colours) if earth else colours[0]
        run = self._run(start, end, metres, inside=inside, function="ac", earth=earth, bundle=2, colour=colour)
        return self._sized(run, amps, metres, volts, 2 * amps / (0.03 * volts), typed)

    def earth(self, start: Spot, end: Spot, metres: float, like: Iterable[str] = (), least: str = "") -> str:
        """A protective conductor as large as the largest of the runs `like`, and no smaller than `least`."""
        floor = least or ("6 mm2" if self.is_metric else "8 AWG")
        sizes = [floor, *(self.draft.get("runs", run).size for run in like)]
        colour = "green/yellow" if self.is_metric else "green"
        run = self._run(start, end, metres, function="earth", colour=colour)
        return self._put(run, max(sizes, key=area_mm2), 1, ())

    def ground(self, start: Spot, end: Spot, metres: float, like: Iterable[str] = ()) -> str:
        """The DC negative's joint with the boat's ground, as large as the largest of the runs `like`."""
        sizes = ["6 mm2" if self.is_metric else "8 AWG", *(self.draft.get("runs", run).size for run in like)]
        colour = "black" if self.is_metric else "yellow"
        run = self._run(start, end, metres, function="dc negative", bundle=1, colour=colour)
        return self._put(run, max(sizes, key=area_mm2), 1, ())

    def signal(self, start: Spot, end: Spot, metres: float) -> str:
        """A control or sense lead."""
        run = self._run(start, end, metres, function="signal", colour="brown")
        return self._put(run, "1.5 mm2" if self.is_metric else "16 AWG", 1, ())

    def _run(self, start: Spot, end: Spot, metres: float, *, inside: bool = False, **facts: Any) -> Run:
        first, second = (self.of(spot.equipment) for spot in (start, end))
        places = [place for place in dict.fromkeys((first.place, second.place)) if place]
        passages = tuple(
            Passage(place=place, length_m=round(metres / len(places), 3), unsheathed_m=0.0) for place in places
        )
        name = next_designation(self.draft.snapshot(), "W")
        return Run(
            designation=name,
            label=_("{one} to {other}").format(one=first.designation, other=second.designation),
            from_end=self._end(start, name),
            to_end=self._end(end, name),
            length_m=metres,
            conductor="tinned copper",
            insulation_c=INSULATION_C,
            insulation="" if self.is_metric else "UL 1426, XLPE",
            sheath="enclosed" if inside else "sheathed",
            places=passages,
            supported=True,
            chafe_protected=True,
            separated=True,
            status="new",
            away_reason=_("the device stands in the panel, on the bar") if inside else "",
            **facts,
        )

    def _end(self, spot: Spot, name: str) -> End:
        number = None
        if self.of(spot.equipment).KIND == "bus_bar":
            number = self._stud(spot.equipment)
        return End(equipment=spot.equipment, terminal=spot.terminal, marker=name, stud_number=number)

    def _stud(self, item: str) -> int | None:
        """The next stud of a bus that nothing is on; `None` where its studs are not recorded."""
        if not self.of(item).studs:
            return None
        if item not in self._studs:
            ends = (end for run in self.draft.table("runs").values() for end in (run.from_end, run.to_end))
            self._studs[item] = max((end.stud_number or 0 for end in ends if end.equipment == item), default=0)
        self._studs[item] += 1
        return self._studs[item] if self._studs[item] <= self.of(item).studs else None

    def _sized(
        self, run: Run, amps: float, metres: float, volts: float, ohm_share: float, typed: tuple[str, ...]
    ) -> str:
        """The smallest conductor that carries `amps` and loses no more; several in parallel where none is so large."""
        snapshot = self.draft.snapshot()
        sizes = [size for size in (METRIC_SIZES if self.is_metric else AWG_SIZES) if size not in NOT_OFFERED]
        least = area_mm2(_least(run.function, amps, is_metric=self.is_metric))
        sizes = [size for size in sizes if area_mm2(size) >= least]
        for parallel in range(1, MOST_PARALLEL + 1):
            for size in sizes:
                if parallel > 1 and area_mm2(size) < area_mm2("50 mm2" if self.is_metric else "1/0 AWG"):
                    continue
                tried = msgspec.structs.replace(run, size=size, parallel=parallel)
                lost = ohm_per_m(size, "tinned copper", 60.0) / parallel * metres * ohm_share
                if ampacity(self.book, tried, snapshot, volts).low_a >= amps and lost <= 1.0:
                    return self._put(run, size, parallel, typed)
        raise EditError(
            _(
                "No conductor of the book carries {amps} A over {metres} m; choose less current or a shorter way."
            ).format(amps=round(amps), metres=round(metres, 1))
        )

    def _put(self, run: Run, size: str, parallel: int, typed: tuple[str, ...]) -> str:
        origins: list[tuple[str, Origin]] = [("size", "assumed")]
        origins.append(("length_m", "typed" if "length_m" in typed else "assumed"))
        return self.draft.add(
            "runs", msgspec.structs.replace(run, size=size, parallel=parallel, origins=tuple(sorted(origins)))
        )

    def rating_up_to(self, amps: float) -> float:
        """The largest standard rating of the book that is not above; the smallest there is where all are."""
        ratings = self.book.standard_ratings_a
        return max((r for r in ratings if r <= amps + 1e-9), default=min(ratings, default=amps))

    def rating(self, amps: float) -> float:
        """The next standard rating of the book."""
        return next((r for r in self.book.standard_ratings_a if r >= amps - 1e-9), math.ceil(amps))

    # -- switches held, conditions ----------------------------------------------------------------------------------
    def interlock(
        self, name: str, held: Mapping[str, tuple[str, ...]], at_most: int = 1, kind: Any = "mechanical"
    ) -> str:
        """At most so many of the devices stand in their listed positions at the same time."""
        devices = tuple(Held(equipment=item, positions=positions) for item, positions in held.items())
        return self.draft.add("interlocks", Interlock(name=name, kind=kind, at_most=at_most, held=devices))

    def condition(
        self,
        name: str,
        positions: Mapping[str, str],
        running: tuple[str, ...] = (),
        hours: Mapping[str, float] | None = None,
    ) -> None:
        """An operating condition, where the drawing has none of its own; else only the hours of new loads in each."""
        duties = tuple(ConditionDuty(equipment=i, hours_a_day=h) for i, h in (hours or {}).items())
        if self.draft.first.conditions:
            for item, record in self.draft.first.conditions.items() if duties else ():
                self.draft.put("conditions", item, msgspec.structs.replace(record, duties=(*record.duties, *duties)))
            return
        there = self.draft.table("conditions")
        settings = tuple(Setting(equipment=item, position=position) for item, position in positions.items())
        record = Condition(name=name, order=len(there) + 1, settings=settings, running=running, duties=duties)
        self.draft.add("conditions", record)

    def done(self, title: str) -> Several:
        """The edit."""
        return self.draft.done(_("Place {template}").format(template=title))


def _least(function: str, amps: float, *, is_metric: bool) -> str:
    """What is fitted at least, for a device of `amps`: of AC as is usual ashore, of DC so that a fault is cut in time.

    Common practice, no source.
    """
    steps: tuple[tuple[float, str], ...]
    if function == "ac":
        steps = AC_LEAST_METRIC if is_metric else AC_LEAST
    else:
        steps = DC_LEAST_METRIC if is_metric else DC_LEAST
    return next((size for most, size in steps if amps <= most), steps[-1][1])


def _free(name: str, borne: set[str]) -> str:
    """A name that nothing bears: "Alongside", "Alongside 2"."""
    made, number = name, 2
    while made.casefold() in borne:
        made, number = f"{name} {number}", number + 1
    return made


def _origins(fields: dict[str, Any], typed: tuple[str, ...]) -> tuple[tuple[str, Origin], ...]:
    """*Typed* for what was answered, *assumed* for every other figure and fact; names and positions have no origin."""
    made: list[tuple[str, Origin]] = []
    for name, value in fields.items():
        if name in typed:
            made.append((name, "typed"))
        elif name not in PLAIN and (isinstance(value, (bool, int, float)) or _is_breaking(value)):
            made.append((name, "assumed"))
    return tuple(sorted(made))


def _is_breaking(value: Any) -> bool:
    return isinstance(value, tuple) and bool(value) and isinstance(value[0], Breaking)
