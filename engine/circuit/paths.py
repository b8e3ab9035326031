"""Which switch positions join two points: guarded-path label-setting, smallest conditions first.

`Net` is the circuit seen by one question: chosen conductors, everything that always conducts contracted to single
nodes, every switch contact an arc guarded by a cube (`engine.circuit.states`). `search` finds the minimal cubes between
a start and its targets.

Why it is right: a state joins two points exactly when some simple path has all its guards true, so the condition is the
OR of path cubes. A walk that comes back to a node carries a superset of a label there, so dominance is all the
bookkeeping a path needs. A label is taken after every label that could dominate it. A finished search (heap empty)
without a cube is a proof that no state joins the two; a search stopped by its budget proves nothing and says so.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Container, Iterable, Sequence
from typing import NamedTuple

from engine.circuit.expand import Circuit, Link
from engine.circuit.states import States, TooManyStates
from engine.pausing import pause

__all__ = ["BUDGET", "ENOUGH", "Arc", "Found", "Net", "search", "walk"]

ENOUGH = 20  # cubes a target
PAUSE = 0xFF  # labels between two places at which a search can be given up
BUDGET = 20_000  # labels a search


class Arc(NamedTuple):
    """A way to node `to`, open under `guard` of `device` (-1: always); `closed` adds what interlocks draw from it."""

    to: int
    device: int
    guard: int
    closed: int


class Found(NamedTuple):
    """What a search found: cubes by target, smallest first, and the targets it could not decide."""

    cubes: dict[int, tuple[int, ...]]
    undecided: frozenset[int]  # the search was stopped before it could tell
    truncated: frozenset[int]  # there may be more cubes than those found


class Net:
    """The contracted circuit of one question.

    Call `terminal` for every point asked about, then `search`. Node numbers of the circuit go in; numbers of this net
    come out.
    """

    def __init__(
        self,
        circuit: Circuit,
        states: States,
        conductors: Container[str],
        both_ways: bool = True,
        supposed: bool = False,
        without: Container[int] = (),
        backwards: bool = False,
        parted: str = "",
        extra: Callable[[Link], int] | None = None,
    ) -> None:
        """Take the conductors named; `both_ways`: a diode conducts backwards too (for alternating current).

        `supposed`: contacts are there of which the record does not say so. `without`: nodes that join nothing.
        `backwards`: arcs lead against the current, from what is fed to what feeds it. `parted`: equipment whose
        contacts join nothing. `extra`: bits above those of the states that a way through a contact takes with it, so
        that cubes tell what they rest on; 0 for none.
        """
        self.circuit = circuit
        self.states = states
        self._parent = list(range(len(circuit.nodes)))
        wanted = [node.conductor in conductors and number not in without for number, node in enumerate(circuit.nodes)]
        for wire in circuit.wires:
            if wanted[wire.a] and wanted[wire.b]:
                self._join(wire.a, wire.b)
        guarded: list[tuple[Link, int]] = []
        for link in circuit.links:
            if not (wanted[link.a] and wanted[link.b]) or (link.supposed and not supposed):
                continue
            if parted and link.equipment == parted:
                continue
            guard = self._guard(link)
            if guard is None:
                continue
            if extra is not None:
                guard |= extra(link)
            if guard == 0 and (both_ways or not link.one_way):
                self._join(link.a, link.b)
            else:
                guarded.append((link, guard))
        self.arcs: dict[int, list[Arc]] = {}
        for link, guard in guarded:
            ends = (link.b, link.a) if backwards else (link.a, link.b)
            start, stop = self._root(ends[0]), self._root(ends[1])
            self._arc(start, stop, link.equipment, guard)
            if both_ways or not link.one_way:
                self._arc(stop, start, link.equipment, guard)
        self._next = len(circuit.nodes)

    def _guard(self, link: Link) -> int | None:
        """0 for what always conducts; what is no device of this question is taken as closed."""
        if link.positions is None or link.equipment not in self.states.number:
            return 0
        return self.states.guard(link.equipment, link.positions)

    def _arc(self, start: int, stop: int, equipment: str, guard: int) -> None:
        if start == stop:
            return
        closed = self.states.closed(guard)
        if closed is None:
            return
        number = self.states.number.get(equipment, -1)
        arc = Arc(stop, number if number >= 0 and guard & self.states.field[number] else -1, guard, closed)
        here = self.arcs.setdefault(start, [])
        if arc not in here:
            here.append(arc)

    def _join(self, a: int, b: int) -> None:
        self._parent[self._root(a)] = self._root(b)

    def _root(self, node: int) -> int:
        while self._parent[node] != node:
            self._parent[node] = self._parent[self._parent[node]]
            node = self._parent[node]
        return node

    def at(self, node: int) -> int:
        """The contracted node a circuit node is part of."""
        return self._root(node)

    def terminal(self, node: int, equipment: str = "", positions: Iterable[str] | None = None) -> int:
        """A point of its own beside a circuit node, joined to it while `equipment` stands in one of `positions`.

        A path to another point never passes through it, so a source that is not connected (an inverter bridge while
        its relay passes shore) is not in the way.
        """
        made = self._next
        self._next += 1
        guard: int | None = 0
        if positions is not None and equipment in self.states.number:
            guard = self.states.guard(equipment, positions)
        if guard is not None:
            here = self._root(node)
            self._arc(made, here, equipment, guard)
            self._arc(here, made, equipment, guard)
        return made

    def lead(
        self, start: int, stop: int, equipment: str, positions: Iterable[str] | None = None, extra: int = 0
    ) -> None:
        """A way from one circuit node to another, in this direction only: through a converter."""
        guard: int | None = 0
        if positions is not None and equipment in self.states.number:
            guard = self.states.guard(equipment, positions)
        if guard is not None:
            self._arc(self._root(start), self._root(stop), equipment, guard | extra)

    def reachable(self, start: int) -> frozenset[int]:
        """Every node reached with all contacts taken as closed."""
        seen = {start}
        todo = [start]
        while todo:
            for arc in self.arcs.get(todo.pop(), ()):
                if arc.to not in seen:
                    seen.add(arc.to)
                    todo.append(arc.to)
        return frozenset(seen)


def search(
    net: Net,
    start: int,
    targets: Iterable[int],
    enough: int = ENOUGH,
    budget: int = BUDGET,
    given: int = 0,
    avoid: Sequence[int] = (),
    inside: int = 0,
) -> Found:
    """The minimal conditions under which `start` is joined to each target.

    A path ends at a target: a join beyond it contains a smaller one. Cubes come with the fewest devices first, at most
    `enough` a target. `given`: a cube that holds anyway, such as the positions of a state; it is no part of the cubes
    found. `avoid`: cubes that must not hold; a way that leads into one is given up. `inside`: a cube that every arc
    taken must leave possible, though it is not asked for.
    """
    states = net.states
    plain = states.plain
    if plain and given:
        made = states.closed(given)
        if made is None:
            return Found({}, frozenset(), frozenset())
        given = made
    ways = _passable(net, start, given | inside, avoid)
    wanted = {t for t in targets if t in ways and t != start}
    leads = _not_dead_ends(ways, wanted | {start})
    cubes: dict[int, list[int]] = {t: [] for t in wanted}
    doubtful: set[int] = set()
    labels: dict[int, list[int]] = {}
    # (devices set, bits, tie-break, node, path cube, path cube with what the interlocks draw from it)
    heap: list[tuple[int, int, int, int, int, int]] = [(0, 0, 0, start, 0, given)]
    pushed = taken = 0
    # by what an arc adds: fields it speaks of, cubes to avoid that it may complete
    adds: dict[int, tuple[tuple[int, ...], tuple[int, ...]]] = {}
    open_targets = set(wanted)
    while heap and open_targets and taken < budget:
        devices, _bits, _tie, node, raw, cube = heapq.heappop(heap)
        whole = cube if plain else states.closed(cube)
        here = labels.setdefault(node, [])
        if whole is None or _weaker(here, whole):
            continue
        here.append(whole)
        taken += 1
        if not taken & PAUSE:
            pause()
        if node in wanted:
            if node in open_targets:
                try:
                    if plain or states.completion(whole) is not None:
                        cubes[node].append(raw)
                except TooManyStates:
                    doubtful.add(node)
                if len(cubes[node]) >= enough:
                    open_targets.discard(node)
            continue
        for arc in ways[node]:
            if arc.to not in leads:
                continue
            joined = whole | arc.closed
            if joined != whole:
                told = adds.get(arc.closed)
                if told is None:
                    told = adds[arc.closed] = (
                        tuple(field for field in states.field if field & arc.closed),
                        tuple(a for a in avoid if a & arc.closed),
                    )
                for field in told[0]:
                    if joined & field == field:
                        break
                else:
                    if not _weaker(told[1], joined) and not _weaker(labels.get(arc.to, ()), joined):
                        pushed += 1
                        added = raw | (arc.guard & ~given)
                        more = 1 if arc.device >= 0 and added != raw and not raw & states.field[arc.device] else 0
                        entry = (devices + more, added.bit_count(), pushed, arc.to, added, joined)
                        heapq.heappush(heap, entry)
            elif not _weaker(labels.get(arc.to, ()), joined):
                pushed += 1
                heapq.heappush(heap, (devices, raw.bit_count(), pushed, arc.to, raw, joined))
    stopped = open_targets if heap and taken >= budget else set()
    return Found(
        cubes={t: tuple(c) for t, c in sorted(cubes.items()) if c},
        undecided=frozenset(t for t in stopped | doubtful if not cubes[t]),
        truncated=frozenset(t for t in wanted if t in stopped or len(cubes[t]) >= enough),
    )


def _weaker(cubes: Iterable[int], cube: int) -> bool:
    """Whether one of `cubes` holds wherever `cube` does."""
    negative = ~cube
    for each in cubes:  # noqa: SIM110  # any() of a generator takes twice as long, and this is most of a search
        if not each & negative:
            return True
    return False


def _passable(net: Net, start: int, within: int, avoid: Sequence[int]) -> dict[int, list[Arc]]:
    """What is reached from a place, every contact closed that `within` and single bits to avoid leave possible."""
    fields = net.states.field
    blocked = 0
    for cube in avoid:
        if cube & (cube - 1) == 0:
            blocked |= cube
    fits: dict[int, bool] = {}
    found: dict[int, list[Arc]] = {start: []}
    todo = [start]
    while todo:
        node = todo.pop()
        for arc in net.arcs.get(node, ()):
            if arc.closed and (within or blocked):
                fit = fits.get(arc.closed)
                if fit is None:
                    joined = within | arc.closed
                    fit = not arc.closed & blocked and all(joined & f != f for f in fields if f & arc.closed)
                    fits[arc.closed] = fit
                if not fit:
                    continue
            found[node].append(arc)
            if arc.to not in found:
                found[arc.to] = []
                todo.append(arc.to)
    return found


def _not_dead_ends(ways: dict[int, list[Arc]], keep: set[int]) -> set[int]:
    """Nodes that can lie on a way between two kept ones: pendant trees are cut off."""
    near: dict[int, set[int]] = {n: set() for n in ways}
    for node, arcs in ways.items():
        for arc in arcs:
            near[node].add(arc.to)
            near[arc.to].add(node)
    leads = set(ways)
    todo = [n for n in ways if n not in keep and len(near[n]) <= 1]
    while todo:
        node = todo.pop()
        if node not in leads:
            continue
        leads.discard(node)
        for other in near[node]:
            near[other].discard(node)
            if other in leads and other not in keep and len(near[other]) <= 1:
                todo.append(other)
    return leads


def walk(
    circuit: Circuit,
    start: int,
    stop: int,
    state: dict[str, str],
    conductors: Container[str],
    both_ways: bool = True,
    supposed: bool = False,
) -> list[Link] | None:
    """The contacts on a shortest way between two circuit nodes in one state, `None` where it does not join them.

    Devices that `state` does not name are taken as closed.
    """
    ways: dict[int, list[tuple[int, Link | None]]] = {}
    nodes = circuit.nodes
    for wire in circuit.wires:
        if nodes[wire.a].conductor in conductors and nodes[wire.b].conductor in conductors:
            ways.setdefault(wire.a, []).append((wire.b, None))
            ways.setdefault(wire.b, []).append((wire.a, None))
    for link in circuit.links:
        if nodes[link.a].conductor not in conductors or nodes[link.b].conductor not in conductors:
            continue
        if link.supposed and not supposed:
            continue
        if link.positions is not None and state.get(link.equipment, min(link.positions)) not in link.positions:
            continue
        ways.setdefault(link.a, []).append((link.b, link))
        if both_ways or not link.one_way:
            ways.setdefault(link.b, []).append((link.a, link))
    came: dict[int, tuple[int, Link | None]] = {start: (start, None)}
    todo = [start]
    for node in todo:
        for to, by in ways.get(node, ()):
            if to not in came:
                came[to] = (node, by)
                todo.append(to)
    if stop not in came:
        return None
    links = []
    while stop != start:
        stop, by_link = came[stop]
        if by_link is not None:
            links.append(by_link)
    return links[::-1]
