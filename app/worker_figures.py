"""Figures out of a study, by id and small enough to be sent: what flows, what would flow in a fault. No Qt."""

from __future__ import annotations

from collections.abc import Iterable

from app.judgement import BusFigure, FaultFigure, FaultFigures, FlowFigures, LoadFigure, RunFigure, SourceFigure
from engine.check import CheckResult
from engine.circuit.faults.results import BusFault, DeviceFault, Faults
from engine.circuit.flow.results import BusFlow, Flow, SourceFlow

__all__ = ["fault_figures", "flow_figures", "over_limits"]

# findings of these say that a current or a drop is too much
_TOO_MUCH = ("bus-overloaded", "drop-too-high", "overloaded", "source-overloaded", "switch-overloaded")


def over_limits(result: CheckResult | None, condition: str) -> frozenset[str]:
    """Ids of which a finding says, for the condition of this name, that they carry or lose too much."""
    if result is None:
        return frozenset()
    found = (f for f in (*result.findings, *result.waived) if f.rule in _TOO_MUCH)
    return frozenset(f.ids[0] for f in found if f.ids and (not f.condition or condition in f.condition))


def flow_figures(flow: Flow, over: frozenset[str] = frozenset()) -> FlowFigures:
    """What a flow tells of every run, load, source, bus and device."""
    loads: dict[str, LoadFigure] = {}
    for load in sorted(flow.loads, key=lambda x: (x.volts is None, -(x.volts or 0.0))):
        loads[load.equipment] = LoadFigure(  # of several terminals that with the lowest volts
            load.volts, load.amps, load.drop_v, load.drop_pct, load.at_least, load.collapsed
        )
    missing = {field for run in flow.runs for field in run.missing}
    for some in (flow.loads, flow.sources, flow.buses, flow.devices):
        missing.update(field for each in some for field in each.missing)
    return FlowFigures(
        condition=flow.condition,
        converged=flow.converged,
        sources_w=flow.sources_w,
        loads_w=flow.loads_w,
        losses_w=flow.losses_w,
        runs={r.run: RunFigure(r.amps, r.drop_v, r.drop_pct, r.at_least, r.run in over) for r in flow.runs},
        loads=dict(sorted(loads.items())),
        sources=_sources(flow.sources, over),
        buses=_buses(flow.buses, over),
        devices={d.equipment: (d.amps, d.at_least) for d in flow.devices},
        missing=tuple(sorted(missing)),
        not_solved=flow.not_solved,
        assumed=flow.assumed,
    )


def _sources(flows: Iterable[SourceFlow], over: frozenset[str]) -> dict[str, SourceFigure]:
    """Of each source all conductors together: watts added, amperes of that which gives most."""
    by_id: dict[str, list[SourceFlow]] = {}
    for each in flows:
        by_id.setdefault(each.equipment, []).append(each)
    made: dict[str, SourceFigure] = {}
    for item, some in by_id.items():
        first = max(some, key=lambda s: abs(s.watts))
        same = [s for s in some if s.terminal == first.terminal]
        shares = [s.share for s in same if s.share is not None]
        made[item] = SourceFigure(
            first.amps,
            first.volts,
            sum(s.watts for s in same),
            sum(shares) if shares else None,
            any(s.at_least for s in same),
            item in over,
        )
    return made


def _buses(flows: Iterable[BusFlow], over: frozenset[str]) -> dict[str, BusFigure]:
    made: dict[str, BusFigure] = {}
    for each in flows:
        if not each.sections_a:
            continue
        most = max(each.sections_a, key=abs)
        before = made.get(each.equipment)
        # of conductors that carry alike that whose order of studs is recorded
        if before is None or (round(abs(most), 6), each.order_known) > (
            round(abs(before.most_a), 6),
            before.order_known,
        ):
            made[each.equipment] = BusFigure(
                abs(most),
                each.sections_a,
                tuple(run for _stud, run in each.studs),
                each.order_known,
                each.at_least,
                each.equipment in over,
            )
    return made


def fault_figures(faults: Faults) -> FaultFigures:
    """Of every device and bus the largest fault current there can be and the smallest."""
    least: dict[str, tuple[float, str]] = {}
    names: set[str] = set()
    for far in faults.far_ends:
        names.update(far.missing)
        if far.min_a is not None and (far.device not in least or far.min_a < least[far.device][0]):
            least[far.device] = far.min_a, far.run
    every = (*faults.devices, *faults.buses)
    for each in every:
        names.update(each.missing)
    return FaultFigures(
        devices={i: _figure(some, least.get(i)) for i, some in _grouped(faults.devices).items()},
        buses={i: _figure(some, None) for i, some in _grouped(faults.buses).items()},
        missing=tuple(sorted(names)),
        assumed=tuple(dict.fromkeys((*faults.assumed, *(text for each in every for text in each.assumed)))),
    )


def _grouped(
    some: Iterable[DeviceFault] | Iterable[BusFault],
) -> dict[str, list[DeviceFault | BusFault]]:
    made: dict[str, list[DeviceFault | BusFault]] = {}
    for each in some:
        made.setdefault(each.equipment, []).append(each)
    return made


def _figure(some: list[DeviceFault | BusFault], far: tuple[float, str] | None) -> FaultFigure:
    """A figure that is not known for one conductor is not known: it might be the worst."""
    if any(each.max_a is None for each in some):
        most, at_most = None, False
    else:
        worst = max(some, key=lambda each: each.max_a or 0.0)
        most, at_most = worst.max_a, worst.undecided
    mins = [each.min_a for each in some]
    smallest = None if any(m is None for m in mins) else min(m for m in mins if m is not None)
    run = ""
    if far is not None and (smallest is None or far[0] <= smallest):
        smallest, run = far
    return FaultFigure(most, smallest, at_most, run)
