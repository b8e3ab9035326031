"""A solar array brings more volts or amperes than its controller takes.

What it checks
--------------
Every array with every controller it can reach: its open-circuit volts on the coldest day (recorded, or from the plate,
the module's coefficient and the coldest temperature of the vessel record) against the highest volts of the input, and
against the DC volts of what stands on the way; its short-circuit current, with the book's margin, against the largest
current of the input.

Why it matters
--------------
A module gives more volts the colder it is: an array that is just within the limit in summer destroys its controller on
the first clear morning of frost.

What to do
----------
Fewer modules in series, or a controller with a higher input.

Limits read
-----------
`current` (margin on the short-circuit current), `basis_c` (temperature of the plate).

References
----------
The maker's plate. Common practice, no source: the open-circuit volts at the coldest temperature decide.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.equipment.base import LIVE
from engine.equipment.behaviour import Array
from engine.findings import Figure, Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import named
from engine.study import Study
from engine.units import number, show
from engine.words import N_, _

SLUG = "solar-over-input"
WORD: Word = "danger"
TITLE = N_("solar array above its controller's input")
LOOKS_AT = N_("solar arrays, their controllers and what stands between")
SOLVES = False


class _Cold(NamedTuple):
    volts: float | None
    how: str = ""
    missing: tuple[str, ...] = ()


def check(study: Study) -> Iterator[Remark]:
    """One remark an array and what it meets."""
    beside: dict[str, list[tuple[str, float | None]]] = {}  # controller -> arrays that reach it, and their current
    for item, other, here in _pairs(study):
        beside.setdefault(other, []).append((item, here.short_a))
    for item in study.circuit.joined:
        array = study.snapshot.equipment[item].array()
        if array is None or (node := study.circuit.node(item, array.terminal, "+")) is None:
            continue
        cold = _cold(study, item, array)
        found = study.ways.reach([node], lambda step: study.ways.conductor(step.to) in LIVE)
        met = dict.fromkeys(study.circuit.nodes[n].equipment for n in found)
        for other in met:
            yield from _input(study, item, other, array, cold, beside.get(other, []))
        if array.open_cold_v is None:  # where it is recorded, `rated-below-voltage` judges them
            yield from _devices(study, item, tuple(met), cold)


def _pairs(study: Study) -> Iterator[tuple[str, str, Array]]:
    """Arrays and the controllers they reach."""
    for item in study.circuit.joined:
        array = study.snapshot.equipment[item].array()
        if array is None or (node := study.circuit.node(item, array.terminal, "+")) is None:
            continue
        found = study.ways.reach([node], lambda step: study.ways.conductor(step.to) in LIVE)
        for other in dict.fromkeys(study.circuit.nodes[n].equipment for n in found):
            if study.snapshot.equipment[other].array_input() is not None:
                yield item, other, array


def _cold(study: Study, item: str, array: Array) -> _Cold:
    if array.open_cold_v is not None:
        return _Cold(array.open_cold_v, _("{volts} recorded").format(volts=show(array.open_cold_v, "V", digits=4)))
    coldest, basis = study.snapshot.vessel.coldest_c, study.book.limit(SLUG, "basis_c")
    name = study.name(item)
    missing = [
        field
        for field, value in (
            (f"{name}.module_open_v", array.open_v),
            (f"{name}.open_v_percent_per_c", array.percent_per_c),
            ("vessel.coldest_c", coldest),
        )
        if value is None
    ]
    if array.open_v is None or array.percent_per_c is None or coldest is None or basis is None:
        return _Cold(None, "", tuple(missing))
    volts = array.open_v * (1 + array.percent_per_c / 100 * (coldest - basis.value))
    how = f"{number(array.open_v, 4)} V × (1 {number(array.percent_per_c, 3)} % × ({number(coldest)} - {basis.text}))"
    return _Cold(volts, f"{how} = {number(volts, 4)} V")


def _input(
    study: Study, item: str, other: str, array: Array, cold: _Cold, beside: list[tuple[str, float | None]]
) -> Iterator[Remark]:
    told = study.snapshot.equipment[other].array_input()
    if told is None:
        return
    name, margin = study.name(other), study.book.limit(SLUG, "current")
    unknown = tuple(f"{study.name(one)}.module_short_a" for one, amps in beside if amps is None)
    together = sum(amps for _one, amps in beside if amps is not None)
    short = None if unknown else together * (margin.value if margin is not None else 1.0)
    for found, limit, unit, fields, detail, how in (
        (cold.volts, told.highest_v, "V", cold.missing, "highest_input_v", cold.how),
        (short, told.largest_a, "A", unknown, "largest_input_a", _times([a for _one, a in beside], margin)),
    ):
        if unit == "A" and beside and item != beside[0][0]:
            continue  # the currents of all arrays there are told of once
        missing = (*(fields if found is None else ()), *((f"{name}.{detail}",) if limit is None else ()))
        if found is None or limit is None:
            if detail == "largest_input_a" and limit is None:
                continue  # many makers set none: a tracking controller takes what it can
            yield left_open(
                study,
                SLUG,
                WORD,
                item,
                other,
                missing=missing,
                why=_("what the array brings on the coldest day, or what its input takes, is not recorded"),
                detail=detail,
            )
        elif found > limit * (1 + 1e-9):
            yield _finding(study, item, other, found, limit, unit, how, detail)
        elif study.proving:
            yield proved(
                study,
                SLUG,
                item,
                other,
                found=("open_v" if unit == "V" else "short_a", found),
                limit=(detail, limit),
                unit=unit,
                arithmetic=how,
                detail=detail,
            )


def _times(amps: list[float | None], margin: Any) -> str:
    if None in amps or margin is None:
        return ""
    words = " + ".join(f"{number(each or 0.0, 4)} A" for each in amps)
    return f"({words}) × {margin.text}" if len(amps) > 1 else f"{words} × {margin.text}"


def _devices(study: Study, item: str, met: tuple[str, ...], cold: _Cold) -> Iterator[Remark]:
    """Protective devices and switches on the way, by the volts worked out."""
    for other in met:
        record = study.snapshot.equipment[other]
        rated = record.rated_dc_v
        if record.ROLE not in ("protection", "switch") or rated is None or cold.volts is None:
            continue
        if cold.volts > rated * (1 + 1e-9):
            yield _finding(study, item, other, cold.volts, rated, "V", cold.how, "rated_dc_v")


def _finding(
    study: Study, item: str, other: str, found: float, limit: float, unit: str, how: str, detail: str
) -> Finding:
    brought, takes = show(found, unit, digits=4), show(limit, unit, digits=4)
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item), study.name(other)),
        ids=(item, other),
        message=(
            _("{array} brings {brought}; {other} takes {takes}.")
            if unit == "V"
            else _("What {array} and others beside it give, with the margin, is {brought}; {other} takes {takes}.")
        ).format(array=named(study, item), brought=brought, other=named(study, other), takes=takes),
        figures=(Figure("brought", found, unit), Figure("limit", limit, unit)),
        arithmetic=f"{how} > {takes}" if how else f"{brought} > {takes}",
        fixes=(
            _("put fewer modules in series") if unit == "V" else _("put fewer strings on it"),
            _("fit one that takes {brought} or more in place of {other}").format(
                brought=brought, other=study.name(other)
            ),
        ),
        detail=detail,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """One that takes what the array brings, of the next usual figure."""
    from engine.fixing.pieces import ratings_up
    from engine.fixing.ratings import USUAL_INPUT_V, another_figure

    other, (brought, limit) = finding.ids[1], finding.figures[:2]
    if brought.value is None:
        return
    record = study.snapshot.equipment[other]
    of_unit = (f for f in record.__struct_fields__ if f.endswith(f"_{brought.unit.lower()}"))
    field = next((f for f in of_unit if getattr(record, f) == limit.value), "")
    usual = USUAL_INPUT_V if brought.unit == "V" else ratings_up(study, brought.value)
    if field:
        values = [value for value in usual if value >= brought.value]
        yield from another_figure(study, finding, other, field, brought.unit, values)


# -- examples -------------------------------------------------------------------------------------------------------
def _array(series: int, coldest: float | None = -10, strings: int = 1, rated: float = 125) -> Installation:
    b = boat(coldest_c=coldest)
    b.add(
        "solar_array",
        "G3",
        module_open_v=22.0,
        module_short_a=6.0,
        series=series,
        strings=strings,
        open_v_percent_per_c=-0.3,
        module_power_v=18.0,
    )
    b.add("circuit_breaker", "F3", rating_a=20, rated_dc_v=rated, poles=("+",))
    b.add(
        "solar_controller",
        "T3",
        method="tracking",
        dc_v=12,
        charge_a=30,
        self_limiting=True,
        highest_input_v=75,
        largest_input_a=15,
        charge_v=14.4,
    )
    b.add("battery_bank", "G1", unit_v=12, charge_v=14.6)
    b.add("fuse", "F1", rating_a=40)
    cable(b, "W1", "G3.pos", "F3.in", "10 AWG", 100)
    cable(b, "W2", "F3.out", "T3.pv", "10 AWG", 20)
    cable(b, "W3", "T3.dc", "F1.out", "8 AWG", 40)
    cable(b, "W4", "G1.pos", "F1.in", "8 AWG", 6)
    return b.installation


GOOD = (
    Example("three modules in series at -10 °C", lambda: _array(3)),
    Example("two strings whose current the input just takes", lambda: _array(3, strings=2)),
)
BAD = (
    Example("three strings whose current is too much", lambda: _array(3, strings=3), (("G3", "T3"),)),
    Example("four modules in series", lambda: _array(4), (("G3", "T3"),)),
    Example("three modules, colder", lambda: _array(3, -25), (("G3", "T3"),)),
    Example("a breaker rated below the coldest volts", lambda: _array(3, rated=60), (("G3", "F3"),)),
)
