"""What flows in each run, and the volts lost up to its farther end."""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.expand import Wire
from engine.circuit.flow._trace import Trace
from engine.circuit.flow._volts import LINES, Volts
from engine.circuit.flow.frame import RunPlan
from engine.circuit.flow.results import RunFlow

__all__ = ["amps_of", "runs_of"]


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
    return tuple(_run(view, plan) for plan in _plans(view))


def amps_of(view: Volts) -> tuple[tuple[str, float], ...]:
    """The largest current of each run's conductors, by run id."""
    return tuple(
        (plan.run, max(abs(view.traces[plan.system].branch_a[branch]) for _conductor, branch in plan.wires))
        for plan in _plans(view)
    )


def _plans(view: Volts) -> list[RunPlan]:
    """What the runs are in every condition, in the order they are told."""
    built = view.built
    if built.frame.runs is not None:
        return built.frame.runs
    wires: dict[str, list[tuple[int, Wire]]] = {}
    for number, wire in enumerate(built.circuit.wires):
        if number in built.wire:
            wires.setdefault(wire.run, []).append((number, wire))
    made = []
    for run, here in wires.items():
        record = built.snapshot.runs[run]
        system = built.wire[here[0][0]][0]
        own = [(number, wire) for number, wire in here if built.wire[number][0] == system]
        start, stop = record.from_end, record.to_end
        made.append(
            RunPlan(
                run,
                built.name(run),
                system,
                tuple((wire.conductor, built.wire[number][1]) for number, wire in own),
                {wire.conductor: (built.at[wire.a][1], built.at[wire.b][1]) for _number, wire in own},
                ((start.equipment, start.terminal), (stop.equipment, stop.terminal)),
            )
        )
    built.frame.runs = sorted(made, key=lambda plan: (plan.designation, plan.run))
    return built.frame.runs


def _run(view: Volts, plan: RunPlan) -> RunFlow:
    trace = view.traces[plan.system]
    z = trace.net.z
    amps: list[tuple[str, float]] = []
    loss = 0.0
    own_gaps: tuple[str, ...] = ()
    rising: tuple[str, ...] | None = None
    for conductor, branch in plan.wires:
        size = abs(trace.branch_a[branch])
        amps.append((conductor, size))
        loss += size * size * z[branch].real
        if trace.unknown:
            own_gaps = trace.unknown.get(branch, own_gaps)
        if view.rising:
            more = view.rising.get((plan.system, branch))
            if more is not None:
                rising = tuple(dict.fromkeys((*(rising or ()), *more)))
    drop = _drop(view, trace, plan)
    missing = drop.missing
    if own_gaps or rising:
        missing = tuple(dict.fromkeys((*own_gaps, *drop.missing, *(rising or ()))))
    return RunFlow(
        run=plan.run,
        designation=plan.designation,
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


NOTHING = _Drop(None, None, None, None, "", ())


def _drop(view: Volts, trace: Trace, plan: RunPlan) -> _Drop:
    """The worst pair of the run's conductors."""
    worst: _Drop | None = None
    for ends in _pairs(view, trace, plan):
        found = _of_pair(view, trace, ends, plan)
        if found is not None and (worst is None or (found.pct or 0.0) > (worst.pct or 0.0)):
            worst = found
    return worst or NOTHING


def _pairs(view: Volts, trace: Trace, plan: RunPlan) -> list[_Ends]:
    points = plan.points
    if plan.system == "dc":
        if len(points) == 2:
            plus, minus = points["+"], points["-"]
            if trace.island[plus[0]] == trace.island[minus[0]]:
                return [_Ends((plus[0], minus[0]), (plus[1], minus[1]), False)]
        return _of_direct(view, trace, points, plan.ends)
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


def _of_pair(view: Volts, trace: Trace, ends: _Ends, plan: RunPlan) -> _Drop | None:
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
    if len(plan.wires) == 1:
        ((a, b),) = plan.points.values()
        own = abs(trace.volts[a] - trace.volts[b])
    return _Drop(
        own,
        drop,
        None if drop is None or not nominal else 100 * drop / nominal,
        nominal,
        "" if source is None else source.equipment,
        missing,
    )
