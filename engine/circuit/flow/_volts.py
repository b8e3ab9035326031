"""Volts of a solution at the drawing's nodes, and which currents are least values only."""

from __future__ import annotations

import cmath
import math

from engine.circuit.flow._settle import Settled
from engine.circuit.flow._trace import Trace
from engine.circuit.flow.frame import LiveNode
from engine.circuit.flow.netlist import NetSource
from engine.circuit.flow.results import NodeVolts
from engine.equipment.base import LIVE

__all__ = ["Volts", "nodes_of"]

LINES = ("L1", "L2", "L3")


class Volts:
    """A solution, asked for by equipment and terminal."""

    def __init__(self, done: Settled) -> None:
        self.done, self.built = done, done.built
        self.traces = {system: Trace(done, system) for system in sorted(done.solutions)}
        self._nominal: dict[tuple[str, int], float | None] = {}
        # (system, branch; diodes after branches) -> fields of loads whose whole size is not known
        self.rising: dict[tuple[str, int], tuple[str, ...]] = {}
        self._rising_points: dict[str, dict[int, tuple[str, ...]]] = {"dc": {}, "ac": {}}
        self.rising_input: dict[int, tuple[str, ...]] = {}  # conversion -> the same
        self._find_rising()

    # -- volts ------------------------------------------------------------------------------------------------------
    def own_return(self, equipment: str, terminal: str, conductor: str) -> int:
        """The negative or neutral that belongs to a live conductor, else the first line; -1 where there is none."""
        built = self.built
        if conductor == "+":
            found = built.negative(equipment, terminal)
            return -1 if found is None else found
        for other in ("N", "L1"):
            point = built.point(equipment, terminal, other)[1]
            if point >= 0 and other != conductor:
                return point
        return -1

    def positives(self, equipment: str, terminal: str) -> list[int]:
        """The positives that may belong to a negative: of the terminal, else of the equipment."""
        built = self.built
        point = built.point(equipment, terminal, "+")[1]
        if point >= 0:
            return [point]
        every = [built.point(equipment, t.name, "+")[1] for t in built.snapshot.equipment[equipment].terminals()]
        return [point for point in every if point >= 0]

    def nominal(self, system: str, point: int) -> float | None:
        """The lowest nominal volts among the sources joined to a live point, line to neutral."""
        trace = self.traces[system]
        group = trace.group[point]
        key = system, group
        if key not in self._nominal:
            net = trace.net
            here = [
                (source.adapts, source.nominal_v)
                for source in trace.sources
                if source.nominal_v and trace.group[net.source_pos[source.number]] == group
            ]
            self._nominal[key] = min(here)[1] if here else None  # a solar array's only where there is no other
        return self._nominal[key]

    def source_volts(self, trace: Trace, pos: int, neg: int, is_line: bool) -> tuple[NetSource | None, float | None]:
        """The source that feeds a live point and its terminal volts; between lines where `is_line`."""
        source, _missing = trace.feeding(pos)
        if source is None:
            return None, None
        if not is_line:
            return source, abs(trace.across(source))
        other, _missing = trace.feeding(neg)
        if other is None:
            return source, None
        net = trace.net
        return source, abs(trace.volts[net.source_pos[source.number]] - trace.volts[net.source_pos[other.number]])

    def gaps(self, trace: Trace, pos: int, neg: int, is_line: bool) -> tuple[str, ...]:
        """Fields missing for the volts between two points."""
        if not trace.unknown:
            return ()
        back = trace.feeding(neg)[1] if is_line else trace.returning(neg)
        return tuple(dict.fromkeys((*trace.feeding(pos)[1], *back)))

    # -- least values -----------------------------------------------------------------------------------------------
    def _find_rising(self) -> None:
        """Follow loads of unknown size upstream, through converters too."""
        built = self.built
        todo: list[tuple[str, int, int, tuple[str, ...], bool]] = []
        for load in built.loads:
            if load.is_known and not load.missing:
                continue
            if load.system in self.traces and not (load.is_input and self._is_dead(load.equipment, load.terminal)):
                net = built.nets[load.system]
                reactive = load.is_known and all(gap.endswith(".power_factor") for gap in load.missing)
                todo.append((load.system, net.load_pos[load.number], net.load_neg[load.number], load.missing, reactive))
        seen: set[tuple[str, int, int, tuple[str, ...], bool]] = set()
        rising: dict[tuple[str, int], dict[str, None]] = {}
        rising_points: dict[str, dict[int, dict[str, None]]] = {"dc": {}, "ac": {}}
        while todo:
            entry = todo.pop()
            if entry in seen:
                continue
            seen.add(entry)
            system, pos, neg, missing, reactive = entry
            trace = self.traces.get(system)
            if trace is None or not trace.is_fed(pos):
                continue
            points = rising_points[system]
            net = trace.net
            ends = net.a + net.diode_a, net.b + net.diode_b
            touched = {pos, neg}
            for branch in trace.upstream_of(pos, neg):
                rising.setdefault((system, branch), {}).update(dict.fromkeys(missing))
                touched |= {ends[0][branch], ends[1][branch]}
            for point in touched:
                points.setdefault(point, {}).update(dict.fromkeys(missing))
            if reactive:
                continue  # what passes a converter is real power
            for number, conversion in enumerate(built.conversions):
                if number in self.done.dead:
                    continue
                for index in conversion.outputs:
                    source = built.sources[index]
                    if source.system == system and net.source_pos[source.number] in touched:
                        self.rising_input[number] = _joined(self.rising_input.get(number), missing)
                        for at in conversion.loads:
                            load = built.loads[at]
                            of = built.nets[load.system]
                            todo.append(
                                (load.system, of.load_pos[load.number], of.load_neg[load.number], missing, False)
                            )

        self.rising = {key: tuple(gaps) for key, gaps in rising.items()}
        for name, found in rising_points.items():
            self._rising_points[name] = {point: tuple(gaps) for point, gaps in found.items()}

    def _is_dead(self, equipment: str, terminal: str) -> bool:
        return any(
            number in self.done.dead
            for number, conversion in enumerate(self.built.conversions)
            if (conversion.equipment, conversion.terminal) == (equipment, terminal)
        )

    def rising_at(self, trace: Trace, source: int) -> tuple[str, ...] | None:
        """Missing fields where a source gives a least value only; `None` where it does not."""
        if trace.is_limited[source]:
            return None
        points = self._rising_points[trace.system]
        return points.get(trace.net.source_pos[source]) if trace.net.limit_a[source] > 0 else None


def _joined(have: tuple[str, ...] | None, more: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*(have or ()), *more)))


def _live_nodes(view: Volts) -> list[LiveNode]:
    """Every live conductor at a terminal, in the order it is told."""
    built = view.built
    made = [
        LiveNode(
            system,
            point,
            view.own_return(node.equipment, node.terminal, node.conductor),
            node.equipment,
            node.terminal,
            node.conductor,
            f"{built.name(node.equipment)}.{node.terminal} {node.conductor}",
        )
        for node, (system, point) in zip(built.circuit.nodes, built.at, strict=True)
        if node.conductor in LIVE
    ]
    return sorted(made, key=lambda node: (node.at, node.equipment))


def nodes_of(view: Volts) -> tuple[NodeVolts, ...]:
    """Volts of every live conductor on an island that has a source, against its own return, else that source's."""
    made, frame = [], view.built.frame
    if frame.live_nodes is None:
        frame.live_nodes = _live_nodes(view)
    for node in frame.live_nodes:
        trace = view.traces[node.system]
        island = trace.island[node.point]
        zero = trace.at_zero.get(island)
        if zero is None:
            continue
        back = zero if node.back < 0 else node.back
        if trace.island[back] != island or back == node.point:
            continue
        across = trace.volts[node.point] - trace.volts[back]
        if node.system == "dc":
            made.append(NodeVolts(node.equipment, node.terminal, node.conductor, node.at, across.real))
        else:
            degrees = math.degrees(cmath.phase(across))
            made.append(NodeVolts(node.equipment, node.terminal, node.conductor, node.at, abs(across), degrees))
    return tuple(made)
