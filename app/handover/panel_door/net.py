"""What matters to a crew out of a whole drawing: where supply comes together, and the ways between.

Only what can be live is looked at, and nothing that is to be removed. Loads with their own breakers and fuses are told
as *circuits* of the place they hang on; what is left are sources, batteries, switches, converters and buses, and of
these each place where more than two ways meet, or circuits hang, is a *hub*. Everything between hubs is a *way*.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from engine.equipment.base import Equipment
from engine.installation.model import Snapshot
from engine.naming import natural

__all__ = ["Circuit", "Hub", "Join", "Joins", "Link", "Net", "Way", "essential_of", "live_net", "make_net"]

_POWER = ("dc pair", "dc positive", "ac")
_UNSEEN = ("meter", "junction")  # passed through, not drawn, where two ways meet in it
_ASIDE = ("meter", "control", "earth")  # no supply of anything, where nothing leads on


class Join(NamedTuple):
    """One end of a run: terminal here, equipment and terminal there."""

    run: str
    here: str
    item: str
    there: str


class Link(NamedTuple):
    """A device on a way, with the terminals the way comes in and goes out by."""

    item: str
    enter: str
    leave: str


class Way(NamedTuple):
    """From a hub to another, or to what stands at the end. `terminal`: of the hub it begins at."""

    terminal: str
    links: tuple[Link, ...]
    end: str
    enter: str  # terminal of the end
    to_hub: bool
    again: bool = False  # drawn from its other end already


class Circuit(NamedTuple):
    """A load, or loads, that hang on a hub: the device they hang by (the load itself where there is none)."""

    item: str
    loads: tuple[str, ...]


class Hub(NamedTuple):
    """A place where ways meet."""

    item: str
    ways: tuple[Way, ...]
    circuits: tuple[Circuit, ...]


class Net(NamedTuple):
    """All hubs in the order they are drawn, sources and converters that nothing leads to, loads that nothing feeds."""

    hubs: tuple[Hub, ...]
    alone: tuple[str, ...]
    unfed: tuple[str, ...]


Joins = dict[str, list[Join]]


def live_net(snapshot: Snapshot) -> Joins:
    """Runs that may be live between equipment that stays: of each piece, its ends in the order of designations."""
    equipment = snapshot.equipment
    made: Joins = {item: [] for item, record in equipment.items() if record.status != "to remove"}
    for item, run in snapshot.runs.items():
        a, b = run.from_end, run.to_end
        if run.function not in _POWER or run.status == "to remove" or a.equipment == b.equipment:
            continue
        if a.equipment in made and b.equipment in made:
            made[a.equipment].append(Join(item, a.terminal, b.equipment, b.terminal))
            made[b.equipment].append(Join(item, b.terminal, a.equipment, a.terminal))
    for joins in made.values():
        joins.sort(key=lambda j: (natural(snapshot.name(j.item)), natural(j.here), natural(snapshot.name(j.run))))
    return made


def make_net(snapshot: Snapshot) -> Net:
    """The hubs and ways of a drawing. The order rests on designations, not on ids."""
    equipment = snapshot.equipment
    joins = _without_asides(equipment, live_net(snapshot))
    circuits = _circuits(equipment, joins)
    core = {
        item: [j for j in ends if j.item not in circuits]
        for item, ends in joins.items()
        if item not in circuits and ends
    }
    hung = {
        item: tuple(
            Circuit(j.item, tuple(_loads(equipment, joins, circuits, j.item)))
            for j in _once(joins[item])
            if j.item in circuits
        )
        for item in core
    }
    hubs = {
        item
        for item, ends in core.items()
        if len(ends) > 2 or hung[item] or (len(ends) > 1 and equipment[item].store() is not None)
    }
    order = _ordered(snapshot, core, hubs)
    drawn: set[str] = set()
    made = []
    for item in order:
        ways = tuple(_ways(equipment, core, set(order), drawn, item))
        made.append(Hub(item, ways, hung[item]))
    alone = [
        item
        for item, record in equipment.items()
        if not joins.get(item) and record.status != "to remove" and record.ROLE in ("source", "converter")
    ]
    told = {load for hub in made for circuit in hub.circuits for load in circuit.loads}
    unfed = [
        item
        for item, record in equipment.items()
        if record.ROLE == "load"
        and record.status not in ("to remove", "spare")
        and item not in told
        and item not in core
    ]

    def by_name(item: str) -> tuple[tuple[int, str], ...]:
        return natural(snapshot.name(item))

    return Net(tuple(made), tuple(sorted(alone, key=by_name)), tuple(sorted(unfed, key=by_name)))


def essential_of(equipment: dict[str, Equipment], loads: Iterable[str]) -> bool | None:
    """Whether one of some loads is essential: yes, no or not known; `None` too where there is no load."""
    told = [use.essential for item in loads if (use := equipment[item].use()) is not None]
    if any(told):
        return True
    return None if not told or None in told else False


def _once(ends: list[Join]) -> Iterator[Join]:
    seen: set[str] = set()
    for join in ends:
        if join.item not in seen:
            seen.add(join.item)
            yield join


def _without_asides(equipment: dict[str, Equipment], joins: Joins) -> Joins:
    """Without meters, controls, earths and open ends that nothing leads on from; meters in a way are passed through."""
    joins = {item: list(ends) for item, ends in joins.items()}
    todo = list(joins)
    for item in todo:
        if len(joins[item]) <= 1 and equipment[item].ROLE in (*_ASIDE, *_UNSEEN) and equipment[item].ashore() is None:
            for join in joins[item]:
                joins[join.item] = [j for j in joins[join.item] if j.run != join.run]
                todo.append(join.item)
            joins[item] = []
    for item in list(joins):
        if equipment[item].ROLE in _UNSEEN and len(joins[item]) == 2 and equipment[item].ashore() is None:
            one, other = joins[item]
            if one.item == other.item or one.item == item:
                continue
            joins[one.item] = [
                Join(j.run, j.here, other.item, other.there) if j.run == one.run else j for j in joins[one.item]
            ]
            joins[other.item] = [
                Join(one.run, j.here, one.item, one.there) if j.run == other.run else j for j in joins[other.item]
            ]
            joins[item] = []
    return joins


def _circuits(equipment: dict[str, Equipment], joins: Joins) -> set[str]:
    """Loads, and what leads to loads alone; a bus never."""
    made: set[str] = set()
    todo = list(joins)
    for item in todo:
        record = equipment[item]
        others = {j.item for j in joins[item]} - made
        if item in made or not joins[item] or len(others) > 1:
            continue
        if record.ROLE in ("load", "protection", "switch", "junction") and record.ashore() is None:
            if not others and record.ROLE != "load":
                continue  # nothing feeds it: it stays a place to look at
            made.add(item)
            todo.extend(others)
    return made


def _loads(equipment: dict[str, Equipment], joins: Joins, circuits: set[str], first: str) -> Iterator[str]:
    """The loads behind a device."""
    seen = {first}
    todo = [first]
    for item in todo:
        if equipment[item].use() is not None:
            yield item
        for join in joins[item]:
            if join.item in circuits and join.item not in seen:
                seen.add(join.item)
                todo.append(join.item)


def _ordered(snapshot: Snapshot, core: Joins, hubs: set[str]) -> list[str]:
    """Hubs from the batteries outward; a part without any begins at a battery, else at a source, else anywhere."""
    equipment = snapshot.equipment

    def rank(item: str) -> tuple[bool, bool, bool, object, str]:
        record = equipment[item]
        name = natural(snapshot.name(item))
        return record.store() is None, record.ROLE != "source", record.ROLE != "converter", name, item

    made: list[str] = []
    seen: set[str] = set()
    for start in sorted(core, key=rank):
        if start in seen:
            continue
        seen.add(start)
        row = [start]
        part = []
        for item in row:
            part.append(item)
            for join in core[item]:
                if join.item not in seen:
                    seen.add(join.item)
                    row.append(join.item)
        found = [item for item in part if item in hubs]
        made += found or part[:1]
    return made


def _ways(equipment: dict[str, Equipment], core: Joins, hubs: set[str], drawn: set[str], item: str) -> Iterator[Way]:
    """The ways that begin at a hub."""
    for first in core[item]:
        links: list[Link] = []
        at, enter, run = first.item, first.there, first.run
        again = run in drawn
        passed = {run}
        while at not in hubs:
            onward = [j for j in core[at] if j.run not in passed]
            if not onward:
                break
            links.append(Link(at, enter, onward[0].here))
            at, enter, run = onward[0].item, onward[0].there, onward[0].run
            passed.add(run)
            again = again or run in drawn
        drawn |= passed
        yield Way(first.here, tuple(links), at, enter, at in hubs, again)
