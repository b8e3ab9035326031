"""What flows in an operating condition: solved networks told in the drawing's terms.

`sources_w` counts what batteries, machines and supplies give at their electromotive force; a battery being charged is
a load. Losses are those of conductors, contacts, diodes and inside sources, and what converters lose and take for
themselves.
"""

from __future__ import annotations

from engine.books import Book
from engine.circuit.expand import Circuit
from engine.circuit.flow._buses import buses, devices
from engine.circuit.flow._runs import runs_of
from engine.circuit.flow._settle import Settled, settle
from engine.circuit.flow._trace import Trace
from engine.circuit.flow._uses import loads_of
from engine.circuit.flow._volts import Volts, nodes_of
from engine.circuit.flow.netlist import netlist
from engine.circuit.flow.operating import Operation
from engine.circuit.flow.results import Charge, Flow, SourceFlow
from engine.installation.model import Snapshot

__all__ = ["flow", "given", "told"]


def flow(snapshot: Snapshot, circuit: Circuit, operation: Operation, book: Book, charge: Charge = "nominal") -> Flow:
    """What flows in a condition. Never raises for a drawing that could be opened."""
    return told(settle(netlist(snapshot, circuit, operation, book, charge, regulated=True)))


def told(done: Settled) -> Flow:
    """A solution in the drawing's terms."""
    built = done.built
    view = Volts(done)
    sources_w, loads_w, losses_w = _balance(done, view)
    loads, unfed = loads_of(view)
    return Flow(
        condition=built.operation.condition,
        name=built.operation.name,
        charge=built.charge,
        converged=done.converged,
        sources_w=sources_w,
        loads_w=loads_w,
        losses_w=losses_w,
        nodes=nodes_of(view),
        runs=runs_of(view),
        devices=devices(view),
        loads=loads,
        sources=_sources(done, view),
        buses=buses(view),
        not_solved=tuple(dict.fromkeys((*built.not_solved, *unfed))),
        contradictions=tuple(dict.fromkeys(built.contradictions)),
        lacking=tuple(sorted(built.lacking.items())),
        assumed=tuple(dict.fromkeys((*built.operation.taken, *built.assumed))),
    )


def given(snapshot: Snapshot, circuit: Circuit, operation: Operation, book: Book) -> tuple[SourceFlow, ...]:
    """What sources give in a condition: `flow(...).sources`, where nothing else of it is asked."""
    done = settle(netlist(snapshot, circuit, operation, book, "nominal", regulated=True))
    return _sources(done, Volts(done))


def _balance(done: Settled, view: Volts) -> tuple[float, float, float]:
    """Watts that sources give, that loads and charging batteries take, that are lost."""
    built = done.built
    sources_w = loads_w = losses_w = 0.0
    for system, trace in view.traces.items():
        net = built.nets[system]
        for a, b, amps in zip(net.a, net.b, trace.branch_a, strict=True):
            losses_w += ((trace.volts[a] - trace.volts[b]) * amps.conjugate()).real
        for a, b, amps in zip(net.diode_a, net.diode_b, trace.diode_a, strict=True):
            losses_w += ((trace.volts[a] - trace.volts[b]) * amps.conjugate()).real
        for source in trace.sources:
            amps = trace.source_a[source.number]
            losses_w += abs(amps) ** 2 * complex(net.source_z[source.number]).real
            watts = trace.watts(source)
            if source.by_conversion:
                losses_w -= watts
            elif watts >= 0:
                sources_w += watts
            else:
                loads_w -= watts
        for load in built.loads:
            if load.system == system:
                watts = (trace.load_v[load.number] * trace.load_a[load.number].conjugate()).real
                if load.is_use or not (load.is_input or built.snapshot.equipment[load.equipment].conversions()):
                    loads_w += watts
                else:
                    losses_w += watts
    return sources_w, loads_w, losses_w


def _sources(done: Settled, view: Volts) -> tuple[SourceFlow, ...]:
    built = done.built
    made: list[SourceFlow] = []
    for trace in view.traces.values():
        whole: dict[int, float] = {}
        for source in trace.sources:
            system = _system(trace, source.number)
            whole[system] = whole.get(system, 0.0) + max(0.0, trace.watts(source))
        for source in trace.sources:
            amps, watts = trace.source_a[source.number], trace.watts(source)
            total = whole[_system(trace, source.number)]
            missing = view.rising_at(trace, source.number)
            made.append(
                SourceFlow(
                    equipment=source.equipment,
                    designation=built.name(source.equipment),
                    terminal=source.terminal,
                    conductor=source.conductor,
                    volts=abs(trace.across(source)),
                    amps=abs(amps) if watts >= 0 else -abs(amps),
                    watts=watts,
                    is_limited=trace.is_limited[source.number],
                    share=max(0.0, watts) / total if total > 0 else None,
                    by_conversion=source.by_conversion,
                    at_least=missing is not None,
                    missing=missing or (),
                )
            )
    return tuple(sorted(made, key=lambda given: (given.designation, given.equipment, given.terminal, given.conductor)))


def _system(trace: Trace, number: int) -> int:
    """Sources share what they are joined to: by positives, or by neutrals."""
    net = trace.net
    if trace.system == "ac":
        return trace.island[net.source_pos[number]]
    return trace.group[net.source_pos[number]]
