"""Prospective fault currents at every bus and protective device: largest, smallest, what gives them, by which method.

The largest: every source at its most, conductors at 20 degC, all contacts of the worst permitted state; the whole
network solved at once, each source's part told. The smallest: ``Ik = U / Z`` of the weakest source by itself, U at its
lowest, Z the whole loop with conductors at the temperature class of their insulation (`engine.circuit.faults`).
"""

from __future__ import annotations

import math

from engine.calculations.results import Calculation, Check, Formula, Input, figure
from engine.circuit.faults.results import BusFault, DeviceFault
from engine.naming import natural
from engine.study import Study
from engine.words import _

__all__ = ["faults", "methods", "of_parts"]


def faults(study: Study) -> tuple[Calculation, ...]:
    """Buses first, then devices, by designation; of a device with several ways each."""
    found = study.faults
    every: list[BusFault | DeviceFault] = [*sorted(found.buses, key=_order), *sorted(found.devices, key=_order)]
    return tuple(_one(study, one) for one in every)


def _order(one: BusFault | DeviceFault) -> tuple[tuple[tuple[int, str], ...], str]:
    return natural(one.designation), one.terminal


def methods(study: Study) -> tuple[Input, ...]:
    """What each source gives at its own terminals, and by which method; each once, by designation."""
    made: dict[str, Input] = {}
    for one in (*study.faults.buses, *study.faults.devices):
        for part in one.parts:
            if part.how:
                name = part.designation or part.equipment
                made[name] = Input("", name, part.how, "assumed" if part.assumed else "recorded")
    return tuple(made[name] for name in sorted(made, key=natural))


def _one(study: Study, one: BusFault | DeviceFault) -> Calculation:
    record = study.snapshot.equipment[one.equipment]
    where = _("{system}, {conductor}, fault at {terminal}").format(
        system=one.system.upper(), conductor=one.conductor, terminal=one.terminal
    )
    title = ", ".join(part for part in (record.label, where) if part)
    return Calculation(
        "short-circuit", one.equipment, one.designation, title, (), (_largest(study, one), _smallest(study, one))
    )


def _largest(study: Study, one: BusFault | DeviceFault) -> Check:
    what = _("Largest")
    if one.max_a is None:
        return Check(what, notes=(_("Not known."),), verdict="not judged", missing=one.missing)
    notes = [f"{study.name(item)} {_(position)}" for item, position in one.positions]
    if notes:
        notes = [_("With {positions}.").format(positions=", ".join(notes))]
    if one.undecided:
        notes.append(_("No more than this: too many switch states to tell."))
    if one.bounded:
        notes.append(_("No more than this: {fields} not recorded.").format(fields=", ".join(one.bounded)))
    if isinstance(one, DeviceFault):
        notes.append(_("Through the device."))
    made = of_parts(one)
    if not made:
        notes.insert(0, one.arithmetic or _("No source gives anything."))
    return Check(what, formulas=made, notes=tuple(notes), found=one.max_a, unit="A")


def of_parts(one: BusFault | DeviceFault) -> tuple[Formula, ...]:
    """What the sources give together, where their parts are in phase; nothing where they are not."""
    parts = [part for part in one.parts if part.amps > 0 and math.isfinite(part.amps)]
    if not parts or one.max_a is None:
        return ()
    total = sum(part.amps for part in parts)
    if not math.isclose(total, one.max_a, rel_tol=1e-4):
        return ()
    terms = " + ".join(f"I({part.designation or part.equipment})" for part in parts)
    numbers = " + ".join(figure(part.amps) for part in parts)
    return (Formula("Ik", terms, numbers, one.max_a, "A"),)


def _smallest(study: Study, one: BusFault | DeviceFault) -> Check:
    what = _("Smallest")
    if one.min_a is None:
        if one.min_missing:
            return Check(what, notes=(_("Not known."),), verdict="not judged", missing=one.min_missing)
        return Check(what, notes=(_("No source by itself feeds it with the conductors as drawn."),))
    by = study.name(one.loop_from) if one.loop_from else "?"
    if one.loop_limit_a is not None:
        notes = (_("{source} alone, which limits itself.").format(source=by),)
        return Check(what, notes=notes, found=one.min_a, unit="A")
    notes = (_("{source} alone, conductors hot, there and back.").format(source=by),)
    if not one.loop_ohm or one.loop_v is None or not math.isfinite(one.min_a):
        return Check(what, notes=(*notes, _("No resistance on the way is known.")), found=one.min_a, unit="A")
    made = Formula.of("Ik", "U / Z", {"U": one.loop_v, "Z": one.loop_ohm}, one.min_a, "A")
    return Check(what, formulas=(made,), notes=notes, found=one.min_a, unit="A")
