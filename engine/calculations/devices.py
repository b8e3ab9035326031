"""Protective devices: rating against what they carry and guard, breaking capacity against the largest fault."""

from __future__ import annotations

import math

from engine.calculations.faults import of_parts
from engine.calculations.inputs import put
from engine.calculations.judged import Judged
from engine.calculations.results import Calculation, Check, Formula, Input
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
RULES = (
    LOAD,
    BREAKING,
    "not-selective",
    "rated-below-voltage",
    "source-device-too-large",
    "stalled-motor-held",
    "slow-to-clear",
)
LEFT_OUT = ("to remove", "spare")
SHOWN = 6  # runs named among what a device guards


def devices(study: Study, judged: Judged) -> tuple[Calculation, ...]:
    """Every protective device, by designation."""
    wanted = {
        item: record
        for item, record in study.snapshot.equipment.items()
        if record.status not in LEFT_OUT and any(c.protection is not None for c in record.contacts())
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
    return tuple(_one(study, judged, item, guarded.get(item, {}), faults.get(item)) for item in order)


def _one(study: Study, judged: Judged, item: str, runs: dict[str, None], fault: DeviceFault | None) -> Calculation:
    record = study.snapshot.equipment[item]
    formulas: dict[str, tuple[Formula, ...]] = {}
    continuous = _continuous(study, judged, item)
    if continuous is not None:
        formulas[LOAD] = (continuous,)
    if fault is not None and any(judged.remarks(item, BREAKING)) and _is_solved(judged, item, fault):
        formulas[BREAKING] = of_parts(fault)
    checks = judged.checks(item, RULES, {rule: made for rule, made in formulas.items() if made}, own=True)
    if not any(check.rule == BREAKING for check in checks):
        checks.append(_no_fault(study, fault))
    return Calculation(
        "devices", item, study.name(item), record.label or _(record.NAME), _inputs(study, item, runs, fault),
        tuple(checks),
    )  # fmt: skip


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
