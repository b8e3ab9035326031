"""In which switch positions a DC source is joined to a battery, and in which it is left with none.

Here *opening* is the bad event, so every breaker counts as able to open; a fuse has no positions. Positive and negative
must both be joined, where both are drawn; a negative that is not drawn all the way returns anyway. A diode conducts one
way. Only what stands on a way between sources and batteries is a device of the question: branch circuits hang beside.

A finished search lists every condition under which a source is joined to a battery (`engine.circuit.paths`), so a
state within none of them leaves it with none: `States.outside` finds one or proves that there is none.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.circuit.paths import BUDGET, Net, search
from engine.circuit.states import Device, Lock, States, TooManyStates
from engine.installation.model import Snapshot

__all__ = ["BatteryWays", "Joined", "in_between", "smallest"]

EVERY = 100  # conditions a target: more than that is not decided


class Joined(NamedTuple):
    """The smallest conditions under which two points are joined, and whether these are all of them."""

    cubes: tuple[int, ...]
    whole: bool


class BatteryWays:
    """The switches between DC sources and batteries, and what they join."""

    def __init__(
        self,
        snapshot: Snapshot,
        circuit: Circuit,
        protection_opens: bool = True,
        budget: int = BUDGET,
        without: Container[str] = (),
    ) -> None:
        """With `protection_opens` a breaker counts as able to open; else as closed unless it is used as a switch.

        `without`: switches that join nothing.
        """
        self._circuit, self._budget = circuit, budget
        self.banks: dict[str, int] = {}  # batteries and the nodes of their positives
        self.absorbers: dict[str, int] = {}  # what takes the surge of a machine
        keep: set[int] = set()
        for feed in circuit.feeds:
            if circuit.nodes[feed.node].conductor == "+":
                keep.update(_poles(circuit, feed.equipment))
                if snapshot.equipment[feed.equipment].store() is not None:
                    self.banks.setdefault(feed.equipment, feed.node)
        for item, record in snapshot.equipment.items():
            lost = record.battery_lost()
            node = circuit.node(item, lost.terminal, "+") if lost is not None and lost.form == "absorber" else None
            if node is not None:
                self.absorbers[item] = node
                keep.update(_poles(circuit, item))
        self.states = in_between(snapshot, circuit, keep, protection_opens)
        self._plus = Net(circuit, self.states, ("+",), both_ways=False)
        dropped = {number for item, number in self.states.number.items() if item in without}
        for node, arcs in self._plus.arcs.items():
            self._plus.arcs[node] = [arc for arc in arcs if arc.device not in dropped]
        self._minus = Net(circuit, self.states, ("-",))

    def joined(self, item: str, node: int, targets: Mapping[str, int], enough: int = EVERY) -> dict[str, Joined]:
        """Of each target (equipment -> its positive) that `item` at its positive `node` can be joined to, how.

        No more than the `enough` smallest conditions of the positive are looked for.
        """
        made: dict[str, Joined] = {}
        others = {name: at for name, at in targets.items() if name != item}
        if not others:
            return made
        start = self._plus.terminal(node)
        points = {name: self._plus.terminal(at) for name, at in others.items()}
        found = search(self._plus, start, points.values(), enough, self._budget)
        for name, point in points.items():
            cubes = found.cubes.get(point, ())
            whole = point not in found.undecided and point not in found.truncated
            if not cubes and whole:
                continue
            back = self._returns(item, name)
            both = (a | b for a in cubes for b in back.cubes)
            made[name] = Joined(
                tuple(self.states.weakest(c for c in both if self.states.closed(c) is not None)), whole and back.whole
            )
        return made

    def _returns(self, one: str, other: str) -> Joined:
        """How their negatives are joined; in every position where that is not drawn all the way."""
        starts, stops = (_nodes(self._circuit, item, "-") for item in (one, other))
        if not starts or not stops:
            return Joined((0,), True)
        start = self._minus.terminal(starts[0])
        stop = self._minus.terminal(stops[0])
        found = search(self._minus, start, [stop], EVERY, self._budget)
        return Joined(found.cubes.get(stop, (0,)), stop not in found.truncated and stop not in found.undecided)


def in_between(
    snapshot: Snapshot, circuit: Circuit, keep: Iterable[int], protection_opens: bool, conductors: str = "+-"
) -> States:
    """The switches on ways between the nodes named, and those of interlocks; what hangs beside is left out."""
    kept = set(keep)
    ways: dict[int, set[tuple[int, int]]] = {}

    def joins(a: int, b: int, number: int) -> None:
        if a != b and circuit.nodes[a].conductor in conductors and circuit.nodes[b].conductor in conductors:
            ways.setdefault(a, set()).add((b, number))
            ways.setdefault(b, set()).add((a, number))

    for number, wire in enumerate(circuit.wires):
        joins(wire.a, wire.b, -1 - number)
    for number, link in enumerate(circuit.links):
        joins(link.a, link.b, number)
    todo = [node for node, near in ways.items() if len(near) <= 1 and node not in kept]
    while todo:
        node = todo.pop()
        for other, number in ways.pop(node, set()):
            ways[other].discard((node, number))
            if other not in kept and len(ways[other]) <= 1:
                todo.append(other)
    wanted = {circuit.links[n].equipment for near in ways.values() for _other, n in near if n >= 0}
    wanted |= {held.equipment for lock in snapshot.interlocks.values() for held in lock.held}
    devices = [
        Device(item, record.positions(), record.moves_itself() is not False)
        for item, record in snapshot.equipment.items()
        if item in wanted and record.positions() and (protection_opens or circuit.switchable(item))
    ]
    locks = [
        Lock(lock.at_most, tuple((h.equipment, frozenset(h.positions)) for h in lock.held))
        for lock in snapshot.interlocks.values()
    ]
    return States(devices, locks)


def smallest(states: States, cube: int, never: Iterable[int], keep: int = 0) -> int:
    """`cube` with every condition dropped without which none of `never` can hold all the same.

    Conditions within `keep` stay. Where it cannot tell, a condition stays.
    """
    cubes = tuple(never)
    for device in states.touched(cube):
        field = states.field[device]
        if cube & field == keep & field:
            continue
        less = cube & ~field | keep & field
        if not any(_may_hold(states, less | other) for other in cubes):
            cube = less
    return cube


def _may_hold(states: States, cube: int) -> bool:
    try:
        return states.is_possible(cube) and states.completion(cube) is not None
    except TooManyStates:
        return True


def _nodes(circuit: Circuit, item: str, conductor: str) -> list[int]:
    names = [terminal.name for terminal in circuit.snapshot.equipment[item].terminals()]
    found = (circuit.node(item, name, conductor) for name in names)
    return [node for node in found if node is not None]


def _poles(circuit: Circuit, item: str) -> list[int]:
    return [node for conductor in "+-" for node in _nodes(circuit, item, conductor)]
