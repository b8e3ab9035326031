"""Cables: what each carries and may carry, what protects it, what it loses; and what is lost up to every load.

Formulas, symbols in the units of their inputs:

* ampacity ``Iz = It * kb * kp * p``: table, bundle, hottest place, conductors in parallel (`engine.books.ampacity`);
* volts lost in a run ``U = I * r * (1 + a * (T - 20)) * L * n / p``, r at 20 degC, n conductors on the way there and
  back; in US units ``U = K * I * n * L / (CM * p)`` with K of the same copper at the same temperature;
* 46 CFR 183.340(p), 2015 edition: ``CM = K * I * L / E``, K = 10.75 ohm cmil/ft, L there and back.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.books.ampacity import Ampacity
from engine.books.resistances import at_reference
from engine.calculations.inputs import NOTHING_A, as_drawn, length, put, sized, titled
from engine.calculations.judged import Judged
from engine.calculations.results import Calculation, Check, Formula, Input, figure
from engine.circuit.conductors import RATING
from engine.circuit.flow.drop_class import DROP
from engine.circuit.flow.frame import frame
from engine.circuit.flow.results import Flow, RunFlow
from engine.findings import Finding, Passed
from engine.installation.records import Run
from engine.naming import natural
from engine.rules.bounds import wires_of
from engine.sizing.basis import Situation, basis
from engine.sizing.conductors import CARRYING
from engine.sizing.lost import Losses
from engine.sizing.needs import may_carry
from engine.study import Study
from engine.units import UnitError, area_mm2, number, show_size
from engine.words import _

__all__ = ["CMIL_MM2", "FOOT_M", "K_46CFR", "cables", "drops"]

FOOT_M = 0.3048
CMIL_MM2 = math.pi / 4 * 0.0254**2  # area of a circle of a thousandth of an inch
_STATUTE = "46 CFR 183.340(p)"
K_46CFR = 10.75  # ohm cmil/ft of 46 CFR 183.340(p), 2015 edition
RULES = (
    "overloaded",
    "rating-above-ampacity",
    "no-protection",
    "far-from-source",
    "far-end-unprotected",
    "too-small",
    "slow-to-clear",
    "parallel-unequal",
    "bypass-unprotected",
    DROP,
)
EARTH = "earth-conductor-too-small"


class _Carried(NamedTuple):
    """The most a run carries, and in which condition."""

    flow: Flow
    run: RunFlow


def cables(study: Study, judged: Judged) -> tuple[Calculation, ...]:
    """Every run that is drawn to carry current, also one to be removed, and earths that a rule speaks of."""
    snapshot = study.snapshot
    most: dict[str, _Carried] = {}
    for flow in study.flows:
        for run in flow.runs:
            before = most.get(run.run)
            if run.amps is not None and (before is None or run.amps > (before.run.amps or 0.0)):
                most[run.run] = _Carried(flow, run)
    if snapshot.conditions:
        # what no condition has hours for is looked at as drawn
        all_on = study.flow("")
        for run in all_on.runs:
            before = most.get(run.run)
            if run.amps is not None and run.amps > NOTHING_A and (before is None or _is_idle(before)):
                most[run.run] = _Carried(all_on, run)
    wanted = [r for r, run in snapshot.runs.items() if run.function in CARRYING or judged.remarks(r, EARTH)]
    wanted.sort(key=lambda item: (natural(study.name(item)), item))
    return tuple(_cable(study, judged, item, most.get(item)) for item in wanted)


def _is_idle(carried: _Carried) -> bool:
    """Whether nothing flows, of what is known in full."""
    return (carried.run.amps or 0.0) <= NOTHING_A and not carried.run.at_least


def _cable(study: Study, judged: Judged, item: str, carried: _Carried | None) -> Calculation:
    run = study.snapshot.runs[item]
    ends = f"{study.name(run.from_end.equipment)} – {study.name(run.to_end.equipment)}"
    volts = carried.run.nominal_v if carried is not None else None
    title = titled(run, ends, run.label)
    if run.function not in CARRYING:
        return Calculation("cables", item, study.name(item), title, _conductor(study, item),
                           tuple(judged.checks(item, (EARTH,))))  # fmt: skip
    may = may_carry(study, item, run.size, volts) if run.size else None
    formulas: dict[str, tuple[Formula, ...]] = {}
    if may is not None and may.low_of is not None:
        made = _ampacity(may)
        formulas["overloaded"] = (made,)
        device = _device(study, item, judged, may)
        if device is not None:
            formulas["rating-above-ampacity"] = (device,)
    checks = judged.checks(item, (*RULES, EARTH), formulas)
    if may is not None and may.low_of is not None:
        is_least = carried is not None and carried.run.at_least
        checks = [_as_drawn(study, check, carried, may) for check in checks]
        checks = [_with_row(check, run, may, is_least) for check in checks]
    lost = _lost(study, item, carried)
    if lost is not None:
        checks.append(lost)
    inputs = (*_conductor(study, item), *_current(study, carried))
    return Calculation("cables", item, study.name(item), title, inputs, tuple(checks))


def _as_drawn(study: Study, check: Check, carried: _Carried | None, may: Ampacity) -> Check:
    """The ampacity of a run through which nothing flows in any condition, against what flows with every load on."""
    if check.rule != "overloaded" or check.found is not None or check.ids or carried is None:
        return check
    if carried.flow.condition or not study.snapshot.conditions or carried.run.amps is None:
        return check
    return as_drawn(check._replace(limit=may.low_a), carried.run.amps, carried.run.at_least, carried.run.missing)


def _conductor(study: Study, item: str) -> tuple[Input, ...]:
    """What is recorded of the run itself."""
    run = study.snapshot.runs[item]
    is_us = study.snapshot.settings.units == "US"
    made = [sized(run, "", _("conductor"))]
    if run.conductor:
        made.append(put(run, "conductor", "", "", text=_(run.conductor)))
    made.append(put(run, "insulation_c", "", _("insulation"), "degC"))
    if run.parallel > 1:
        made.append(Input("p", "", number(run.parallel), run.origin("parallel") or "recorded"))
    known = run.length_m is not None and math.isfinite(run.length_m)
    made.append(put(run, "length_m", "L", "", text=length(run.length_m or 0.0, is_us) if known else ""))
    made.append(put(run, "bundle", "", _("in the bundle")))
    try:
        degrees, is_known = frame(study.circuit, study.book, "working").degrees(run)
        made.append(Input("T", "", f"{figure(degrees)} °C", "recorded" if is_known else "assumed"))
    except (ValueError, OverflowError):
        pass
    return tuple(made)


def _current(study: Study, carried: _Carried | None) -> tuple[Input, ...]:
    """The most it carries."""
    if carried is not None and carried.run.amps is not None:
        text = f"{figure(carried.run.amps, 4)} A"
        if carried.run.at_least:
            text = _("{amps} or more").format(amps=text)
        name = _("in {condition}").format(condition=carried.flow.name)
        if not carried.flow.condition and study.snapshot.conditions:
            name = _("as drawn, every load on; no hours in any condition")
        elif carried.run.amps <= 0:
            name = _("in every condition")
        return (Input("I", name, text, "worked out"),)
    return (Input("I", "", "", "not known"),)


# -- ampacity -------------------------------------------------------------------------------------------------------
def _ampacity(may: Ampacity) -> Formula:
    """Table value times what derates it; a factor of 1 is left out, the bundle's never."""
    of = may.low_of
    assert of is not None  # asked only where a table was read
    values = {"It": of.table_a, "kb": of.bundle}
    terms = ["It", "kb"]
    if of.place != 1.0:
        values["kp"] = of.place
        terms.append("kp")
    if of.parallel > 1:
        values["p"] = of.parallel
        terms.append("p")
    return Formula.of("Iz", " · ".join(terms), values, may.low_a, "A")


def _with_row(check: Check, run: Run, may: Ampacity, is_least: bool) -> Check:
    """The row and column read, where they are not the conductor's own; what is not known of it."""
    of = may.low_of
    if check.rule != "overloaded" or of is None or not check.formulas:
        return check
    notes = list(check.notes)
    if of.row != run.size or (of.class_c != run.insulation_c and math.isfinite(of.class_c)):
        notes.append(
            _("It of {size}, {degrees} °C.").format(size=show_size(of.row), degrees=figure(of.class_c))
            if math.isfinite(of.class_c)
            else _("It of {size}.").format(size=show_size(of.row))
        )
    if is_least and check.verdict == "in order":
        notes.append(_("What devices let in at most: not all that draws is known."))
    if not may.known:
        notes.append(_("At least; for lack of {fields}.").format(fields=", ".join(may.missing)))
    return check._replace(notes=tuple(notes))


def _device(study: Study, item: str, judged: Judged, may: Ampacity) -> Formula | None:
    """What the book allows a device before it, of the limit that the rule compared."""
    for remark in judged.remarks(item, RATING):
        limit = None
        if isinstance(remark, Passed) and remark.limit is not None:
            limit = remark.limit.value
        elif isinstance(remark, Finding):
            limit = next((f.value for f in remark.figures if f.name == "allowed"), None)
        if limit is None:
            continue
        for number_of in wires_of(study, item).values():
            limits = study.coverage.conductors.limits(item, study.circuit.wires[number_of].a)
            if math.isclose(limit, limits.low * limits.multiple, rel_tol=1e-6) and limits.multiple != 1.0:
                return Formula.of("Imax", "m · Iz", {"m": limits.multiple, "Iz": limits.low}, limit, "A")
    return None


# -- what is lost in a run ------------------------------------------------------------------------------------------
def _lost(study: Study, item: str, carried: _Carried | None) -> Check | None:
    """Volts lost in the run by itself, there and back, at the most it carries."""
    run = study.snapshot.runs[item]
    what = _("Lost in it")
    if carried is None or not carried.run.amps:
        return None
    z = frame(study.circuit, study.book, "working")
    gaps = z.run_missing.get(item, ())
    if gaps:
        return Check(what, notes=(_("Needs what is not recorded."),), verdict="not judged", missing=gaps)
    ohm = z.run_ohm.get(item, 0.0)
    n = _conductors(study, item, carried)
    amps = carried.run.amps
    if run.size == "" or run.length_m is None:
        return None
    degrees, _known = z.degrees(run)
    formulas = _drop_formulas(study, run, amps, degrees, n, ohm)
    return Check(what, formulas=formulas, condition=carried.flow.name) if formulas else None


def _drop_formulas(study: Study, run: Run, amps: float, degrees: float, n: int, ohm: complex) -> tuple[Formula, ...]:
    try:
        r_20, per_kelvin = at_reference(run.size, run.conductor)
        area = area_mm2(run.size)
    except (UnitError, ZeroDivisionError, ValueError, OverflowError, KeyError):
        return ()
    assert run.length_m is not None  # asked only where it is recorded
    if 1 + per_kelvin * (degrees - 20) < 0.1:  # colder than the formula holds
        return ()
    reactance, p = abs(ohm.imag), max(1, run.parallel)
    is_us = study.snapshot.settings.units == "US" and run.size.endswith("AWG")
    made: list[Formula] = []
    if is_us:
        k_20 = r_20 * area / CMIL_MM2 * FOOT_M
        k = k_20 * (1 + per_kelvin * (degrees - 20))
        made.append(
            Formula.of("K", "k · (1 + a · (T - 20))", {"k": k_20, "a": per_kelvin, "T": degrees}, k, "Ω·cmil/ft")
        )
        values = {"K": k, "I": amps, "n": n, "L": run.length_m / FOOT_M, "CM": area / CMIL_MM2, "p": p}
        terms = "K · I · n · L / CM" if p == 1 else "K · I · n · L / (CM · p)"
        resistive = Formula.of("U", terms, values, amps * n * abs(ohm.real), "V")
    else:
        values = {"I": amps, "r": r_20, "a": per_kelvin, "T": degrees, "L": run.length_m, "n": n, "p": p}
        terms = "I · r · (1 + a · (T - 20)) · n · L" + ("" if p == 1 else " / p")
        resistive = Formula.of("U", terms, values, amps * n * abs(ohm.real), "V")
    if reactance <= 1e-3 * abs(ohm.real):
        return (*made, resistive)
    made.append(resistive._replace(symbol="Ur"))
    parts = {"Ur": resistive.value, "I": amps, "n": n, "X": reactance}
    made.append(Formula.of("U", "√(Ur² + (I · n · X)²)", parts, amps * n * abs(ohm), "V"))
    return tuple(made)


def _conductors(study: Study, item: str, carried: _Carried) -> int:
    """How many conductors of a run the current of a load behind it passes in turn."""
    run = study.snapshot.runs[item]
    found = [one.way[item] for one in basis(study).behind.get(item, ()) if item in one.way]
    if found:
        return max(found)
    return 2 if run.function == "dc pair" or (run.function == "ac" and len(run.phases.split()) < 3) else 1


# -- loads ----------------------------------------------------------------------------------------------------------
def drops(study: Study, judged: Judged) -> tuple[Calculation, ...]:
    """What is lost on the way to every load whose drop the book limits."""
    snapshot = study.snapshot
    losses: dict[str, Losses] = {}
    wanted = [
        item
        for item, record in snapshot.equipment.items()
        if record.use() is not None and (judged.remarks(item, DROP) or judged.remarks(item, "dips-on-start"))
    ]
    wanted.sort(key=lambda item: (natural(study.name(item)), item))
    return tuple(_load(study, judged, item, losses) for item in wanted)


def _load(study: Study, judged: Judged, item: str, losses: dict[str, Losses]) -> Calculation:
    record = study.snapshot.equipment[item]
    checks: list[Check] = []
    inputs: list[Input] = []
    for check in judged.checks(item, (DROP,), own=True):
        formulas, own, notes = _broken_down(study, item, check, losses)
        inputs += [one for one in own if one not in inputs]
        checks.append(check._replace(formulas=formulas, notes=(*(check.notes if not formulas else ()), *notes)))
    checks += judged.checks(item, ("dips-on-start",), own=True)
    title = titled(record, record.label or _(record.NAME))
    return Calculation("cables", item, study.name(item), title, tuple(inputs), tuple(checks))


def _broken_down(
    study: Study, item: str, check: Check, losses: dict[str, Losses]
) -> tuple[tuple[Formula, ...], tuple[Input, ...], tuple[str, ...]]:
    """The volts lost, run by run, in the condition that the rule speaks of."""
    flow = next((f for f in (*study.flows, study.flow("")) if f.name == check.condition), None)
    if flow is None or check.found is None:
        return (), (), ()
    load = next((one for one in flow.loads if one.equipment == item and one.drop_v is not None), None)
    if load is None or load.volts is None or load.drop_v is None:
        return (), (), ()
    if flow.condition not in losses:
        losses[flow.condition] = Losses(study, flow)
    of = losses[flow.condition]
    for nominal in dict.fromkeys((load.nominal_v, of.nominal_v(item))):
        if not nominal:
            continue
        lost = of.of(item, load.terminal, load.volts, load.drop_v, load.source, nominal, load.amps)
        if math.isclose(lost.percent, check.found, rel_tol=1e-6, abs_tol=1e-9):
            break
    else:
        return (), (), (_("At most, by what devices let through: what draws there is not known in full."),)
    along = [(study.name(run), volts) for run, volts in lost.runs if volts > 0]
    rest = lost.volts - sum(volts for _name, volts in along)
    inputs = [
        Input("Un", "", f"{figure(nominal)} V", "recorded"),
        Input(
            "",
            _("drop counted from the terminals of"),
            study.name(lost.source) if lost.source else "",
            "worked out" if lost.source else "not known",
        ),
    ]
    if load.amps is not None:
        inputs.append(Input("I", "", f"{figure(load.amps, 4)} A", "worked out"))
    made: list[Formula] = []
    notes: list[str] = []
    terms = " + ".join(f"U({name})" for name, _volts in along)
    if rest > 1e-9 * max(1.0, abs(nominal)):
        terms += (" + " if terms else "") + _("U(contacts)")
        along.append((_("contacts"), rest))
    if rest < -1e-6 * max(1.0, abs(nominal)):
        # of alternating volts the parts add up as vectors; and of a shared way not every ampere is this load's
        notes.append(_("The parts are not in phase: together they make less than their sum."))
    elif len(along) > 1:
        numbers = " + ".join(figure(volts) for _name, volts in along)
        made.append(Formula("U", terms, numbers, lost.volts, "V"))
    elif along:
        made.append(Formula("U", terms, terms, lost.volts, "V"))
    made.append(Formula.of("u", "100 · U / Un", {"U": lost.volts, "Un": nominal}, lost.percent, "%"))
    statute = _by_46_cfr(study, check, [run for run, volts in lost.runs], flow, nominal, item)
    return (*made, *statute), tuple(inputs), tuple(notes)


def _by_46_cfr(
    study: Study, check: Check, runs: list[str], flow: Flow, nominal_v: float, item: str
) -> tuple[Formula, ...]:
    """Volts lost, and the least area, by the formula of 46 CFR 183.340(p): direct current in American sizes."""
    other = study.book.limit(DROP, "other")
    if other is None or "183.340(p)" not in other.source or not runs or check.limit is None:
        return ()
    amps = {run.run: run.amps for run in flow.runs}
    way = _way(study, flow, item)
    made: list[tuple[float, float, float]] = []  # amperes, feet there and back, circular mils
    for run in sorted(runs, key=lambda each: natural(study.name(each))):
        record = study.snapshot.runs[run]
        carried = amps.get(run)
        if (
            record.function == "ac"
            or not record.size.endswith("AWG")
            or record.conductor not in ("", "copper", "tinned copper")
            or record.length_m is None
            or not carried
        ):
            return ()
        feet = record.length_m / FOOT_M * way.get(run, 1)
        made.append((carried, feet, area_mm2(record.size) / CMIL_MM2 * max(1, record.parallel)))
    lost = K_46CFR * sum(a * feet / area for a, feet, area in made)
    if len(made) == 1:
        a, feet, area = made[0]
        values = {"K": K_46CFR, "I": a, "L": feet, "CM": area}
        allowed = check.limit / 100 * nominal_v
        least = K_46CFR * a * feet / allowed if allowed > 0 else 0.0
        return (
            Formula.of("E", "K · I · L / CM", values, lost, "V")._replace(by=_STATUTE),
            Formula.of("CM", "K · I · L / E", {**values, "E": allowed}, least, "cmil"),
        )
    if len(made) > 3 and "183.340(p)" not in check.clause:
        return ()  # a long sum is for those who must hand it in
    numbers = " + ".join(f"{figure(a)} · {figure(feet)} / {figure(area)}" for a, feet, area in made)
    return (Formula("E", "K · Σ(I · L / CM)", f"{figure(K_46CFR)} · ({numbers})", lost, "V", _STATUTE),)


def _way(study: Study, flow: Flow, item: str) -> dict[str, int]:
    """The runs of a load's way, and how many conductors of each are passed in turn."""
    for load in flow.loads:
        if load.equipment == item and load.source:
            way = (
                basis(study)
                .ways(Situation(flow, study.operation(flow.condition)))
                .way(item, load.terminal, load.source)
            )
            return {} if way is None else way.runs
    return {}
