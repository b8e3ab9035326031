"""What flows in each run, and the volts lost up to its farther end."""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.expand import Wire
from engine.circuit.flow._trace import Trace
from engine.circuit.flow._volts import LINES, Volts
from engine.circuit.flow.results import RunFlow

__all__ = ["runs_of"]


class _Ends(NamedTuple):
    """Live and return points at both ends of a run; `is_line` where both are lines."""

    near: tuple[int, int]
    far: tuple[int, int]
    is_line: bool


class _Drop(NamedTuple):
    own_v: float | None
    drop_v: float | None
    pct: float | None
    nominal_v: float | None
    source: str
    missing: tuple[str, ...]


def runs_of(view: Volts) -> tuple[RunFlow, ...]:
    """Every run that carries power conductors."""
    built = view.built
    wires: dict[str, list[tuple[int, Wire]]] = {}
    for number, wire in enumerate(built.circuit.wires):
        if number in built.wire:
            wires.setdefault(wire.run, []).append((number, wire))
    made = [_run(view, run, here) for run, here in wires.items()]
    return tuple(sorted(made, key=lambda flow: (flow.designation, flow.run)))


def _run(view: Volts, run: str, wires: list[tuple[int, Wire]]) -> RunFlow:
    built = view.built
    system = built.wire[wires[0][0]][0]
    trace = view.traces[system]
    amps: list[tuple[str, float]] = []
    loss = 0.0
    own_gaps: tuple[str, ...] = ()
    rising: tuple[str, ...] | None = None
    for number, wire in wires:
        of, branch = built.wire[number]
        current = trace.branch_a[branch] if of == system else view.traces[of].branch_a[branch]
        amps.append((wire.conductor, abs(current)))
        loss += abs(current) ** 2 * complex(built.nets[of].z[branch]).real
        own_gaps = built.unknown.get((of, branch), own_gaps)
        more = view.rising.get((of, branch))
        if more is not None:
            rising = tuple(dict.fromkeys((*(rising or ()), *more)))
    drop = _drop(view, trace, run, wires)
    missing = tuple(dict.fromkeys((*own_gaps, *drop.missing, *(rising or ()))))
    return RunFlow(
        run=run,
        designation=built.name(run),
        amps=max(value for _conductor, value in amps),
        conductors=tuple(amps),
        own_drop_v=None if own_gaps else drop.own_v,
        drop_v=drop.drop_v,
        drop_pct=drop.pct,
        loss_w=None if own_gaps else loss,
        nominal_v=drop.nominal_v,
        source=drop.source,
        at_least=rising is not None,
        missing=missing,
    )


def _drop(view: Volts, trace: Trace, run: str, wires: list[tuple[int, Wire]]) -> _Drop:
    """The worst pair of the run's conductors."""
    worst: _Drop | None = None
    for ends in _pairs(view, trace, run, wires):
        found = _of_pair(view, trace, ends, wires)
        if found is not None and (worst is None or (found.pct or 0.0) > (worst.pct or 0.0)):
            worst = found
    return worst or _Drop(None, None, None, None, "", ())


def _pairs(view: Volts, trace: Trace, run: str, wires: list[tuple[int, Wire]]) -> list[_Ends]:
    built = view.built
    points = {wire.conductor: (built.at[wire.a][1], built.at[wire.b][1]) for _number, wire in wires}
    record = built.snapshot.runs[run]
    ends = ((record.from_end.equipment, record.from_end.terminal), (record.to_end.equipment, record.to_end.terminal))
    if "+" in points or "-" in points:
        return _of_direct(view, trace, points, ends)
    lines = [line for line in LINES if line in points]
    if "N" in points:
        back = points["N"]
        return [_Ends((points[line][0], back[0]), (points[line][1], back[1]), False) for line in lines]
    if len(lines) == 1:
        zero = trace.at_zero.get(trace.island[points[lines[0]][0]])
        return [] if zero is None else [_Ends((points[lines[0]][0], zero), (points[lines[0]][1], zero), False)]
    pairs = zip(lines, lines[1:] if len(lines) == 2 else (*lines[1:], lines[0]), strict=False)
    return [_Ends((points[a][0], points[b][0]), (points[a][1], points[b][1]), True) for a, b in pairs]


def _of_direct(
    view: Volts, trace: Trace, points: dict[str, tuple[int, int]], ends: tuple[tuple[str, str], tuple[str, str]]
) -> list[_Ends]:
    """Positive and negative at both ends; where one is not there, those of the source."""
    plus: list[int | None] = list(points.get("+", ())) or _plus_beside(view, trace, ends)
    found = [point for point in plus if point is not None]
    if not found:
        return []
    feeding, _missing = trace.feeding(found[0])
    both: list[tuple[int, int]] = []
    for at, end in enumerate(ends):
        live = plus[at]
        if live is None:
            live = found[0] if feeding is None else trace.net.source_pos[feeding.number]
        back = points["-"][at] if "-" in points else view.built.negative(*end)
        if back is None or trace.island[back] != trace.island[live]:
            back = None if feeding is None else trace.net.source_neg[feeding.number]
        if back is None:
            return []
        both.append((live, back))
    return [_Ends(both[0], both[1], False)]


def _plus_beside(view: Volts, trace: Trace, ends: tuple[tuple[str, str], tuple[str, str]]) -> list[int | None]:
    """The positives that go with the two ends of a negative: joined to each other where both ends have one."""
    near, far = (view.positives(*end) for end in ends)
    for one in near:
        for other in far:
            if trace.group[one] == trace.group[other]:
                return [one, other]
    if near:
        return [near[0], None]
    return [None, far[0] if far else None]


def _of_pair(view: Volts, trace: Trace, ends: _Ends, wires: list[tuple[int, Wire]]) -> _Drop | None:
    live, back = ends.near
    if not trace.is_fed(live) or trace.island[live] != trace.island[back]:
        return None
    volts = [abs(trace.volts[pos] - trace.volts[neg]) for pos, neg in (ends.near, ends.far)]
    at = ends.far if volts[1] <= volts[0] else ends.near
    source, given = view.source_volts(trace, *at, ends.is_line)
    missing = view.gaps(trace, *at, ends.is_line)
    nominal = view.nominal(trace.system, live)
    if nominal is not None and ends.is_line and given is not None and source is not None:
        here = abs(trace.across(source))
        nominal = nominal * (given / here) if here else nominal  # between lines
    drop = None if given is None or missing else given - min(volts)
    own = abs(volts[0] - volts[1])
    if len(wires) == 1:
        a, b = (view.built.at[end][1] for end in (wires[0][1].a, wires[0][1].b))
        own = abs(trace.volts[a] - trace.volts[b])
    return _Drop(
        own,
        drop,
        None if drop is None or not nominal else 100 * drop / nominal,
        nominal,
        "" if source is None else source.equipment,
        missing,
    )
