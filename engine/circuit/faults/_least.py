"""The smallest fault currents: hot conductors, the weakest source by itself, the far end of what a device protects.

Every source is taken alone, the switches as drawn where that feeds the place, on the path of least resistance from it
(`_paths`). A source that limits itself counts only where no other reaches: it charges a bank, or shuts down, and what
it lets into a conductor for ever is judged where devices and limits are compared with ampacity
(`engine.circuit.feedcut`). Of the others the weakest counts that can drive more than the conductor carries.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from typing import NamedTuple

from engine.books import Book
from engine.circuit.conductors import Conductors
from engine.circuit.expand import Circuit
from engine.circuit.faults._most import Standing, built_for, everything_closed, primary, standing, wound_by
from engine.circuit.faults._paths import Reach, Ways, reach, ways
from engine.circuit.faults._places import LINES
from engine.circuit.faults.curves import band
from engine.circuit.faults.results import FarEnd, Series
from engine.circuit.faults.sources import least, opens_at_multiple, transformed
from engine.circuit.volts import SystemVolts
from engine.equipment.base import LIVE
from engine.installation.model import Snapshot

__all__ = ["Least", "Smallest", "smallest"]


class Least(NamedTuple):
    """The smallest current at a place, by the weakest source that does not limit itself; else by any."""

    amps: float | None
    loop_ohm: float | None
    missing: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    gaps: tuple[str, ...] = ()  # on the way, taken as ideal
    volts: float | None = None  # that drive it
    source: str = ""  # equipment id
    limit_a: float | None = None  # what the source limits itself to, where that decides


class Smallest(NamedTuple):
    """By (device's pole in circuit.links), by node of a bus; and the far ends."""

    at_node: dict[int, Least]
    far_ends: tuple[FarEnd, ...]
    series: tuple[Series, ...]
    assumed: tuple[str, ...]


class _Smallest(NamedTuple):
    """A device and the current from which it is promised to open, A."""

    rating_a: float
    opens_a: float
    equipment: str = ""


NO_DEVICE = _Smallest(math.inf, math.inf)


class _Fed(NamedTuple):
    amps: float | None
    loop_ohm: float
    lasts: bool | None
    by: Standing
    device: int
    missing: tuple[str, ...] = ()
    gaps: tuple[str, ...] = ()
    positions: tuple[tuple[str, str], ...] = ()
    before: _Smallest = NO_DEVICE
    volts: float = 0.0


class _Search:
    def __init__(
        self, snapshot: Snapshot, circuit: Circuit, book: Book, volts: SystemVolts, held: Mapping[str, str] | None
    ) -> None:
        self.snapshot, self.circuit = snapshot, circuit
        self.volts = volts
        self.conductors = Conductors(snapshot, circuit, book, volts)
        self.built = built = built_for(snapshot, circuit, book, dict(held or {}), (), "hot")
        as_drawn = set(built.link) | set(built.diode)
        if held is None:
            everything_closed(built)
        self.shut: dict[str, dict[int, tuple[str, str]]] = {"dc": {}, "ac": {}}
        for inner in built.frame.inner:
            if held is None and inner.number not in as_drawn:
                system, number = built.link.get(inner.number) or built.diode[inner.number]
                branch = -1 - number if inner.one_way else number
                self.shut[system][branch] = inner.equipment, min(inner.positions or ("closed",))
        self.stands: list[Standing] = []
        self.waiting = []
        for feed, index, pos, neg, angle in standing(built, relaxed=held is None):
            record = snapshot.equipment[feed.equipment]
            wound = wound_by(record, feed)
            if wound is not None and wound.ratio:
                self.waiting.append((feed, index, pos, neg, angle, record, wound))
                continue
            behind = least(feed, record, book)
            named = tuple(f"{snapshot.name(feed.equipment)}.{field}" for field in behind.missing)
            self.stands.append(Standing(feed.equipment, index, pos, neg, angle, behind, named))
        self.ways: dict[str, Ways] = {system: ways(net) for system, net in built.nets.items()}
        # by system: of each branch, or -1 - diode, its number among wires or links; of each point its node
        self.wire_of: dict[str, dict[int, int]] = {"dc": {}, "ac": {}}
        self.link_of: dict[str, dict[int, int]] = {"dc": {}, "ac": {}}
        self.node_of: dict[str, dict[int, int]] = {"dc": {}, "ac": {}}
        for number, (system, branch) in built.wire.items():
            self.wire_of[system][branch] = number
        for number, (system, branch) in built.link.items():
            self.link_of[system][branch] = number
        for number, (system, diode) in built.diode.items():
            self.link_of[system][-1 - diode] = number
        for node, (system, point) in enumerate(built.at):
            if system:
                self.node_of[system].setdefault(point, node)
        self.nodes_at: dict[tuple[str, int], list[int]] = {}
        for node, place in enumerate(built.at):
            self.nodes_at.setdefault(place, []).append(node)
        self.reached: dict[tuple[str, int], Reach] = {}
        self.unknown: dict[str, dict[int, tuple[str, ...]]] = {"dc": {}, "ac": {}}
        for (system, number), fields in built.unknown.items():
            self.unknown[system][number] = fields
        self._smallest: dict[str, _Smallest] = {}
        self.series: dict[tuple[str, str], dict[str, None]] = {}

    def reach(self, system: str, point: int) -> Reach:
        key = system, point
        if key not in self.reached:
            self.reached[key] = reach(self.ways[system], point, self.unknown[system], self.shut[system])
        return self.reached[key]

    # -- transformers -----------------------------------------------------------------------------------------------
    def transform(self) -> None:
        """Secondaries behind the weakest that can feed their primary."""
        for _pass in range(3):
            left = []
            for entry in self.waiting:
                feed, index, pos, neg, angle, record, wound = entry
                pair = primary(self.built, feed.equipment, wound)
                found: list[tuple[complex, tuple[str, ...], float]] = []
                for one in self.stands if pair is not None else ():
                    if self.circuit_system(one) != "ac":
                        continue
                    assert pair is not None
                    out, back = self.reach("ac", one.pos), self.reach("ac", one.neg)
                    if pair[0] in out.ohms:
                        loop = one.behind.ohm + out.ohms[pair[0]] + back.ohms.get(pair[1], out.ohms[pair[0]])
                        found.append((loop, one.missing, one.behind.limit_a))
                if not found:
                    left.append(entry)
                    continue
                before = max((loop for loop, _missing, _limit in found), key=abs)
                ratio = 1 / (wound.ratio or 1.0)
                behind = transformed(record, feed, ratio, before, least_of_all=True)
                limit = min(limit for _loop, _missing, limit in found) / ratio if ratio > 0 else math.inf
                missing = tuple(f"{self.snapshot.name(feed.equipment)}.{field}" for field in behind.missing)
                missing += tuple(dict.fromkeys(field for _loop, gaps, _limit in found for field in gaps))
                self.stands.append(
                    Standing(feed.equipment, index, pos, neg, angle, behind._replace(limit_a=limit), missing)
                )
            self.waiting = left

    def circuit_system(self, one: Standing) -> str:
        return self.circuit.feeds[one.feed].source.system

    # -- everything fed by one source -------------------------------------------------------------------------------
    def fed(self) -> tuple[dict[int, list[_Fed]], dict[tuple[int, int, int], list[_Fed]]]:
        """What each source gives at every live node, and at the far end of every run behind a device."""
        at_node: dict[int, list[_Fed]] = {}
        strong: set[int] = set()  # nodes that a source without limit reaches
        own: set[int] = set()  # nodes on the lead of an AC source, before any device: no other is to feed them
        far: dict[tuple[int, int, int], list[_Fed]] = {}
        links, nodes = self.circuit.links, self.circuit.nodes
        # those without limit first
        for one in sorted(self.stands, key=lambda one: math.isfinite(one.behind.limit_a)):
            is_limited = math.isfinite(one.behind.limit_a)
            system = self.circuit_system(one)
            if is_limited and strong.issuperset(self.nodes_at.get((system, one.pos), (-1,))):
                continue  # what it reaches is reached from there
            out, back = self.reach(system, one.pos), self.reach(system, one.neg)
            device: dict[int, int] = {one.pos: -1}
            # the smallest device before the last one
            smallest: dict[int, _Smallest] = {one.pos: self.own(one)}
            if not is_limited:
                strong.update(self.nodes_at.get((system, one.pos), ()))
                if system == "ac":
                    own.update(self.nodes_at.get((system, one.pos), ()))
            link_of, wire_of, node_of = self.link_of[system], self.wire_of[system], self.node_of[system]
            for point in out.ohms:
                if point == one.pos:
                    continue
                number, before = out.branch[point], out.before[point]
                link = link_of.get(number, -1)
                behind, small = device[before], smallest[before]
                if link >= 0 and links[link].protection is not None:
                    if behind >= 0 and not is_limited:
                        self.in_series(behind, link, one.equipment)
                    if behind >= 0:
                        small = min(small, self.smallest(behind))
                    behind = link
                device[point], smallest[point] = behind, small
                node = node_of.get(point, -1)
                if node < 0 or nodes[node].conductor not in LIVE or (is_limited and node in strong):
                    continue
                if not is_limited:
                    strong.add(node)
                made = self.current(one, system, node, out, point, back, behind, small)
                at_node.setdefault(node, []).append(made)
                wire = wire_of.get(number, -1)
                if behind < 0 and system == "ac":
                    own.add(node)
                if wire >= 0 and behind >= 0:
                    far.setdefault((behind, wire, node), []).append(made)
        return at_node, {key: found for key, found in far.items() if key[2] not in own}

    def own(self, one: Standing) -> _Smallest:
        """The device inside a source."""
        own = self.circuit.feeds[one.feed].source.protection
        if own is None or not own.rating_a:
            return NO_DEVICE
        return _Smallest(own.rating_a, own.rating_a * opens_at_multiple(), one.equipment)

    def smallest(self, link: int) -> _Smallest:
        """A device on the way."""
        item = self.circuit.links[link].equipment
        if item not in self._smallest:
            found = band(self.snapshot.equipment[item])
            opens_a = None if found is None else found.opens_above_a()
            self._smallest[item] = _Smallest(found.rating_a, opens_a, item) if found and opens_a else NO_DEVICE
        return self._smallest[item]

    def in_series(self, up: int, down: int, source: str) -> None:
        links = self.circuit.links
        key = links[up].equipment, links[down].equipment
        if key[0] != key[1]:
            self.series.setdefault(key, {})[source] = None

    def current(
        self,
        one: Standing,
        system: str,
        node: int,
        out: Reach,
        point: int,
        back: Reach,
        device: int,
        before: _Smallest,
    ) -> _Fed:
        """The current of one source for a fault at a node."""
        behind = one.behind
        ohm, gaps = out.ohms[point], out.gaps.get(point, ())
        times = 1.0
        returning: complex | None = None
        at = self.circuit.nodes[node]
        if system == "dc":
            negative = self.built.negative(at.equipment, at.terminal)
            if negative is not None and negative in back.ohms:
                returning, gaps = back.ohms[negative], gaps + back.gaps.get(negative, ())
        else:
            neutral = self.built.point(at.equipment, at.terminal, "N")[1]
            if neutral in back.ohms:
                returning, gaps = back.ohms[neutral], gaps + back.gaps.get(neutral, ())
            if returning is None:
                others = [c for c in LINES if c != at.conductor and self.circuit.node(at.equipment, at.terminal, c)]
                # between two lines: the way back is as long as the way there, and so is the source
                times = math.sqrt(3) if len(others) == 2 else 2.0 if others else 1.0
        # where no return is drawn at the place it is taken as long as the way there
        loop = behind.ohm * (2.0 if times != 1.0 else 1.0) + ohm + (ohm if returning is None else returning)
        size = abs(loop)
        if one.missing or gaps:
            missing = tuple(dict.fromkeys((*one.missing, *gaps)))
            return _Fed(None, size, behind.lasts, one, device, missing, gaps, (), before)
        volts = behind.volts * times
        amps = volts / size if size > 0 else math.inf
        positions = out.positions.get(point, ())
        return _Fed(min(amps, behind.limit_a), size, behind.lasts, one, device, (), (), positions, before, volts)

    # -- far ends ---------------------------------------------------------------------------------------------------
    def far_end(self, device: int, wire: int, node: int, found: list[_Fed]) -> FarEnd:
        """The weakest source that can harm the run, else the weakest of all."""
        run = self.circuit.wires[wire].run
        limits = self.conductors.limits(run, node)
        harmful = [fed for fed in found if fed.amps is None or (fed.amps > limits.high and fed.lasts is not False)]
        # another device on its way that suits the run too opens in the end: others count before such a source
        lasting = [
            fed
            for fed in harmful
            if fed.amps is None or fed.amps < fed.before.opens_a or fed.before.rating_a > limits.single_high
        ]
        cut = bool(harmful) and not lasting
        harmful = lasting or harmful
        known = [fed for fed in harmful or found if fed.amps is not None]
        missing = tuple(dict.fromkeys(field for fed in harmful for field in fed.missing))
        weakest = min(known, key=lambda fed: fed.amps or 0.0, default=None)
        link = self.circuit.links[device]
        at = self.circuit.nodes[node]
        return FarEnd(
            device=link.equipment,
            run=run,
            at=at.equipment,
            conductor=at.conductor,
            system=self.built.at[node][0],
            min_a=None if missing or weakest is None else weakest.amps,
            lasts=None if missing else harmful != [] and weakest is not None and weakest.lasts,
            assumed=_assumed(weakest),
            missing=missing,
            positions=weakest.positions if weakest is not None else (),
            cut_by=weakest.before.equipment if cut and weakest is not None else "",
        )


def _driven(weakest: _Fed) -> tuple[float, str, float | None]:
    """Volts, source, and the limit that decides."""
    limit_a = weakest.by.behind.limit_a
    return weakest.volts, weakest.by.equipment, limit_a if weakest.amps == limit_a else None


def _assumed(weakest: _Fed | None) -> tuple[str, ...]:
    return (weakest.by.behind.how,) if weakest is not None and weakest.by.behind.assumed else ()


def smallest(
    snapshot: Snapshot,
    circuit: Circuit,
    book: Book,
    volts: SystemVolts,
    asked: Collection[int],
    held: Mapping[str, str] | None = None,
) -> Smallest:
    """The smallest fault at those of the nodes `asked` that something feeds, and at far ends; `held` as in `faults`."""
    search = _Search(snapshot, circuit, book, volts, held)
    search.transform()
    at_node, far = search.fed()
    least_at = {}
    for node in asked:
        found = at_node.get(node)
        if found is None:
            continue
        missing = tuple(dict.fromkeys(field for fed in found for field in fed.missing))
        weakest = min((fed for fed in found if fed.amps is not None), key=lambda fed: fed.amps or 0.0, default=None)
        least_at[node] = Least(
            None if missing or weakest is None else weakest.amps,
            None if missing or weakest is None else weakest.loop_ohm,
            missing,
            _assumed(weakest),
            tuple(dict.fromkeys(field for fed in found for field in fed.gaps)),
            *(() if missing or weakest is None else _driven(weakest)),
        )
    ends = [search.far_end(device, wire, node, found) for (device, wire, node), found in far.items()]
    ends.sort(key=lambda end: (end.device, end.run, end.at, end.conductor))
    series = [Series(up=up, down=down, sources=tuple(sources)) for (up, down), sources in sorted(search.series.items())]
    return Smallest(least_at, tuple(ends), tuple(series), tuple(search.built.assumed))
