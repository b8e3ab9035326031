"""What comparing a measured value tells, in plain values. What is not known is `None`; `missing` names the fields."""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

import msgspec

from engine.installation.surveying import Reading
from engine.record import field_specs
from engine.units import show
from engine.words import N_, _

__all__ = [
    "FIELDS",
    "NAMES",
    "UNIT_OF",
    "Expected",
    "Quantity",
    "ReadingResult",
    "Unknown",
    "Verdict",
    "limits_words",
    "measured",
]

Quantity: TypeAlias = Literal["voltage", "current", "insulation", "trip", "torque", "temperature"]
Verdict: TypeAlias = Literal["within", "off", "not known"]
FIELDS: dict[Quantity, str] = {
    "voltage": "volts",
    "current": "current_a",
    "insulation": "insulation_ohm",
    "trip": "trip_s",
    "torque": "torque_nm",
    "temperature": "temperature_c",
}
NAMES: dict[Quantity, str] = {
    "voltage": N_("voltage"),
    "current": N_("current"),
    "insulation": N_("insulation resistance"),
    "trip": N_("trip time"),
    "torque": N_("torque"),
    "temperature": N_("temperature"),
}
UNIT_OF: dict[Quantity, str] = {
    quantity: next(spec.fact.unit for spec in field_specs(Reading) if spec.name == field)
    for quantity, field in FIELDS.items()
}


class Expected(NamedTuple):
    """What a reading should be. `low` and `high` are what is accepted, `value` what was computed or recorded."""

    value: float | None = None
    low: float | None = None
    high: float | None = None
    arithmetic: str = ""
    detail: str = ""  # what kind of limit it is, where there are several
    reckoned: float | None = None  # what is held to the limits in place of the measured value: at full load


class Unknown(NamedTuple):
    """Why there is nothing to compare with: a phrase, and the fields that would tell ("W12.size")."""

    why: str
    missing: tuple[str, ...] = ()
    detail: str = ""  # "no limit": the book says nothing of it


class ReadingResult(msgspec.Struct, frozen=True, kw_only=True):
    """One measured value against what was computed, recorded or asked for by the book. Storage units."""

    reading: str  # id
    quantity: Quantity
    at: str  # id of equipment or run; words where it is gone
    where: str  # in words: "E5 in, + and -"
    measured: float
    unit: str
    expected: float | None = None
    low: float | None = None  # accepted from
    high: float | None = None  # accepted up to
    deviation: float | None = None  # measured less expected, else less the limit that is passed; in `unit`
    verdict: Verdict = "not known"
    missing: tuple[str, ...] = ()
    why: str = ""  # why it is not known
    words: str = ""  # one sentence
    condition: str = ""  # name
    arithmetic: str = ""
    detail: str = ""
    reckoned: float | None = None  # at full load, in `unit`: held to the limits in place of the measured value
    newest: bool = True  # of the same value at the same place; an older one is kept and judged no more


def measured(reading: Reading) -> tuple[tuple[Quantity, float], ...]:
    """What was measured. A current beside a temperature tells under which load that was, and is no reading itself."""
    found = tuple((q, value) for q, field in FIELDS.items() if (value := getattr(reading, field)) is not None)
    if reading.temperature_c is not None:
        return tuple((q, value) for q, value in found if q != "current")
    return found


def limits_words(low: float | None, high: float | None, unit: str) -> str:
    """*11.9 V to 13.2 V*, *at least 1 MΩ*, *at most 0.3 s*; "" where there is none."""
    if low is not None and high is not None:
        return _("{low} to {high}").format(low=show(low, unit), high=show(high, unit))
    if low is not None:
        return _("at least {least}").format(least=show(low, unit))
    return _("at most {most}").format(most=show(high, unit)) if high is not None else ""
