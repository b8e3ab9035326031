"""Fault currents as text: at every device, at every bus, at the far ends."""

from __future__ import annotations

from app.figures.lines import amount, section, table, wrapped
from app.text_report import cautions
from engine.circuit.faults.results import BusFault, DeviceFault, Faults
from engine.study import Study
from engine.words import _

__all__ = ["fault_report"]


def fault_report(file: str, study: Study, faults: Faults, width: int) -> str:
    """The whole report."""
    vessel = study.snapshot.vessel.name
    parts = [f"{file} ({vessel})" if vessel else file]
    if faults.devices:
        parts += [section(_("At protective devices")), _devices(study, faults, width)]
    if faults.buses:
        parts += [section(_("At buses")), _buses(faults, width)]
    if faults.far_ends:
        parts += [section(_("Smallest, at the far end of what a device protects")), _far_ends(study, faults, width)]
    if not (faults.devices or faults.buses):
        parts.append(_("There is no protective device and no bus."))
    made = [one for one in (*faults.devices, *faults.buses) if one.parts]
    if made:
        parts += [section(_("What the largest are made of")), _parts(study, made, width)]
    gaps = sorted({m for of in (faults.devices, faults.buses, faults.far_ends) for one in of for m in one.missing})
    if gaps:
        parts.append(wrapped(_("Not recorded: {fields}.").format(fields=", ".join(gaps)), width))
    if faults.assumed:
        parts.append(wrapped(_("Assumptions taken: {list}.").format(list="; ".join(faults.assumed)), width))
    parts.append(cautions(width))
    return "\n\n".join(parts)


def _state(study: Study, one: DeviceFault | BusFault) -> str:
    if one.undecided:
        return _("no more than this: too many switch states to tell")
    return ", ".join(f"{study.name(item)} {_(position)}" for item, position in one.positions)


def _devices(study: Study, faults: Faults, width: int) -> str:
    rows = []
    for one in faults.devices:
        record = study.snapshot.equipment[one.equipment]
        breaks = [b.amps for b in record.breaking if b.kind.lower() == one.system]
        rows.append(
            (
                one.designation,
                one.conductor,
                amount(one.max_a, "A"),
                amount(one.here_a, "A"),
                amount(one.there_a, "A"),
                amount(one.min_a, "A"),
                amount(max(breaks), "A") if breaks else "–",
                _state(study, one),
            )
        )
    heads = (
        _("device"),
        "",
        _("through it"),
        _("before it"),
        _("behind it"),
        _("smallest"),
        _("breaks"),
        _("with"),
    )
    return table(heads, rows, width, "llrrrrrl")


def _buses(faults: Faults, width: int) -> str:
    rows = [
        (one.designation, one.conductor, amount(one.max_a, "A"), amount(one.min_a, "A"), one.arithmetic)
        for one in faults.buses
    ]
    return table((_("bus"), "", _("largest"), _("smallest"), _("arithmetic")), rows, width, "llrrl")


def _far_ends(study: Study, faults: Faults, width: int) -> str:
    rows = [
        (
            study.name(end.device),
            study.name(end.run),
            study.name(end.at),
            end.conductor,
            amount(end.min_a, "A"),
            ", ".join(end.missing),
        )
        for end in faults.far_ends
    ]
    heads = (_("device"), _("run"), _("to"), "", _("smallest"), _("not recorded"))
    return table(heads, rows, width, "llllrl")


def _parts(study: Study, made: list[DeviceFault | BusFault], width: int) -> str:
    seen: dict[tuple[str, str], str] = {}
    for one in made:
        for part in one.parts:
            how = part.how + (_(" (assumed)") if part.assumed else "")
            seen.setdefault((part.designation, how), "")
    return table((_("source"), _("by")), [(name, how) for name, how in sorted(seen)], width)
