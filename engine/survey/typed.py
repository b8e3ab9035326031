"""A reading as somebody types it aboard: "12.3 V", "2 MΩ at 500 V", "40 ms at 30 mA", "58 °C, 20 A, 25 °C".

The first quantity is what was measured; what it was measured with or under stands behind it. Units decide what is what.
"""

from __future__ import annotations

import re

import msgspec

from engine.installation.surveying import Reading
from engine.record import field_specs, out_of_range
from engine.unit_table import tidy
from engine.units import UnitError, read, spelled, unit_named
from engine.words import N_, _

__all__ = ["TypedReading", "examples", "read_reading"]

_EXAMPLES = "12.3 V; 8.4 A; 2 MΩ at 500 V; 40 ms at 30 mA; 12 Nm; 58 °C, 20 A, 25 °C"
_AT = N_("at")  # between what was measured and what it was measured with
_NUMBER = re.compile(r"[-+]?[0-9.,' ]*[0-9](?:[eE][-+]?[0-9]+)?")
# unit -> field of what is measured, and what that quantity may stand behind, as which field
_MAIN = {
    "V": "volts",
    "A": "current_a",
    "ohm": "insulation_ohm",
    "s": "trip_s",
    "Nm": "torque_nm",
    "degC": "temperature_c",
}
_BEHIND = {
    ("insulation_ohm", "V"): "test_v",
    ("trip_s", "A"): "test_a",
    ("temperature_c", "A"): "current_a",
    ("temperature_c", "degC"): "ambient_c",
    ("volts", "A"): "current_a",
    ("current_a", "V"): "volts",
}


class TypedReading(msgspec.Struct, frozen=True):
    """What was typed, as fields of a `Reading`; `note` where the instrument could only say *more than*."""

    values: tuple[tuple[str, float], ...]
    note: str = ""

    def onto(self, reading: Reading) -> Reading:
        """A reading with these values."""
        note = " ".join(part for part in (reading.note, self.note) if part)
        return msgspec.structs.replace(reading, **dict(self.values), note=note)


def examples() -> str:
    """What may be typed, with the decimal sign of the language in use."""
    return spelled(_EXAMPLES)


def read_reading(text: str) -> TypedReading:
    """Read what was typed. Raises `UnitError` with one sentence, and nothing else."""
    words = "|".join(sorted({re.escape(_(_AT)), re.escape(_AT)}))
    parts = [part.strip() for part in re.split(rf"\s(?:{words})\s|[;@]|,\s", tidy(text)) if part.strip()]
    if not parts:
        raise UnitError(_("expected a value with its unit, such as {examples}").format(examples=examples()))
    values: dict[str, float] = {}
    note = ""
    main = ""
    for part in parts:
        more = part.startswith(">")
        bare = part[1:].strip() if more else part
        unit = _unit_of(bare)
        field = _BEHIND.get((main, unit), "") if main else _MAIN[unit]
        if not field or field in values:
            raise UnitError(_("{text} says nothing beside what was measured").format(text=repr(part)))
        if more and field != "insulation_ohm":
            raise UnitError(_("only an insulation resistance may be more than the instrument shows"))
        values[field] = read(bare, unit)
        note = _("more than the instrument shows") if more else note
        main = main or field
        spec = next(spec for spec in field_specs(Reading) if spec.name == field)
        fault = out_of_range(spec, values[field])
        if fault:
            raise UnitError(_("{text}: {why}").format(text=part, why=fault))
    return TypedReading(tuple(values.items()), note)


def _unit_of(part: str) -> str:
    found = _NUMBER.match(part)
    name = part[found.end() :].strip() if found else ""
    for unit in _MAIN:
        if name and unit_named(name, unit):
            return unit
    raise UnitError(
        _("expected a value with its unit, such as {examples}; found {text}").format(
            examples=examples(), text=repr(part[:40])
        )
    )
