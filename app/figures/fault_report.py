"""Fault currents as text: at every device, at every bus, at the far ends."""

from __future__ import annotations

import math

from app.figures.lines import amount, assumptions, gaps, section, signs, table, titled, wrapped
from app.text_report import cautions
from engine.circuit.faults.results import BusFault, DeviceFault, FarEnd, Faults
from engine.study import Study
from engine.words import _

__all__ = ["fault_report"]


def fault_report(file: str, study: Study, faults: Faults, width: int, condition: str = "") -> str:
    """The whole report. `condition`: name of the one whose switch positions hold, "" for every permitted state."""
    if condition:
        state = _(
            "Largest with the switches as in {condition}, all sources giving, banks full, conductors cold"
        ).format(condition=condition)
    else:
        state = _("Largest in any permitted switch state, all sources giving, banks full, conductors cold")
    told = _(
        "Prospective fault currents. {state}; smallest from the weakest source by itself whatever the switches, "
        "conductors hot."
    )
    parts = [titled(file, study.snapshot, told.format(state=state), width)]
    if faults.devices:
        parts += [section(_("At protective devices")), _devices(study, faults, width)]
    if faults.buses:
        parts += [section(_("At buses")), _buses(study, faults, width)]
    if faults.far_ends:
        parts += [section(_("Smallest, at the far end of what a device protects")), _far_ends(study, faults, width)]
    if not (faults.devices or faults.buses):
        parts.append(_("No protective device and no bus is drawn that a source could feed."))
    made: list[DeviceFault | BusFault] = []
    made += [one for one in faults.devices if one.parts and one.max_a is not None]
    made += [one for one in faults.buses if one.parts and one.max_a is not None]
    if made:
        parts += [section(_("What the largest are made of")), _parts(made, width)]
    missing = [m for one in faults.devices for m in (*one.missing, *one.bounded, *one.min_missing)]
    missing += [m for one in faults.buses for m in (*one.missing, *one.bounded, *one.min_missing)]
    parts += gaps((*missing, *(m for end in faults.far_ends for m in end.missing)), width)
    parts += assumptions(faults.assumed, width)
    parts += [signs(width), cautions(width)]
    return "\n\n".join(part for part in parts if part)


def _state(study: Study, one: DeviceFault | BusFault) -> str:
    words = [f"{study.name(item)} {_(position)}" for item, position in one.positions]
    if one.undecided:
        words = [_("no more than this: too many switch states to tell")]
    if one.bounded:
        words.append(_("no more than this: {fields} not recorded").format(fields=", ".join(one.bounded)))
    return ", ".join(words)


def _breaks(study: Study, one: DeviceFault) -> str:
    """What it can break at the volts it would have to, else at the highest it is rated for."""
    record = study.snapshot.equipment[one.equipment]
    mine = [b for b in record.breaking if b.kind.lower() == one.system]
    enough = [b.amps for b in mine if one.volts is None or b.volts >= one.volts * (1 - 1e-9)]
    if enough:
        return amount(max(enough), "A")
    return _("too few volts") if mine else "–"


def _prospective(one: DeviceFault) -> float | None:
    """The larger of its two sides, whatever the way the current takes."""
    return max((amps for amps in (one.here_a, one.there_a) if amps is not None), default=None)


def _devices(study: Study, faults: Faults, width: int) -> str:
    rows = [
        (
            one.designation,
            f"{one.terminal} {one.conductor}",
            amount(one.max_a, "A"),
            "–" if one.max_a is None else amount(_prospective(one), "A"),
            amount(one.min_a, "A"),
            _breaks(study, one),
            _state(study, one),
        )
        for one in faults.devices
    ]
    heads = (
        _("device"),
        _("fault at"),
        _("through it"),
        _("prospective"),
        _("smallest"),
        _("it breaks"),
        _("with"),
    )
    return table(heads, rows, width, "llrrrrw")


def _buses(study: Study, faults: Faults, width: int) -> str:
    rows = [
        (
            one.designation,
            one.conductor,
            amount(one.max_a, "A"),
            amount(one.min_a, "A"),
            one.arithmetic,
            _state(study, one),
        )
        for one in faults.buses
    ]
    return table((_("bus"), "", _("largest"), _("smallest"), _("arithmetic"), _("with")), rows, width, "llrrww")


def _far_ends(study: Study, faults: Faults, width: int) -> str:
    rows = [
        (
            study.name(end.device),
            study.name(end.run),
            study.name(end.at),
            end.conductor,
            amount(end.min_a, "A"),
            _opens(study, end),
            ", ".join(end.missing),
        )
        for end in faults.far_ends
    ]
    heads = (_("device"), _("run"), _("to"), "", _("smallest"), _("it opens"), _("not recorded"))
    return table(heads, rows, width, "llllrww")


def _opens(study: Study, end: FarEnd) -> str:
    """How long the device takes to open at that current, at the slow edge of its band."""
    from engine.circuit.faults.curves import clearing

    record = study.snapshot.equipment.get(end.device)
    if end.min_a is None or record is None:
        return ""
    told = clearing(record, end.min_a)
    if told.slowest_s is None:
        return _("not known: {fields}").format(fields=", ".join(told.missing)) if told.missing else ""
    if math.isinf(told.slowest_s):
        return _("never")
    return _("within {time}").format(time=amount(told.slowest_s, "s"))


def _parts(made: list[DeviceFault | BusFault], width: int) -> str:
    every = {
        (part.designation, part.how + (_(" (a method for its kind: nothing recorded)") if part.assumed else ""))
        for one in made
        for part in one.parts
    }
    rows = [(name, wrapped(how, 10_000)) for name, how in sorted(every)]
    return table((_("source"), _("by")), rows, width, "lw")
