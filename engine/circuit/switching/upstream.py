"""Where energy comes from, walked backwards: from a point against the flow to every source that may feed it.

The conductors that can be live are nodes. Wires and contacts lead both ways (a diode one way), a conversion leads from
output to input, windings lead back as well, and so does what may work both ways as far as the record tells. An *origin*
is a source that nothing drawn feeds: a bank, a machine, the sun, the shore, and a converter whose input must be
connected and is not. The way back (negative, neutral) is taken as there: for making dead that is the safe side.

What a person can do to a way is an `Act`. Whatever else moves, every position counts:

* a device with two positions that no interlock holds is taken as closed, which is the worst;
* of the others (`hard`: several positions, no off, interlocked) a way may ask for positions that exclude each other.
  `ways` therefore tries the way found with all contacts closed, and searches exactly where that one cannot be.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Literal, NamedTuple

from engine.circuit.expand import Circuit, Feed
from engine.circuit.meeting import allows_nothing
from engine.circuit.paths import BUDGET, Net, search
from engine.circuit.paths import Arc as Guarded
from engine.circuit.states import Device, Lock, States, TooManyStates
from engine.equipment.base import LIVE, Equipment
from engine.installation.model import Snapshot

__all__ = ["Act", "Arc", "Origin", "Upstream"]

ON_LOSS = {"opens": "open", "closes": "closed"}
NOTHING: Mapping[str, str] = {}


class Act(NamedTuple):
    """What a person can do so that a way is parted. `position`: of a switch; the terminal behind one fuse of several.

    `stop` and `cover` are of a source, `unplug` of the shore's cord, `draw` of a fuse, `disable` of what a controller
    moves: worked by hand or without its control it stays in that position.
    """

    kind: Literal["switch", "stop", "unplug", "cover", "draw", "disable"]
    item: str
    position: str = ""


class Arc(NamedTuple):
    """Energy may come from node `start`: along a wire (no equipment), through a contact or a conversion."""

    start: int
    equipment: str = ""
    positions: frozenset[str] | None = None
    acts: tuple[Act, ...] = ()
    converts: bool = False
    to: int = -1


class Origin(NamedTuple):
    """A source that nothing drawn feeds, at a node. `act`: how a person ends it; `None`: nobody can."""

    equipment: str
    node: int
    positions: frozenset[str] | None
    act: Act | None
    undrawn: str = ""  # the terminal at which what feeds it is not drawn


class Upstream:
    """The energy of one circuit, backwards."""

    def __init__(self, snapshot: Snapshot, circuit: Circuit) -> None:
        self.snapshot, self.circuit = snapshot, circuit
        self._parting: dict[str, tuple[str, ...]] = {}
        locks = [
            Lock(lock.at_most, tuple((h.equipment, frozenset(h.positions)) for h in lock.held))
            for lock in snapshot.interlocks.values()
        ]
        held = {item for lock in locks for item, _positions in lock.held}
        hard = [
            Device(item, record.positions(), record.moves_itself() is not False)
            for item, record in snapshot.equipment.items()
            if len(record.positions()) > 2 or (record.positions() and (item in held or not self.parting(item)))
        ]
        self.states = States(hard, locks)
        self.is_locked = allows_nothing(self.states)  # the interlocks contradict each other: they prove nothing
        self.hard = frozenset(d.equipment for d in hard if not self.is_locked)
        self._guards: dict[tuple[str, frozenset[str] | None], tuple[int, int, int] | None] = {}
        self.into: list[list[Arc]] = [[] for _ in circuit.nodes]
        self.out_of: list[list[tuple[int, Arc]]] = [[] for _ in circuit.nodes]  # forwards: (to, the arc)
        self.origins: list[Origin] = []
        self._live = [node.conductor in LIVE for node in circuit.nodes]
        self.live_at: dict[str, list[int]] = {}  # of equipment: its nodes that can be live
        for number, node in enumerate(circuit.nodes):
            if self._live[number]:
                self.live_at.setdefault(node.equipment, []).append(number)
        self._wire_up()
        self._convert()
        self._at: dict[int, list[int]] = {}
        for n, origin in enumerate(self.origins):
            self._at.setdefault(origin.node, []).append(n)

    # -- making ---------------------------------------------------------------------------------------------------
    def _wire_up(self) -> None:
        circuit, nodes, live = self.circuit, self.circuit.nodes, self._live
        for wire in circuit.wires:
            if live[wire.a] and live[wire.b]:
                acts = self._cord(wire.a) + self._cord(wire.b)
                self._arc(wire.b, Arc(wire.a, acts=acts))
                self._arc(wire.a, Arc(wire.b, acts=acts))
        fuses: dict[str, set[int]] = {}
        for link in circuit.links:
            if link.protection is not None and link.protection.kind == "fuse" and link.positions is None:
                fuses.setdefault(link.equipment, set()).add(link.b)
        for link in circuit.links:
            if not (live[link.a] and live[link.b]):
                continue
            if link.positions is not None:
                acts = self.acts(link.equipment, link.positions)
            elif link.protection is not None and link.protection.kind == "fuse":
                several = len({nodes[b].terminal for b in fuses[link.equipment]}) > 1
                acts = (Act("draw", link.equipment, nodes[link.b].terminal if several else ""),)
            else:
                acts = ()
            self._arc(link.b, Arc(link.a, link.equipment, link.positions, acts))
            if not link.one_way:
                self._arc(link.a, Arc(link.b, link.equipment, link.positions, acts))

    def _convert(self) -> None:
        """Conversions as arcs; what they do not feed is an origin."""
        circuit = self.circuit
        feeds: dict[tuple[str, str], list[Feed]] = {}
        for feed in [*circuit.feeds, *circuit.supposed_feeds]:
            feeds.setdefault((feed.equipment, feed.source.terminal), []).append(feed)
        made = {(item, c.target) for item, c in circuit.conversions}
        reversed_: set[tuple[str, str]] = set()
        for item, conversion in circuit.conversions:
            inputs = self._nodes(item, conversion.source)
            outputs = [f.node for f in feeds.get((item, conversion.target), ()) if f.source.positions in
                       (None, conversion.positions)] or self._nodes(item, conversion.target)  # fmt: skip
            supposed = any(f.source.supposed for f in feeds.get((item, conversion.source), ()))
            acts = self.acts(item, conversion.positions) if conversion.positions is not None else ()
            for a in inputs:
                for b in outputs:
                    self._arc(b, Arc(a, item, conversion.positions, acts, converts=True))
            if conversion.both_ways or (supposed and (item, conversion.source) not in made):
                reversed_.add((item, conversion.source))
                for a in self._nodes(item, conversion.source):
                    for b in self._nodes(item, conversion.target):
                        self._arc(a, Arc(b, item, conversion.positions, acts, converts=True))
        for (item, terminal), several in feeds.items():
            lacking = ""
            if (item, terminal) in made or (item, terminal) in reversed_:
                lacking = self._undrawn(item, terminal)
                if not lacking:
                    continue
            for feed in several:
                self.origins.append(
                    Origin(item, feed.node, feed.source.positions, self._ended(item) if not lacking else None, lacking)
                )

    def _undrawn(self, item: str, terminal: str) -> str:
        """The terminal that must feed what comes out of `terminal`, where nothing arrives at it."""
        must = {t.name for t in self.snapshot.equipment[item].terminals() if t.must}
        inputs = [c.source for of, c in self.circuit.conversions if of == item and c.target == terminal]
        lacking = [i for i in inputs if i in must and not self._nodes(item, i)]
        return lacking[0] if inputs and len(lacking) == len(inputs) else ""

    def _nodes(self, item: str, terminal: str) -> list[int]:
        """Live nodes of a terminal."""
        found = (self.circuit.node(item, terminal, conductor) for conductor in LIVE)
        return [node for node in found if node is not None]

    def _arc(self, to: int, arc: Arc) -> None:
        if arc.start != to:
            arc = arc._replace(to=to)
            self.into[to].append(arc)
            self.out_of[arc.start].append((to, arc))

    def _cord(self, node: int) -> tuple[Act, ...]:
        """The shore's cord is pulled out of the boat's inlet."""
        at = self.circuit.nodes[node]
        ashore = self.snapshot.equipment[at.equipment].ashore()
        if ashore is None or not ashore.inlet or at.terminal == ashore.terminal:
            return ()
        return (Act("unplug", at.equipment),)

    def _ended(self, item: str) -> Act | None:
        """How a person ends a source."""
        record = self.snapshot.equipment[item]
        harvest = record.harvest()
        if record.ashore() is not None:
            return Act("unplug", item)
        if harvest is not None:
            if harvest.from_sun:
                return Act("cover", item)
            return Act("stop", item) if getattr(record, "brake", None) is True else None
        if record.machine() is None:
            return None
        # one that starts by itself and has no panel of its own cannot be kept from starting
        starts_itself = getattr(record, "starting", "") == "automatic"
        return None if starts_itself and getattr(record, "manual_panel", None) is False else Act("stop", item)

    def parting(self, item: str) -> tuple[str, ...]:
        """The positions in which it joins, converts and gives nothing."""
        if item not in self._parting:
            record = self.snapshot.equipment[item]
            told = [contact.positions for contact in record.contacts()]
            told += [conversion.positions for conversion in record.conversions()]
            told += [source.positions for source in record.sources(frozenset())]
            busy = {position for positions in told for position in positions or ()}
            self._parting[item] = tuple(p for p in record.positions() if p not in busy)
        return self._parting[item]

    def acts(self, item: str, positions: frozenset[str]) -> tuple[Act, ...]:
        """What parts a contact that is closed in `positions`; nothing where no person can be sure of it."""
        record = self.snapshot.equipment[item]
        parting = self.parting(item)
        if record.moves_itself() is False:
            if getattr(record, "isolates", None) is False:
                return ()
            return tuple(Act("switch", item, p) for p in parting[:1] or _others(record, positions))
        for remote in record.remotes():
            stays = ON_LOSS.get(remote.on_loss, remote.on_loss)
            if not remote.terminal and stays in parting:
                return (Act("disable", item, stays),)
            if not remote.terminal and remote.override and parting:
                return (Act("disable", item, parting[0]),)
        return ()

    # -- walking --------------------------------------------------------------------------------------------------
    def ways(
        self, targets: Iterable[int], cut: frozenset[Act], without: frozenset[int] = frozenset()
    ) -> tuple[dict[int, list[Arc]], list[int]]:
        """The origins (by number) that reach a target in some permitted state with `cut` done, each with one way.

        The second are those about which the search could not tell. `without`: origins not asked about.
        """
        goals = list(targets)
        found: dict[int, list[Arc]] = {}
        doubtful: list[int] = []
        for n, way in self._walk(goals, cut, NOTHING).items():
            if n in without:
                continue
            if self._can_be(n, way, cut):
                found[n] = way
            else:
                doubtful.append(n)
        if not doubtful:
            return found, []
        states, undecided = self._exact(goals, cut, doubtful)
        for n, state in states.items():
            found[n] = self._walk(goals, cut, state)[n]
        return found, undecided

    def parted_by_position(self, targets: Iterable[int], cut: frozenset[Act]) -> list[list[Arc]]:
        """With `cut` done, ways that only positions excluding each other, or an interlock, keep from being closed."""
        return list(self._walk(list(targets), cut, NOTHING).values())

    def depths(self, targets: Iterable[int]) -> dict[int, int]:
        """How many steps every node is away from the targets, against the flow, all contacts closed."""
        depth = dict.fromkeys(targets, 0)
        todo = list(depth)
        for node in todo:
            for arc in self.into[node]:
                if arc.start not in depth:
                    depth[arc.start] = depth[node] + 1
                    todo.append(arc.start)
        return depth

    def fed(self, cut: frozenset[Act]) -> set[int]:
        """Every node that an origin reaches with `cut` done, all other contacts closed."""
        seen = {o.node for o in self.origins if o.act is None or o.act not in cut}
        todo = list(seen)
        for node in todo:
            for to, arc in self.out_of[node]:
                if to not in seen and not any(act in cut for act in arc.acts):
                    seen.add(to)
                    todo.append(to)
        return seen

    def joined(self, starts: Iterable[int], cut: frozenset[Act]) -> set[int]:
        """Nodes joined to `starts` by wires and contacts alone with `cut` done, all other contacts closed."""
        seen = set(starts)
        todo = list(seen)
        for node in todo:
            for to in [a.start for a in self.into[node] if not a.converts and not any(x in cut for x in a.acts)]:
                if to not in seen:
                    seen.add(to)
                    todo.append(to)
        return seen

    def _walk(self, goals: list[int], cut: frozenset[Act], state: Mapping[str, str]) -> dict[int, list[Arc]]:
        """Origins reached, each with a shortest way, from the origin on. `state`: where hard devices stand."""
        by: dict[int, tuple[int, Arc] | None] = dict.fromkeys(goals)
        todo = list(by)
        found: dict[int, list[Arc]] = {}
        for node in todo:
            for n in self._at.get(node, ()):
                origin = self.origins[n]
                if origin.act is not None and origin.act in cut:
                    continue
                if _stands(state, origin.equipment, origin.positions):
                    found[n] = _chain(by, node)
            for arc in self.into[node]:
                if arc.start in by or any(act in cut for act in arc.acts):
                    continue
                if _stands(state, arc.equipment, arc.positions):
                    by[arc.start] = (node, arc)
                    todo.append(arc.start)
        return found

    def given(self, cut: Iterable[Act]) -> int:
        """The cube of the positions that are part of what is done."""
        return self.states.of_positions((act.item, act.position) for act in cut if act.kind in ("switch", "disable"))

    def allows(self, cut: Iterable[Act]) -> bool:
        """Whether the interlocks allow it."""
        if self.is_locked:
            return True
        try:
            return self.states.allows(self.given(cut))
        except TooManyStates:
            return True

    def _can_be(self, n: int, way: list[Arc], cut: frozenset[Act]) -> bool:
        if self.is_locked:
            return True
        cube = self.given(cut)
        origin = self.origins[n]
        for item, positions in ((origin.equipment, origin.positions), *((a.equipment, a.positions) for a in way)):
            if positions is not None and item in self.hard:
                guard = self.states.guard(item, positions)
                if guard is None:
                    return False
                cube |= guard
        try:
            return self.states.completion(cube) is not None
        except TooManyStates:
            return False

    def _exact(
        self, goals: list[int], cut: frozenset[Act], asked: list[int]
    ) -> tuple[dict[int, dict[str, str]], list[int]]:
        """Of each origin asked about that reaches a goal, a state of the hard devices; those it could not tell of."""
        net = _Backwards(self, goals, cut, asked)
        given = self.given(cut)
        found = search(net, net.start, net.stops, 1, max(BUDGET, 20 * len(self.circuit.nodes)), given)
        told: dict[int, dict[str, str]] = {}
        undecided = []
        for n, stop in zip(asked, net.stops, strict=True):
            cubes = found.cubes.get(stop)
            if not cubes:
                undecided += [n] if stop in found.undecided else []
                continue
            try:
                state = self.states.completion(cubes[0] | given)
            except TooManyStates:
                undecided.append(n)
                continue
            if state is not None:
                told[n] = state
        return told, undecided

    def guard(self, item: str, positions: frozenset[str] | None) -> tuple[int, int, int] | None:
        """Device, cube and cube with what follows, of a contact; `None` where the interlocks never allow it."""
        if positions is None or item not in self.hard:
            item, positions = "", None
        key = item, positions
        if key not in self._guards:
            cube = 0 if positions is None else self.states.guard(item, positions)
            closed = None if cube is None else self.states.closed(cube)
            made = None
            if cube is not None and closed is not None:
                made = self.states.number[item] if cube else -1, cube, closed
            self._guards[key] = made
        return self._guards[key]


class _Backwards(Net):
    """The same graph for the search over positions: only hard devices guard, the cut is left out."""

    def __init__(self, upstream: Upstream, goals: list[int], cut: frozenset[Act], asked: list[int]) -> None:
        self.states = upstream.states
        self.arcs = {}
        self.start = len(upstream.into)
        self.stops = [self.start + 1 + place for place in range(len(asked))]
        for goal in goals:
            self._way(self.start, goal, upstream.guard("", None))
        for node, arcs in enumerate(upstream.into):
            for arc in arcs:
                if not any(act in cut for act in arc.acts):
                    self._way(node, arc.start, upstream.guard(arc.equipment, arc.positions))
        for n, stop in zip(asked, self.stops, strict=True):
            origin = upstream.origins[n]
            if origin.act is None or origin.act not in cut:
                self._way(origin.node, stop, upstream.guard(origin.equipment, origin.positions))

    def _way(self, node: int, to: int, guard: tuple[int, int, int] | None) -> None:
        if guard is not None:
            self.arcs.setdefault(node, []).append(Guarded(to, *guard))


def _others(record: Equipment, positions: frozenset[str]) -> tuple[str, ...]:
    return tuple(p for p in record.positions() if p not in positions)


def _stands(state: Mapping[str, str], item: str, positions: frozenset[str] | None) -> bool:
    return positions is None or item not in state or state[item] in positions


def _chain(by: dict[int, tuple[int, Arc] | None], node: int) -> list[Arc]:
    way = []
    step = by[node]
    while step is not None:
        node, arc = step
        way.append(arc)
        step = by[node]
    return way
