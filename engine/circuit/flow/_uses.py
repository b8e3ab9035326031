"""What arrives at each consumer and at each converter's input."""

from __future__ import annotations

from engine.circuit.flow._trace import Trace
from engine.circuit.flow._volts import Volts
from engine.circuit.flow.netlist import NetLoad
from engine.circuit.flow.results import LoadFlow
from engine.words import _

__all__ = ["loads_of"]


def loads_of(view: Volts) -> tuple[tuple[LoadFlow, ...], list[tuple[str, str]]]:
    """Every load by equipment and terminal; those with hours that nothing feeds, each with a sentence."""
    built = view.built
    grouped: dict[tuple[str, str, str], list[NetLoad]] = {}
    for load in built.loads:
        if load.system in view.traces:
            grouped.setdefault((load.equipment, load.terminal, load.system), []).append(load)
    made: list[LoadFlow] = []
    unfed: list[tuple[str, str]] = []
    for (item, terminal, system), parts in grouped.items():
        trace = view.traces[system]
        fed = [part for part in parts if _is_fed(trace, part)]
        made.append(_load(view, trace, item, terminal, parts, fed))
        if not fed and item in built.operation.hours and item in built.operation.on:
            unfed.append((item, _("nothing feeds {name} in this condition").format(name=built.name(item))))
    return tuple(sorted(made, key=lambda load: (load.designation, load.equipment, load.terminal))), unfed


def _is_fed(trace: Trace, part: NetLoad) -> bool:
    """Whether both its conductors come from one source."""
    pos, neg = trace.net.load_pos[part.number], trace.net.load_neg[part.number]
    return trace.is_fed(pos) and trace.island[pos] == trace.island[neg]


def _load(view: Volts, trace: Trace, item: str, terminal: str, parts: list[NetLoad], fed: list[NetLoad]) -> LoadFlow:
    built, net = view.built, trace.net
    gaps = list(dict.fromkeys(gap for part in parts for gap in part.missing))
    rising: list[str] = []
    is_input = any(part.is_input for part in parts)
    dead = False
    for number, conversion in enumerate(built.conversions):
        if is_input and (conversion.equipment, conversion.terminal) == (item, terminal):
            dead = number in view.done.dead
            rising += view.rising_input.get(number, ())
            if number in view.done.collapsed:
                dead = True
    if dead:
        gaps, rising = [], []
    is_known = all(part.is_known or (part.is_input and not dead) for part in parts) or dead
    designation = built.name(item)
    if not fed:
        return LoadFlow(
            equipment=item,
            designation=designation,
            terminal=terminal,
            volts=None,
            amps=0.0,
            watts=0.0,
            nominal_v=parts[0].nominal_v,
            collapsed=True,
        )
    at_points: dict[int, complex] = {}
    watts = 0.0
    for part in fed:
        amps = trace.load_a[part.number]
        pos, neg = net.load_pos[part.number], net.load_neg[part.number]
        at_points[pos] = at_points.get(pos, 0.0) + amps
        at_points[neg] = at_points.get(neg, 0.0) - amps
        watts += (trace.load_v[part.number] * amps.conjugate()).real
    lines = {net.load_pos[part.number] for part in fed}
    worst = min(fed, key=lambda part: abs(trace.load_v[part.number]))
    volts = abs(trace.load_v[worst.number])
    pos, neg = net.load_pos[worst.number], net.load_neg[worst.number]
    is_line = worst.system == "ac" and built.circuit.node(item, terminal, "N") is None
    source, given = view.source_volts(trace, pos, neg, is_line)
    missing = view.gaps(trace, pos, neg, is_line)
    nominal = worst.nominal_v if worst.nominal_v else view.nominal(trace.system, pos)
    drop = None if given is None or missing else given - volts
    collapsed = any(trace.is_collapsed[part.number] for part in fed if part.is_known or part.is_input)
    unsure = bool(gaps or rising or not is_known)
    return LoadFlow(
        equipment=item,
        designation=designation,
        terminal=terminal,
        volts=None if missing else volts,
        amps=max(abs(at_points[point]) for point in lines) if is_known else None,
        watts=watts if is_known else None,
        drop_v=drop,
        drop_pct=None if drop is None or not nominal else 100 * drop / nominal,
        nominal_v=nominal,
        source="" if source is None else source.equipment,
        collapsed=collapsed or any(_fell(view, part) for part in fed if part.is_input),
        at_least=unsure,
        missing=tuple(dict.fromkeys((*gaps, *rising, *missing))),
    )


def _fell(view: Volts, part: NetLoad) -> bool:
    """Whether a converter's input gave way under what was wanted of it."""
    return any(
        (view.built.conversions[number].equipment, view.built.conversions[number].terminal)
        == (part.equipment, part.terminal)
        for number in view.done.collapsed
    )
