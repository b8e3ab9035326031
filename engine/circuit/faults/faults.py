"""Prospective fault currents on both sides of every protective device and at every bus.

The largest: conductors at 20 degC, banks full, every source running, in every permitted state of the switches that
joins the most (`states`). The smallest: conductors at the class of their insulation, the weakest source by itself
(`_least`). A fault stands between a live conductor and its return, or between lines. What each source gives and by
which method stands in the parts of a fault; where a source's share is not known, the fault's largest current is not.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from engine.books import Book
from engine.books.ampacity import amps as in_words
from engine.circuit.expand import Circuit
from engine.circuit.faults._least import Least, smallest
from engine.circuit.faults._most import Stands, built_for, everything_closed, put_sources
from engine.circuit.faults._places import Place, bus_places, device_places, pairs
from engine.circuit.faults.results import BusFault, DeviceFault, Faults, Part
from engine.circuit.faults.states import Positions, choices
from engine.circuit.flow.netlist import Netlist
from engine.circuit.volts import SystemVolts, system_volts
from engine.installation.model import Snapshot
from engine.words import _

if TYPE_CHECKING:
    from engine.circuit.solve.bolted import Bolted

__all__ = ["faults"]

COUNTS = 0.005  # share of a fault below which what a source adds is not told


def faults(snapshot: Snapshot, circuit: Circuit, book: Book) -> Faults:
    """Every fault there is to tell of. Never raises for a drawing that could be opened."""
    volts = system_volts(circuit)
    devices, buses = device_places(snapshot, circuit), bus_places(snapshot, circuit)
    if not circuit.feeds or not (devices or buses):
        return Faults()
    chosen = choices(snapshot, circuit)
    largest: dict[Place, _Found] = {}
    assumed: dict[str, None] = {}
    dc, ac = (chosen.of_system[system] for system in ("dc", "ac"))
    for number in range(max(len(dc or [()]), len(ac or [()]))):
        mine: dict[str, Positions | None] = {
            system: None if states is None else states[min(number, len(states) - 1)] if states else ()
            for system, states in (("dc", dc), ("ac", ac))
        }
        state = _State(snapshot, circuit, book, volts, chosen.fixed, mine)
        assumed.update(dict.fromkeys(state.built.assumed))
        for place, found in state.at_devices(devices):
            _keep(largest, place, found)
        for place, found in state.at_buses(buses):
            _keep(largest, place, found)
    least = smallest(snapshot, circuit, book, volts, chosen.fixed)
    return Faults(
        devices=tuple(_devices(snapshot, volts, devices, largest, least.at_node)),
        buses=tuple(_buses(snapshot, buses, largest, least.at_node)),
        far_ends=least.far_ends,
        assumed=tuple(dict.fromkeys((*assumed, *least.assumed))),
    )


class _Found:
    """The largest fault at a place in one state."""

    __slots__ = ("here", "missing", "multiple", "parts", "positions", "system", "through", "undecided")

    def __init__(
        self,
        system: str,
        here: float,
        through: float,
        parts: tuple[Part, ...],
        missing: tuple[str, ...],
        positions: Positions,
        undecided: bool,
        multiple: float,
    ) -> None:
        self.system, self.here, self.through, self.parts = system, here, through, parts
        self.missing, self.positions, self.undecided, self.multiple = missing, positions, undecided, multiple


def _keep(largest: dict[Place, _Found], place: Place, found: _Found) -> None:
    have = largest.get(place)
    if have is None or (bool(found.missing), found.through, found.here) > (
        bool(have.missing),
        have.through,
        have.here,
    ):
        largest[place] = found


class _State:
    """One state of the switches, its networks faulted."""

    def __init__(
        self,
        snapshot: Snapshot,
        circuit: Circuit,
        book: Book,
        volts: SystemVolts,
        fixed: dict[str, str],
        chosen: dict[str, Positions | None],
    ) -> None:
        self.snapshot, self.circuit, self.chosen = snapshot, circuit, chosen
        every = tuple(pair for positions in chosen.values() if positions for pair in positions)
        relaxed = any(positions is None for positions in chosen.values())
        self.built: Netlist = built_for(snapshot, circuit, book, fixed, every, "cold")
        if relaxed:
            everything_closed(self.built)
        self.stands: Stands = put_sources(self.built, book, volts, relaxed)
        self.relaxed = relaxed
        self.negatives = {
            system: list(dict.fromkeys(one.neg for one in self.stands[system])) for system in ("dc", "ac")
        }

    def at_devices(self, devices: list[tuple[Place, Place]]) -> list[tuple[Place, _Found]]:
        """Both sides of every device that is closed, with what passes through it."""
        asked = []
        for one, other in devices:
            system, branch = self.built.link.get(one.link, ("", -1))
            if system:
                asked += [(one, branch), (other, branch)]
        return self._faulted(asked)

    def at_buses(self, buses: list[Place]) -> list[tuple[Place, _Found]]:
        """Every bus."""
        return self._faulted([(place, -1) for place in buses])

    def _faulted(self, asked: list[tuple[Place, int]]) -> list[tuple[Place, _Found]]:
        from engine.circuit.solve.bolted import bolted

        made: list[tuple[Place, _Found]] = []
        for system, net in self.built.nets.items():
            rows: list[tuple[Place, int, tuple[int, int]]] = []
            for place, branch in asked:
                if self.built.at[place.node][0] == system:
                    rows += [(place, branch, pair) for pair in pairs(self.built, place, self.negatives)]
            if not rows or not net.emf:
                continue
            found = bolted(net, [pair for _p, _b, pair in rows], [branch for _p, branch, _pair in rows])
            size, through = abs(found.amps), abs(found.branch_a)
            best: dict[Place, int] = {}
            for row, (place, branch, _pair) in enumerate(rows):
                if not math.isfinite(size[row]):
                    continue
                have = best.get(place)
                value = (through[row], size[row]) if branch >= 0 else (size[row], size[row])
                if have is None or value > ((through if branch >= 0 else size)[have], size[have]):
                    best[place] = row
            for place, row in best.items():
                made.append((place, self._found(system, place, rows[row][1], rows[row][2], found, row)))
        return made

    def _found(self, system: str, place: Place, branch: int, pair: tuple[int, int], found: Bolted, row: int) -> _Found:
        amps = abs(found.amps[row])
        source_a = found.source_a[row]
        through = abs(found.branch_a[row]) if branch >= 0 else amps
        parts: list[Part] = []
        missing: list[str] = []
        behind = self._side(system).sources(pair[0], branch if branch >= 0 and through < amps * (1 - 1e-6) else -1)
        for number, one in enumerate(self.stands[system]):
            given = abs(source_a[number])
            if number not in behind or given <= COUNTS * max(through, 1e-9):
                continue
            parts.append(one.part(self.snapshot, float(given)))
            missing += one.missing
        positions = self.chosen[system] or ()
        volts = abs(found.open_v[row])
        return _Found(
            system,
            float(amps),
            float(through),
            _joined(parts) if through > 0 else (),
            tuple(dict.fromkeys(missing)) if through > 0 else (),
            positions,
            self.relaxed,
            float(volts),
        )

    def _side(self, system: str) -> _Sides:
        kept: dict[str, _Sides] = self.__dict__.setdefault("_sides", {})
        if system not in kept:
            kept[system] = _Sides(self.built, self.stands, system)
        return kept[system]


class _Sides:
    """Which sources reach a point by live conductors, and by which side of a device."""

    def __init__(self, built: Netlist, stands: Stands, system: str) -> None:
        net = built.nets[system]
        self.near: list[list[tuple[int, int]]] = [[] for _ in range(net.size)]
        for number, (a, b) in enumerate(zip(net.a, net.b, strict=True)):
            self.near[a].append((b, number))
            self.near[b].append((a, number))
        for a, b in zip(net.diode_a, net.diode_b, strict=True):
            self.near[a].append((b, -1))
            self.near[b].append((a, -1))
        self.of_source = [(one.pos, one.neg) for one in stands[system]]
        self.label = self._labels(net.size)

    def _labels(self, size: int) -> list[int]:
        label = [-1] * size
        for start in range(size):
            if label[start] < 0:
                for point in self._reach(start, -1):
                    label[point] = start
        return label

    def _reach(self, start: int, without: int) -> set[int]:
        seen, todo = {start}, [start]
        while todo:
            for to, branch in self.near[todo.pop()]:
                if to not in seen and (branch < 0 or branch != without):
                    seen.add(to)
                    todo.append(to)
        return seen

    def sources(self, point: int, without: int) -> set[int]:
        """Numbers of the sources whose live side joins a point; with `without`, those behind that branch only."""
        mine = self.label[point]
        joined = {n for n, (pos, neg) in enumerate(self.of_source) if mine in (self.label[pos], self.label[neg])}
        if without < 0:
            return joined
        near = self._reach(point, without)
        beyond = {n for n in joined if self.of_source[n][0] not in near}
        return beyond or joined


def _joined(parts: list[Part]) -> tuple[Part, ...]:
    """Largest first; several lines of one source as the largest of them."""
    by: dict[str, Part] = {}
    for part in parts:
        have = by.get(part.equipment)
        if have is None or part.amps > have.amps:
            by[part.equipment] = part
    return tuple(sorted(by.values(), key=lambda part: (-part.amps, part.designation, part.equipment)))


# -- what is told ---------------------------------------------------------------------------------------------------
def _sum(parts: tuple[Part, ...], total: float) -> str:
    """*G1 4600 A + T1 60 A = 4660 A*."""
    if not parts:
        return ""
    words = " + ".join(f"{part.designation or part.equipment} {in_words(part.amps)}" for part in parts)
    return words if len(parts) == 1 else f"{words} = {in_words(total)}"


def _devices(
    snapshot: Snapshot,
    volts: SystemVolts,
    devices: list[tuple[Place, Place]],
    largest: dict[Place, _Found],
    least: dict[int, Least],
) -> list[DeviceFault]:
    """One for each device, or each way of one with several: its pole with the largest current."""
    made: dict[tuple[str, str, str], DeviceFault] = {}
    for one, other in devices:
        here, there = largest.get(one), largest.get(other)
        if here is None or there is None:
            continue
        place, main, opposite = (one, here, there) if _rank(here) >= _rank(there) else (other, there, here)
        far = least.get(place.node)
        told = _device(snapshot, volts, place, main, opposite, far)
        key = one.equipment, one.terminal, other.terminal
        have = made.get(key)
        if have is None or (told.max_a or math.inf) > (have.max_a or math.inf):
            made[key] = told
    return list(made.values())


def _rank(found: _Found) -> tuple[bool, float, float]:
    return bool(found.missing), found.through, -found.here


def _device(
    snapshot: Snapshot, volts: SystemVolts, place: Place, main: _Found, opposite: _Found, far: Least | None
) -> DeviceFault:
    unknown = bool(main.missing or opposite.missing)
    highest = volts.at(place.node).highest()
    if highest is not None and main.system == "ac" and main.multiple > highest * 1.05:
        highest = main.multiple  # between lines
    return DeviceFault(
        equipment=place.equipment,
        designation=snapshot.name(place.equipment),
        terminal=place.terminal,
        conductor=place.conductor,
        system=main.system,
        max_a=None if unknown else main.through,
        min_a=None if far is None else far.amps,
        parts=main.parts,
        positions=main.positions,
        undecided=main.undecided,
        arithmetic=_sum(main.parts, main.through),
        assumed=_assumed(main.parts, far),
        missing=tuple(dict.fromkeys((*main.missing, *opposite.missing))),
        min_missing=far.missing if far else (),
        loop_ohm=None if far is None else far.loop_ohm,
        other_a=None if opposite.missing else opposite.through,
        here_a=None if main.missing else main.here,
        there_a=None if opposite.missing else opposite.here,
        volts=highest,
    )


def _buses(
    snapshot: Snapshot, buses: list[Place], largest: dict[Place, _Found], least: dict[int, Least]
) -> list[BusFault]:
    made: dict[str, BusFault] = {}
    for place in buses:
        found = largest.get(place)
        if found is None:
            continue
        far = least.get(place.node)
        told = BusFault(
            equipment=place.equipment,
            designation=snapshot.name(place.equipment),
            terminal=place.terminal,
            conductor=place.conductor,
            system=found.system,
            max_a=None if found.missing else found.here,
            min_a=None if far is None else far.amps,
            parts=found.parts,
            positions=found.positions,
            undecided=found.undecided,
            arithmetic=_sum(found.parts, found.here),
            assumed=_assumed(found.parts, far),
            missing=found.missing,
            min_missing=far.missing if far else (),
            loop_ohm=None if far is None else far.loop_ohm,
        )
        have = made.get(place.equipment)
        if have is None or (told.max_a or math.inf) > (have.max_a or math.inf):
            made[place.equipment] = told
    return list(made.values())


def _assumed(parts: tuple[Part, ...], far: Least | None) -> tuple[str, ...]:
    """What rests on a method, in words."""
    told = [
        _("{name}: {how}").format(name=part.designation or part.equipment, how=part.how)
        for part in parts
        if part.assumed
    ]
    return tuple(dict.fromkeys((*told, *(far.assumed if far else ()))))
