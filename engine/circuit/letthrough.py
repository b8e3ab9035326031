"""What equipment is fed through, against what it may carry and the largest device its maker allows.

The same feed cut as for conductors. For what current passes through (a contactor, a shunt, an inlet, a transfer relay)
it is the cut at the side it comes from, the equipment itself taken away; for what takes its power at a terminal (a
socket, a converter, a transformer) all that comes to that terminal, its own sources left out.

What stands in the earth conductor (a galvanic isolator) carries an earth fault of the shore until the breaker ashore
clears it, and is held to that breaker.

Where nothing limits the current that comes, as ahead of a main fuse, the devices behind are what limits it (`onward`);
where there are none either, the conductor that brings it is uncovered and says so. What stands in the negative alone,
as most shunts do, carries what the positives of the sources on its one side give to what returns on the other. Buses
are left to their own rule, which knows the order of the studs.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal, NamedTuple

from engine.circuit.coverage import Coverage
from engine.circuit.earth_return import shore_feeds
from engine.circuit.onward import Onward, negative_sides, onward
from engine.circuit.refine import Refinery, Supplied, Undecided, Witness, is_above
from engine.circuit.unknowns import device_field, unknowns
from engine.equipment.base import LIVE, Equipment

__all__ = ["Overfed", "Within", "overfed", "within"]


class Overfed(NamedTuple):
    """Equipment fed through more than it may carry (`"through"`), or by too large a device (`"device"`).

    `judged` false: `missing` names what would tell.
    """

    equipment: str
    terminal: str
    conductor: str
    kind: Literal["through", "device"]
    judged: bool
    amps: float
    limit_a: float
    supplied: Supplied | None
    positions: tuple[tuple[str, str], ...] = ()
    undecided: bool = False
    missing: tuple[str, ...] = ()
    onward: bool = False  # it is what stands behind that limits the current


class Within(NamedTuple):
    """What comes to equipment that is in order, and what it may be; `amps` above `limit_a`: in no permitted state."""

    equipment: str
    terminal: str
    kind: Literal["through", "device"]
    amps: float
    limit_a: float
    onward: bool = False


class _Place(NamedTuple):
    """Where current comes to equipment: a point, and the edge inside the equipment that it goes on through, or -1."""

    terminal: str
    conductor: str
    point: int
    edge: int


def overfed(coverage: Coverage) -> Iterator[Overfed]:
    """At most one of each kind for a piece of equipment, in id order."""
    inside = _inside(coverage)
    for item in coverage.circuit.joined:
        record = coverage.snapshot.equipment[item]
        if record.ROLE in ("bus", "junction"):
            continue
        lacks = record.missing_for_current()
        if lacks or record.through_a is not None or type(record).through_limit is not Equipment.through_limit:
            if record.ROLE == "earth":
                yield from _worst(_earth(coverage, item, record, lacks))
            else:
                yield from _worst(_through(coverage, item, record, inside.get(item, []), lacks))
        if record.largest_device_a is not None:
            yield from _worst(_device(coverage, item, record, inside.get(item, [])))


def within(coverage: Coverage) -> Iterator[Within]:
    """Everything of which `overfed` says nothing: asked only to prove it."""
    told = {(one.equipment, one.kind) for one in overfed(coverage)}
    inside = _inside(coverage)
    for item in coverage.circuit.joined:
        record = coverage.snapshot.equipment[item]
        if record.ROLE in ("bus", "junction"):
            continue
        if (item, "through") not in told:
            yield from _returning(coverage, item, record)
        if record.ROLE == "earth":
            continue
        edges = inside.get(item, [])
        for place in _places(coverage, item, edges):
            limit, amps = record.through_limit(place.terminal), _fed(coverage, item, place, False)
            behind = None
            if amps == math.inf and place.edge >= 0:
                behind = onward(coverage, (coverage.mirror.other(place.edge, place.point),), place.edge)
                amps = math.inf if behind is None or behind.missing else behind.amps
            if limit is not None and (item, "through") not in told and 0 < amps < math.inf:
                yield Within(item, place.terminal, "through", amps, limit, behind is not None)
            most = record.largest_device_a
            if most is not None and behind is None and (item, "device") not in told and 0 < amps < math.inf:
                cuts = coverage.cuts
                single = cuts.single(place.edge, place.point) if place.edge >= 0 else cuts.outside(place.point).single
                yield Within(item, place.terminal, "device", min(amps, single), most)


def _returning(coverage: Coverage, item: str, record: Equipment) -> Iterator[Within]:
    """What stands in the earth conductor or in the negative alone."""
    if record.ROLE == "earth":
        for number in shore_feeds(coverage.circuit, item):
            source = coverage.circuit.feeds[number].source
            limit, device = record.through_limit(source.terminal), source.protection
            if limit is not None and device is not None and device.rating_a:
                yield Within(item, "earth", "through", device.rating_a, limit)
        return
    for terminal, points, side in _negatives(coverage, item):
        limit, behind = record.through_limit(terminal), onward(coverage, points, -1, side)
        if limit is not None and behind is not None and behind.devices and not behind.missing:
            yield Within(item, terminal, "through", behind.amps, limit, True)


def _inside(coverage: Coverage) -> dict[str, list[int]]:
    """The edges inside each piece of equipment."""
    inside: dict[str, list[int]] = {}
    for edge, link in enumerate(coverage.mirror.link):
        if link >= 0:
            inside.setdefault(coverage.circuit.links[link].equipment, []).append(edge)
    return inside


def _worst(every: Iterator[Overfed]) -> Iterator[Overfed]:
    found = list(every)
    if found:
        yield min(found, key=lambda o: (not o.judged, o.undecided, -o.amps, o.terminal, o.conductor))


def _places(coverage: Coverage, item: str, edges: list[int]) -> Iterator[_Place]:
    circuit, mirror = coverage.circuit, coverage.mirror
    for terminal in sorted(circuit.joined[item]):
        for conductor in LIVE:
            node = circuit.node(item, terminal, conductor)
            if node is None:
                continue
            point = mirror.of_node[node]
            through = [e for e in edges if point in (mirror.u[e], mirror.v[e])]
            for edge in through or [-1]:
                # nothing goes backwards through a diode: a bank's own fuse lets none through the isolator before it
                if edge < 0 or not _ends_at(coverage, edge, point):
                    yield _Place(terminal, conductor, point, edge)


def _ends_at(coverage: Coverage, edge: int, point: int) -> bool:
    """Whether the edge carries current one way only, out of the equipment at this point."""
    link = coverage.circuit.links[coverage.mirror.link[edge]]
    return link.one_way and coverage.mirror.of_node[link.b] == point


def _through(
    coverage: Coverage, item: str, record: Equipment, edges: list[int], lacks: tuple[str, ...]
) -> Iterator[Overfed]:
    """Through-current rating against what feeds it."""
    for place in _places(coverage, item, edges):
        limit = record.through_limit(place.terminal)
        if limit is not None:
            yield from _compared(coverage, item, place, limit)
        elif lacks and 0 < _fed(coverage, item, place, False) < math.inf:
            yield _unrated(coverage, item, place, lacks)
        elif lacks and place.edge >= 0 and _fed(coverage, item, place, True) == math.inf:
            behind = onward(coverage, (coverage.mirror.other(place.edge, place.point),), place.edge)
            if behind is not None and (behind.devices or behind.missing):
                yield _unrated(coverage, item, place, lacks)
    yield from _negative(coverage, item, record, lacks)


def _unrated(coverage: Coverage, item: str, place: _Place, lacks: tuple[str, ...]) -> Overfed:
    missing = tuple(f"{coverage.snapshot.name(item)}.{field}" for field in lacks)
    return Overfed(item, place.terminal, place.conductor, "through", False, 0.0, 0.0, None, missing=missing)


def _negative(coverage: Coverage, item: str, record: Equipment, lacks: tuple[str, ...]) -> Iterator[Overfed]:
    """What stands in the negative alone, against what the sources on each side give to the other side."""
    for terminal, points, side in _negatives(coverage, item):
        behind = onward(coverage, points, -1, side)
        if behind is None or not (behind.devices or behind.missing):
            continue
        place, limit = _Place(terminal, "-", points[0], -1), record.through_limit(terminal)
        if limit is None:
            yield _unrated(coverage, item, place, lacks)
        else:
            yield from _behind(item, place, limit, behind)


def _negatives(coverage: Coverage, item: str) -> Iterator[tuple[str, list[int], frozenset[str]]]:
    """Each side of what stands in the negative alone: its terminal, where its sources stand, what is on it."""
    mirror = coverage.mirror
    for terminal, side in negative_sides(coverage, item):
        feeds = [n for n, feed in enumerate(mirror.feeds) if feed.equipment in side and feed.source.system == "dc"]
        points = sorted({mirror.of_node[mirror.feeds[feed].node] for feed in feeds})
        # sources that limit themselves send no more than their own conductors are judged by
        if points and sum(coverage.best.feeds[feed] for feed in feeds) == math.inf:
            yield terminal, points, side


def _behind(item: str, place: _Place, limit: float, behind: Onward) -> Iterator[Overfed]:
    """Equipment against the devices behind it."""
    here = (item, place.terminal, place.conductor)
    if is_above(behind.amps, limit):
        supplied = Supplied(behind.amps, behind.devices, ())
        yield Overfed(*here, "through", True, behind.amps, limit, supplied, behind.positions, onward=True)
    elif behind.missing:
        yield Overfed(*here, "through", False, math.inf, limit, None, missing=behind.missing, onward=True)


def _earth(coverage: Coverage, item: str, record: Equipment, lacks: tuple[str, ...]) -> Iterator[Overfed]:
    """The rating of what stands in the earth conductor against the device ashore that clears an earth fault."""
    name = coverage.snapshot.name
    wanted = set(shore_feeds(coverage.circuit, item))
    for number, feed in enumerate(coverage.circuit.feeds):
        device = feed.source.protection
        if number not in wanted or device is None:
            continue
        limit = record.through_limit(feed.source.terminal)
        if limit is None or device.rating_a is None:
            missing = [f"{name(item)}.{field}" for field in lacks]
            missing += [] if device.rating_a is not None else [f"{name(feed.equipment)}.{device.missing}"]
            yield Overfed(item, "earth", "L1", "through", False, 0.0, limit or 0.0, None, missing=tuple(missing))
        elif is_above(device.rating_a, limit):
            supplied = Supplied(device.rating_a, ((feed.equipment, device.rating_a),), ())
            yield Overfed(item, "earth", "L1", "through", True, device.rating_a, limit, supplied)


def _fed(coverage: Coverage, item: str, place: _Place, hopeful: bool) -> float:
    """The feed cut with every contact closed."""
    cuts = coverage.best_cuts if hopeful else coverage.cuts
    if place.edge >= 0:
        return min(cuts.cut(place.edge, place.point), cuts.ratings.edges[place.edge])
    own = _own_devices(coverage, item, place.point)
    return max(cuts.outside(place.point).amps, sum(cuts.feeds[feed] for feed in own))


def _own_devices(coverage: Coverage, item: str, point: int) -> list[int]:
    """Its own sources that come through a device (the breaker ashore of an inlet that is drawn without its shore)."""
    feeds = coverage.mirror.feeds
    return [f for f in coverage.mirror.feeds_at[point] if feeds[f].equipment == item and feeds[f].source.protection]


def _compared(coverage: Coverage, item: str, place: _Place, limit: float) -> Iterator[Overfed]:
    worst = _fed(coverage, item, place, False)
    if not is_above(worst, limit):
        return
    best = _fed(coverage, item, place, True)
    if best == math.inf:
        if place.edge >= 0:
            behind = onward(coverage, (coverage.mirror.other(place.edge, place.point),), place.edge)
            if behind is not None:
                yield from _behind(item, place, limit, behind)
        return
    search = _search(coverage, item, place, hopeful=is_above(best, limit))
    try:
        found, positions, cube = _state(coverage, search, place, limit)
    except Undecided:
        yield Overfed(item, place.terminal, place.conductor, "through", True, worst, limit, None, undecided=True)
        return
    if not found:
        return
    supplied = search.supplied(place.edge, place.point, cube)
    if is_above(best, limit):
        yield Overfed(item, place.terminal, place.conductor, "through", True, supplied.amps, limit, supplied, positions)
        return
    missing = _missing(coverage, place, limit)
    yield Overfed(item, place.terminal, place.conductor, "through", False, worst, limit, None, missing=missing)


def _missing(coverage: Coverage, place: _Place, enough: float) -> tuple[str, ...]:
    met = unknowns(coverage.cuts, coverage.snapshot, place.edge, place.point, enough)
    inside = device_field(coverage.cuts, coverage.snapshot, place.edge) if place.edge >= 0 else ()
    return (*inside, *met.devices, *met.sources)


def _search(coverage: Coverage, item: str, place: _Place, hopeful: bool) -> Refinery:
    """The search with the equipment's own sources silenced, those behind a device excepted."""
    kept = _own_devices(coverage, item, place.point)
    silent = {f: 0.0 for f in coverage.mirror.feeds_at[place.point] if place.edge < 0 and f not in kept}
    search = coverage.refinery(hopeful)
    return search.supposing({}, silent) if silent else search


def _state(
    coverage: Coverage, search: Refinery, place: _Place, limit: float
) -> tuple[bool, tuple[tuple[str, str], ...], int]:
    """Whether some permitted state feeds it so much; the positions (none: as drawn) and the cube of the state."""
    if not coverage.is_switched:
        return True, (), 0
    within = search.closing(place.edge)
    as_drawn = search.is_drawn_permitted() and not within & ~search.drawn
    if as_drawn and search.exceeds_as_drawn(place.edge, place.point, limit, limit):
        return True, (), search.drawn
    witness: Witness | None = search.exceeds(place.edge, place.point, limit, limit, within)
    return (False, (), 0) if witness is None else (True, witness.positions, witness.cube)


def _device(coverage: Coverage, item: str, record: Equipment, edges: list[int]) -> Iterator[Overfed]:
    """The largest device its maker allows against the one that protects it.

    A maker names one figure; equipment with several inputs is compared at the input whose device is the smallest.
    """
    allowed = record.largest_device_a
    assert allowed is not None  # asked only where it is recorded
    inputs = {c.source for c in record.conversions()} | {d.terminal for d in record.draws()}
    found: dict[str, Overfed | None] = {}
    for place in _places(coverage, item, edges):
        if place.edge < 0 and place.terminal not in inputs:
            continue
        if place.edge >= 0 and coverage.mirror.protection[place.edge] is not None:
            continue
        worst = _fed(coverage, item, place, False)
        if worst <= 0:
            continue
        key = place.terminal if place.edge < 0 else ""
        found[key] = found.get(key) or _one_device(coverage, item, place, allowed)
    if found and all(made is not None for made in found.values()):
        yield from (made for made in found.values() if made is not None)


def _one_device(coverage: Coverage, item: str, place: _Place, allowed: float) -> Overfed | None:
    cuts = coverage.cuts
    single = cuts.single(place.edge, place.point) if place.edge >= 0 else cuts.outside(place.point).single
    worst, best = _fed(coverage, item, place, False), _fed(coverage, item, place, True)
    if not is_above(min(worst, single), allowed) or best == math.inf:
        return None
    if not is_above(best, allowed):
        missing = _missing(coverage, place, allowed)
        return Overfed(item, place.terminal, place.conductor, "device", False, worst, allowed, None, missing=missing)
    search = _search(coverage, item, place, hopeful=True)
    try:
        found, positions, cube = _state(coverage, search, place, allowed)
    except Undecided:
        return Overfed(item, place.terminal, place.conductor, "device", True, worst, allowed, None, undecided=True)
    if not found:
        return None
    supplied = search.supplied(place.edge, place.point, cube)
    return Overfed(item, place.terminal, place.conductor, "device", True, supplied.amps, allowed, supplied, positions)
