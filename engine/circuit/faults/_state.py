"""One state of the switches: its networks faulted at every place at once.

A source that limits itself gives its limit whatever the volts, as far as a fault can tell: it stands as a current, an
EMF far above all others behind as much impedance. That errs on the high side where its volts are already reached.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from engine.books import Book
from engine.circuit.expand import Circuit
from engine.circuit.faults._most import Stands, built_for, everything_closed, put_sources
from engine.circuit.faults._places import LINES, Place, pairs
from engine.circuit.faults.results import Part
from engine.circuit.faults.sources import Behind
from engine.circuit.faults.states import Positions
from engine.circuit.flow.netlist import Netlist
from engine.circuit.volts import SystemVolts
from engine.installation.model import Snapshot

if TYPE_CHECKING:
    from engine.circuit.solve.bolted import Bolted

__all__ = ["Found", "State"]

COUNTS = 1e-4  # share of a fault below which what a source adds is not told


class Found(NamedTuple):
    """The largest fault at a place in one state."""

    state: State
    system: str
    row: int  # of the state's faults
    pair: tuple[int, int]
    branch: int
    unknown: bool  # a source whose share is not known gives to it
    through: float  # A through the device; of a bus: at it
    here: float  # A at the place

    @property
    def rank(self) -> tuple[bool, float, float]:
        """Which of several is the worst."""
        return self.unknown, self.through, self.here


class State:
    """One state of the switches. `chosen`: positions by system, `None` where every contact counts as joined."""

    def __init__(
        self,
        snapshot: Snapshot,
        circuit: Circuit,
        book: Book,
        volts: SystemVolts,
        fixed: dict[str, str],
        chosen: dict[str, Positions | None],
        known: dict[int, Behind] | None = None,
    ) -> None:
        self.snapshot, self.chosen = snapshot, chosen
        every = tuple(pair for positions in chosen.values() if positions for pair in positions)
        self.relaxed = any(positions is None for positions in chosen.values())
        self.built: Netlist = built_for(snapshot, circuit, book, fixed, every, "cold")
        if self.relaxed:
            everything_closed(self.built)
        self.stands: Stands = put_sources(self.built, book, volts, self.relaxed, known)
        self.negatives = {
            system: list(dict.fromkeys(one.neg for one in self.stands[system])) for system in ("dc", "ac")
        }
        nodes = circuit.nodes
        self._line_at = {
            point: nodes[node].conductor for node, (system, point) in enumerate(self.built.at) if system == "ac"
        }
        self._has_three = "L3" in self._line_at.values()
        self.faulted: dict[str, Bolted] = {}
        self._sides: dict[str, _Sides] = {}
        self.divided: set[tuple[str, int]] = set()  # branches of devices with sources on both sides

    def look(self, system: str, devices: list[tuple[Place, Place]], buses: list[Place]) -> dict[Place, Found]:
        """The worst fault at both sides of every device that is closed, and at every bus, of one system."""
        from engine.circuit.solve.bolted import bolted

        net = self.built.nets[system]
        if not net.emf:
            return {}
        rows: list[tuple[Place, int, tuple[int, int]]] = []
        at = self.built.at
        for one, other in devices:
            of, branch = self.built.link.get(one.link, ("", -1))
            if of == system:
                for place in (one, other):
                    rows += [(place, branch, pair) for pair in pairs(self.built, place, self.negatives)]
        for place in buses:
            if at[place.node][0] == system:
                rows += [(place, -1, pair) for pair in pairs(self.built, place, self.negatives)]
        if not rows:
            return {}
        found = self.faulted[system] = bolted(net, [row[2] for row in rows], [row[1] for row in rows])
        here_a, through_a = abs(found.amps), abs(found.branch_a)
        here, through = here_a.tolist(), through_a.tolist()
        open_v, branch_a = found.open_v.tolist(), found.branch_a.tolist()
        unknown = [number for number, one in enumerate(self.stands[system]) if one.missing]
        shares = abs(found.source_a[:, unknown]).sum(axis=1) > 1e-6 * here_a if unknown else here_a < 0
        is_shared = shares.tolist()
        worst: dict[Place, Found] = {}
        beside = self._bypassed(system, rows, here, through)
        sides = self._side(system)
        strong: dict[int, float] = {}  # by part of the live conductors: the strongest EMF that does not limit itself
        for stand in self.stands[system]:
            if stand.behind.limit_a == math.inf and not stand.missing:
                label = sides.label[stand.pos]
                strong[label] = max(strong.get(label, 0.0), stand.behind.volts)
        for row, (place, branch, pair) in enumerate(rows):
            amps = here[row]
            if not amps < float("inf"):
                continue  # not a number, or without end
            # of two ways side by side either may be open: then the other carries the whole
            passes = amps
            if branch >= 0 and branch not in beside:
                volts = open_v[row]
                is_held = False
                if (system, branch) in self.divided:
                    # not what limited sources on the near side add to the open volts
                    most = strong.get(sides.label[pair[0]], 0.0) * self.across_lines(system, pair)
                    if 0 < most < abs(volts):
                        volts *= most / abs(volts)
                    is_held = all(
                        math.isfinite(self.stands[system][number].behind.limit_a)
                        for number in sides.sources(pair[0], branch)
                    )
                flows = branch_a[row]
                passes = float(abs(flows)) if is_held else _prospective(volts, flows, net.z[branch])
            is_unknown = is_shared[row] and passes > 0
            have = worst.get(place)
            if have is None or (is_unknown, passes, amps) > (have.unknown, have.through, have.here):
                worst[place] = Found(self, system, row, pair, branch, is_unknown, passes, amps)
        return worst

    def _bypassed(
        self, system: str, rows: list[tuple[Place, int, tuple[int, int]]], here: list[float], through: list[float]
    ) -> set[int]:
        """The branches of devices whose two sides are joined by another way too."""
        most: dict[int, float] = {}
        for row, (_place, branch, _pair) in enumerate(rows):
            if branch >= 0 and here[row] > 0:
                most[branch] = max(most.get(branch, 0.0), through[row] / here[row])
        sides = self._side(system)
        # where all of a fault's current comes through the device it stands on no way between sources
        between = {branch for branch, share in most.items() if share < 1 - 1e-6}
        beside = {branch for branch in between if not sides.is_bridge(branch)}
        self.divided.update((system, branch) for branch in between - beside)
        return beside

    def _side(self, system: str) -> _Sides:
        sides = self._sides.get(system)
        if sides is None:
            sides = self._sides[system] = _Sides(self.built, self.stands, system)
        return sides

    def parts(self, found: Found) -> tuple[tuple[Part, ...], tuple[str, ...], tuple[str, ...]]:
        """What each source gives to it, largest first; fields that are missing, and those that may make it smaller."""
        if not found.through > 0:
            return (), (), ()
        sides = self._side(found.system)
        behind = sides.sources(found.pair[0], found.branch if (found.system, found.branch) in self.divided else -1)
        given = self.faulted[found.system].source_a[found.row].tolist()
        together = complex(sum(given[number] for number in behind))
        turned = together.conjugate() / abs(together) if abs(together) > 0 else 1.0
        # of phasors, the part in phase with their sum: so they add up
        adds = {number: float((given[number] * turned).real) for number in sorted(behind)}
        stands = self.stands[found.system]
        held = sum(amps for number, amps in adds.items() if math.isfinite(stands[number].behind.limit_a))
        rest = sum(adds.values()) - held
        # without the device's own resistance those without limit give more
        more = (found.through - held) / rest if rest > 0 and found.branch >= 0 else 1.0
        made: list[Part] = []
        missing: list[str] = []
        bounded: list[str] = []
        for number, amps in adds.items():
            one = stands[number]
            if abs(given[number]) > COUNTS * found.through:
                is_held = math.isfinite(one.behind.limit_a)
                made.append(one.part(self.snapshot, amps if is_held else amps * more))
                missing += one.missing
                bounded += [f"{self.snapshot.name(one.equipment)}.{field}" for field in one.behind.bounded]
        return _joined(made), tuple(dict.fromkeys(missing)), tuple(dict.fromkeys(bounded))

    def across_lines(self, system: str, pair: tuple[int, int]) -> float:
        """Volts between the two points to volts of a line: 1 to the neutral, 2 or the root of 3 between lines."""
        other = self._line_at.get(pair[1], "") if system == "ac" else ""
        if other not in LINES:
            return 1.0
        return math.sqrt(3) if self._has_three else 2.0

    def emf_v(self, found: Found) -> float | None:
        """Volts that the strongest source without limit drives between the points of a fault."""
        given = self.faulted[found.system].source_a[found.row].tolist()
        joined = self._side(found.system).sources(found.pair[0], -1)
        stands = self.stands[found.system]
        strong = [
            stands[number].behind.volts
            for number in joined
            if stands[number].behind.limit_a == math.inf and not stands[number].missing and abs(given[number]) > 0
        ]
        return max(strong) * self.across_lines(found.system, found.pair) if strong else None

    def positions(self, system: str) -> Positions:
        """Where the switches that matter stand."""
        return self.chosen[system] or ()


def _prospective(volts: complex, amps: complex, ohm: complex) -> float:
    """The current through a device as if it were a conductor without impedance, as breaking capacities are stated."""
    size = abs(amps)
    if not size > 0 or not abs(volts) > 0:
        return float(size)
    loop = volts / amps
    if loop.real < 0:
        loop = -loop  # the branch is counted the other way
    rest = abs(loop - ohm)
    made = abs(volts) / rest if rest > 0 else math.inf
    # a device that is nearly all of the loop leaves nothing to be told apart
    return float(made) if size <= made < 1e3 * size else float(size)


class _Sides:
    """Which sources reach a point by live conductors, and on which side of a device they stand.

    One depth-first walk: a branch that the walk below it never passes round by another is a *bridge*, and what stands
    below it are the points numbered within.
    """

    def __init__(self, built: Netlist, stands: Stands, system: str) -> None:
        net = built.nets[system]
        near: list[list[tuple[int, int]]] = [[] for _ in range(net.size)]
        for number, (a, b) in enumerate(zip(net.a, net.b, strict=True)):
            near[a].append((b, number))
            near[b].append((a, number))
        for number, (a, b) in enumerate(zip(net.diode_a, net.diode_b, strict=True)):
            near[a].append((b, -1 - number))
            near[b].append((a, -1 - number))
        self.of_source = [one.pos for one in stands[system]]
        self.label = [-1] * net.size  # the point that each part begins at
        self.first = [-1] * net.size  # number of a point in the walk
        self.last = [-1] * net.size  # of the last below it
        self.below: dict[int, int] = {}  # bridge -> the point below it
        self._joined: dict[int, set[int]] = {}  # of each part: the sources in it
        count = 0
        for start in range(net.size):
            if self.label[start] < 0:
                count = self._walk(near, start, count)

    def _walk(self, near: list[list[tuple[int, int]]], start: int, count: int) -> int:
        label, first, last = self.label, self.first, self.last
        low: dict[int, int] = {start: count}
        label[start], first[start] = start, count
        count += 1
        stack = [(start, iter(near[start]))]
        by: dict[int, int | None] = {start: None}
        while stack:
            at, ways = stack[-1]
            for to, branch in ways:
                if branch == by[at]:
                    continue
                if label[to] < 0:
                    label[to], first[to] = start, count
                    low[to], by[to] = count, branch
                    count += 1
                    stack.append((to, iter(near[to])))
                    break
                low[at] = min(low[at], first[to])
            else:
                stack.pop()
                last[at] = count
                if stack:
                    above = stack[-1][0]
                    low[above] = min(low[above], low[at])
                    over = by[at]
                    if low[at] > first[above] and over is not None and over >= 0:
                        self.below[over] = at
        return count

    def is_bridge(self, branch: int) -> bool:
        """Whether nothing else joins the two sides of a branch."""
        return branch in self.below

    def sources(self, point: int, without: int) -> set[int]:
        """Numbers of the sources whose live side joins a point; with a bridge, of those on its other side only."""
        mine = self.label[point]
        joined = self._joined.get(mine)
        if joined is None:
            joined = self._joined[mine] = {n for n, pos in enumerate(self.of_source) if mine == self.label[pos]}
        if without not in self.below:
            return joined
        is_under = self._under(without, point)
        return {n for n in joined if self._under(without, self.of_source[n]) != is_under} or joined

    def _under(self, bridge: int, point: int) -> bool:
        top = self.below[bridge]
        return self.first[top] <= self.first[point] < self.last[top]


def _joined(parts: list[Part]) -> tuple[Part, ...]:
    """Largest first; several lines of one source as the largest of them."""
    by: dict[str, Part] = {}
    for part in parts:
        have = by.get(part.equipment)
        if have is None or part.amps > have.amps:
            by[part.equipment] = part
    return tuple(sorted(by.values(), key=lambda part: (-part.amps, part.designation, part.equipment)))
