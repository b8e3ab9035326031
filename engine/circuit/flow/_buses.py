"""What flows through devices, and in the sections of buses between neighbouring studs."""

from __future__ import annotations

from engine.circuit.flow._volts import Volts
from engine.circuit.flow.results import BusFlow, DeviceFlow

__all__ = ["buses", "devices"]


def devices(view: Volts) -> tuple[DeviceFlow, ...]:
    """Every device with a current path of its own, and junctions."""
    built = view.built
    nodes, links = built.circuit.nodes, built.circuit.links
    paths: dict[str, list[tuple[str, str, str, float]]] = {}
    sums: dict[str, dict[tuple[str, str], complex]] = {}
    rising: dict[str, dict[str, None]] = {}  # in the order they are met
    for inner in built.frame.inner:
        if not inner.is_pole:
            continue
        here = sums.setdefault(inner.equipment, {})
        system, branch = built.link.get(inner.number, ("", -1))
        amps: complex
        if system:
            amps, key = view.traces[system].branch_a[branch], branch
        elif inner.number in built.diode:
            system, diode = built.diode[inner.number]
            amps, key = view.traces[system].diode_a[diode], len(built.nets[system].z) + diode
        else:
            continue
        link = links[inner.number]
        a, b = nodes[link.a], nodes[link.b]
        size = abs(amps) if system == "ac" else amps.real + 0.0  # no -0.0
        paths.setdefault(inner.equipment, []).append((a.terminal, b.terminal, link.conductor, size))
        for at, sign in ((a, 1), (b, -1)):
            end = at.terminal, at.conductor
            here[end] = here.get(end, 0.0) + sign * amps
        more = view.rising.get((system, key))
        if more is not None:
            rising.setdefault(inner.equipment, {}).update(dict.fromkeys(more))
    made = [
        DeviceFlow(
            equipment=item,
            designation=built.name(item),
            amps=max((abs(value) for value in here.values()), default=0.0),
            at_least=item in rising,
            missing=tuple(rising.get(item, ())),
            paths=tuple(sorted(paths.get(item, ()))),
        )
        for item, here in sums.items()
    ]
    made += _junctions(view)
    return tuple(sorted(made, key=lambda flow: (flow.designation, flow.equipment)))


def _arriving(view: Volts, node: int) -> list[tuple[str, str, int | None, complex, tuple[str, ...] | None]]:
    """(designation, run, stud, current into the node, missing) of the runs at a node."""
    built, made = view.built, []
    for number in built.frame.wires_at.get(node, ()):
        if number not in built.wire:
            continue
        wire = built.circuit.wires[number]
        system, branch = built.wire[number]
        amps = view.traces[system].branch_a[branch]
        run = built.snapshot.runs[wire.run]
        end = run.from_end if wire.a == node else run.to_end
        into = -amps if wire.a == node else amps
        made.append((built.name(wire.run), wire.run, end.stud_number, into, view.rising.get((system, branch))))
    return sorted(made, key=lambda entry: entry[:2])


def _junctions(view: Volts) -> list[DeviceFlow]:
    """What comes together at a splice or a terminal, one conductor."""
    built, made = view.built, []
    for item in built.frame.junctions:
        most, is_rising = 0.0, False
        rising: list[str] = []
        for conductor, node in built.frame.nodes_of.get(item, ()):
            if conductor == "PE":
                continue
            here = _arriving(view, node)
            most = max(most, sum(abs(entry[3]) for entry in here) / 2)
            for entry in here:
                if entry[4] is not None:
                    is_rising = True
                    rising += entry[4]
        made.append(
            DeviceFlow(
                equipment=item,
                designation=built.name(item),
                amps=most,
                at_least=is_rising,
                missing=tuple(dict.fromkeys(rising)),
            )
        )
    return made


def buses(view: Volts) -> tuple[BusFlow, ...]:
    """Section currents of every bus, one entry a conductor."""
    built, made = view.built, []
    for item in built.frame.buses:
        for conductor, node in built.frame.nodes_of.get(item, ()):
            if conductor == "PE":
                continue
            here = _arriving(view, node)
            is_known = bool(here) and all(entry[2] is not None for entry in here)
            if is_known:
                here.sort(key=lambda entry: (entry[2] or 0, *entry[:2]))
            else:
                # the worst order: everything that feeds it at one end, everything that takes at the other
                here.sort(key=lambda entry: (-entry[3].real, *entry[:2]))
            sections, studs, flowing = [], [], 0j
            for at, entry in enumerate(here):
                flowing += entry[3]
                studs.append(("" if entry[2] is None else str(entry[2]), entry[1]))
                if at < len(here) - 1:
                    same = is_known and entry[2] == here[at + 1][2]
                    sections.append(0.0 if same else abs(flowing))
            gaps = [entry[4] for entry in here if entry[4] is not None]
            unnumbered = [f"{entry[0]}.stud_number" for entry in here if entry[2] is None]
            made.append(
                BusFlow(
                    equipment=item,
                    designation=built.name(item),
                    conductor=conductor,
                    studs=tuple(studs),
                    sections_a=tuple(sections),
                    order_known=is_known,
                    at_least=bool(gaps),
                    missing=tuple(dict.fromkeys((*unnumbered, *(gap for found in gaps for gap in found)))),
                )
            )
    return tuple(sorted(made, key=lambda flow: (flow.designation, flow.equipment, flow.conductor)))
