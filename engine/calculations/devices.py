"""Protective devices: rating against what they carry and guard, breaking capacity against the largest fault."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator

from engine.calculations.faults import of_parts
from engine.calculations.inputs import NOTHING_A, as_drawn, put, titled
from engine.calculations.judged import Judged
from engine.calculations.results import Calculation, Check, Formula, Input, figure
from engine.circuit.faults.results import DeviceFault
from engine.naming import natural
from engine.sizing.basis import basis
from engine.sizing.needs import may_carry
from engine.study import Study
from engine.units import number
from engine.words import _

__all__ = ["devices"]

LOAD = "rating-below-load"
BREAKING = "cannot-break-fault"
OVER_PROTECTED = "equipment-over-protected"
STALLED = "stalled-motor-held"
OF_EQUIPMENT = (OVER_PROTECTED, "bus-overloaded", "rated-below-voltage")
RULES = (
    LOAD,
    BREAKING,
    "not-selective",
    "rated-below-voltage",
    "source-device-too-large",
    STALLED,
    "slow-to-clear",
    OVER_PROTECTED,
)
SHOWN = 6  # runs named among what a device guards


def devices(study: Study, judged: Judged) -> tuple[Calculation, ...]:
    """Every protective device that is drawn, also one to be removed; then equipment that one may be too large for."""
    wanted = {
        item: record
        for item, record in study.snapshot.equipment.items()
        if any(c.protection is not None for c in record.contacts())
    }
    guarded: dict[str, dict[str, None]] = {}
    for end in study.faults.far_ends:
        guarded.setdefault(end.device, {})[end.run] = None
    faults: dict[str, DeviceFault] = {}
    for fault in study.faults.devices:
        before = faults.get(fault.equipment)
        if before is None or (fault.max_a or 0.0) > (before.max_a or 0.0):
            faults[fault.equipment] = fault
    order = sorted(wanted, key=lambda item: (natural(study.name(item)), item))
    made = [_one(study, judged, item, guarded.get(item, {}), faults.get(item)) for item in order]
    return (*made, *_equipment(study, judged, wanted.keys()))


def _equipment(study: Study, judged: Judged, told: Collection[str]) -> Iterator[Calculation]:
    """What is no protective device and has a rating that devices, currents or volts are compared with."""
    order = sorted(study.snapshot.equipment, key=lambda item: (natural(study.name(item)), item))
    for item in order:
        if item in told:
            continue
        checks = judged.checks(item, OF_EQUIPMENT, own=True)
        if checks:
            record = study.snapshot.equipment[item]
            title = titled(record, record.label or _(record.NAME))
            yield Calculation("devices", item, study.name(item), title, (), tuple(checks))


def _one(study: Study, judged: Judged, item: str, runs: dict[str, None], fault: DeviceFault | None) -> Calculation:
    record = study.snapshot.equipment[item]
    formulas: dict[str, tuple[Formula, ...]] = {}
    continuous = _continuous(study, judged, item)
    if continuous is not None:
        formulas[LOAD] = (continuous,)
    if fault is not None and any(judged.remarks(item, BREAKING)) and _is_solved(judged, item, fault):
        formulas[BREAKING] = of_parts(fault)
    checks = judged.checks(item, RULES, {rule: made for rule, made in formulas.items() if made}, own=True)
    # of the equipment it is too large for: told here as well
    checks += [check for check in judged.checks(item, (OVER_PROTECTED,)) if check not in checks]
    held = judged.checks(item, (STALLED,))  # found of the motor that it holds
    checks += [check for check in held if check.verdict in ("fails", "waived") and check not in checks]
    checks = _loaded(study, item, checks)
    if not any(check.rule == BREAKING for check in checks):
        checks.append(_no_fault(study, fault))
    return Calculation(
        "devices", item, study.name(item), titled(record, record.label or _(record.NAME)),
        _inputs(study, item, runs, fault), tuple(checks),
    )  # fmt: skip


def _loaded(study: Study, item: str, checks: list[Check]) -> list[Check]:
    """What flows with every load on beside what flows for hours; alone, where no condition has hours for it."""
    mine = [n for n, check in enumerate(checks) if check.rule == LOAD]
    if not mine:
        return checks
    n = mine[0]
    check = checks[n]
    if check.found is None:
        return checks
    most, where = 0.0, ""
    for flow in study.flows:
        for device in flow.devices:
            if device.equipment == item and device.amps > most:
                most, where = device.amps, flow.name
    if check.found > NOTHING_A:
        if most > check.found * (1 + 1e-6) + NOTHING_A:
            text = _("With everything on at once that has hours: {amps} A in {condition}.")
            note = text.format(amps=figure(most), condition=where)
            checks[n] = check._replace(notes=(*check.notes, note))
        return checks
    amps, is_least, missing = 0.0, False, tuple[str, ...]()
    for device in study.flow("").devices:
        if device.equipment == item:
            amps, is_least, missing = device.amps, device.at_least, device.missing
    checks[n] = as_drawn(check, amps, is_least, missing)
    return checks


def _no_fault(study: Study, fault: DeviceFault | None) -> Check:
    """A device that no fault draws on, as far as anything is known."""
    why = _("No source feeds a fault beside it.") if fault is None else _("No fault current passes through it.")
    missing = () if fault is None else fault.missing
    return Check(_("Breaking capacity"), BREAKING, notes=(why,), verdict="not judged" if missing else "not compared",
                 missing=missing)  # fmt: skip


def _inputs(study: Study, item: str, runs: dict[str, None], fault: DeviceFault | None) -> tuple[Input, ...]:
    record = study.snapshot.equipment[item]
    protections = [c.protection for c in record.contacts() if c.protection is not None]
    ratings = dict.fromkeys(p.rating_a for p in protections)
    made = []
    if hasattr(record, "rating_a"):
        made.append(put(record, "rating_a", "In", "", "A"))
    else:
        known = [rating for rating in ratings if rating is not None]
        text = ", ".join(f"{number(rating, 5)} A" for rating in known)
        made.append(Input("In", "", text, "recorded" if known else "not known"))
    breaking = ", ".join(f"{number(b.amps, 5)} A / {number(b.volts, 5)} V {b.kind}" for b in record.breaking)
    made.append(put(record, "breaking", "", _("breaks"), text=breaking))
    if fault is not None and fault.volts is not None:
        made.append(Input("U", _("to be broken"), f"{number(fault.volts, 4)} V", "worked out"))
    names = sorted(runs, key=lambda run: natural(study.name(run)))
    if names:
        told = [_guarded(study, run) for run in names[:SHOWN]]
        if len(names) > SHOWN:
            told.append(_("{n} more").format(n=len(names) - SHOWN))
        made.append(Input("", _("guards"), ", ".join(told), "worked out"))
    return tuple(made)


def _guarded(study: Study, run: str) -> str:
    """*W4 (136 A)*: a run and its ampacity."""
    record = study.snapshot.runs[run]
    if not record.size:
        return _("{run} (ampacity not known)").format(run=study.name(run))
    carried = basis(study).run_amps.get(run)
    may = may_carry(study, run, record.size, None if carried is None else carried.volts)
    return f"{study.name(run)} ({number(may.low_a, 4)} A)"


def _continuous(study: Study, judged: Judged, item: str) -> Formula | None:
    """The part of its rating that it carries for hours, where that is what the rule compared."""
    record = study.snapshot.equipment[item]
    rating = getattr(record, "rating_a", None)
    trip, share = record.trip(), study.book.limit(LOAD, "share")
    part = trip.continuous_percent / 100 if trip is not None and trip.continuous_percent is not None else None
    if part is None and share is not None:
        part = share.value
    if not rating or part is None or part == 1.0:
        return None
    for check in judged.checks(item, (LOAD,), own=True):
        if check.limit is not None and math.isclose(check.limit, part * rating, rel_tol=1e-6):
            return Formula.of("Ic", "s · In", {"s": part, "In": rating}, check.limit, "A")
    return None


def _is_solved(judged: Judged, item: str, fault: DeviceFault) -> bool:
    """Whether the rule compared the solved current, not a table's figure."""
    found = [check.found for check in judged.checks(item, (BREAKING,), own=True)]
    return any(f is not None and fault.max_a and math.isclose(f, fault.max_a, rel_tol=1e-6) for f in found)
