"""The fields themselves: told in words, with a unit and a range, and never renamed once released."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from engine.equipment import kinds
from engine.equipment.base import Equipment
from engine.installation import TABLES
from engine.record import FieldSpec, field_specs
from engine.units import UNITS

GOLDEN = Path(__file__).with_name("fields_v1.txt")
COMMON = {spec.name for spec in field_specs(Equipment)}

# how a field's name ends for its unit; a count, a share or a factor has none
ENDINGS = {
    "A": ("_a", "amps"),
    "mA": ("_ma",),
    "V": ("_v", "volts"),
    "mV": ("_mv",),
    "W": ("_w",),
    "VA": ("_va",),
    "Wh": ("wh_a_day",),
    "Ah": ("_ah",),
    "ohm": ("_ohm",),
    "Hz": ("_hz",),
    "degC": ("_c",),
    "h": ("_h", "hours_a_day"),
    "s": ("_s",),
    "ms": ("_ms",),
    "kg": ("_kg",),
    "mm2": ("_mm2",),
    "m3/h": ("_m3_h",),
    "rpm": ("rpm",),
    "A2s": ("_a2s",),
    "%": ("_percent", "_percent_per_c"),
    "": (
        "efficiency",
        "power_factor",
        "multiple",
        "_pu",
        "_share",
        "_slope",
        "_floor",
        "peukert",
        "price",
    ),
}


def structs() -> dict[str, Any]:
    """Every record a kind stores: the common facts, the kinds, and the small records in their fields."""
    found: dict[str, Any] = {"*": Equipment, **kinds()}
    for cls in list(found.values()):
        for spec in field_specs(cls):
            if spec.item is not None:
                found[spec.item.__name__] = spec.item
    return found


def own(name: str, cls: Any) -> tuple[FieldSpec, ...]:
    specs = field_specs(cls)
    return specs if name == "*" or not issubclass(cls, Equipment) else tuple(s for s in specs if s.name not in COMMON)


@pytest.mark.parametrize(("name", "cls"), structs().items())
def test_a_field_is_told(name: str, cls: Any) -> None:
    for spec in own(name, cls):
        assert spec.fact.help, f"{name}.{spec.name} has no help"
        assert not spec.fact.help.endswith("."), "help is a phrase"
        assert spec.shape != "other", f"{name}.{spec.name}: no list, page or file understands {spec.type}"
        assert not spec.fact.refers or spec.fact.refers in TABLES


@pytest.mark.parametrize(("name", "cls"), structs().items())
def test_a_number_has_a_unit_in_its_name_and_a_range(name: str, cls: Any) -> None:
    for spec in own(name, cls):
        if spec.shape == "number":
            assert spec.fact.unit in UNITS
            assert spec.name.endswith(ENDINGS[spec.fact.unit]), f"{name}.{spec.name} is in {spec.fact.unit!r}"
        if spec.shape in ("number", "whole"):
            low, high = spec.fact.low, spec.fact.high
            assert low is not None, f"{name}.{spec.name} takes any number"
            assert high is None or low < high
            if spec.default.__class__ in (int, float):
                assert low <= spec.default
                assert high is None or spec.default <= high


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_what_is_not_recorded_is_unknown(kind: str) -> None:
    """Nobody's rating is guessed: numbers and yes/no begin as unknown, counts as one, words as nothing."""
    known = {
        "poles",  # the ordinary one-pole device
        "conductor",
        "phases",  # one line
        "primary_phases",
        "secondary_phases",
        "in_phases",
        "out_phases",
        "input_phases",
        "leg1_phase",
        "leg2_phase",
        "output",
        "has_off",
        "status",
        "used_as_switch",
    }
    for spec in field_specs(kinds()[kind]):
        if spec.name not in known:
            wanted = {"number": (None,), "yesno": (None,), "whole": (None, 1), "word": ("",), "choice": ("",)}
            assert spec.default in wanted.get(spec.shape, ((),)), f"{kind}.{spec.name} begins as {spec.default!r}"


def test_no_field_of_file_version_1_is_renamed_or_retyped() -> None:
    """What a released version wrote must mean the same for ever.

    A new field is a new line of `fields_v1.txt`; a line that is there may not change, but for choices added at its end.
    """
    lines = []
    for name, cls in sorted(structs().items()):
        for spec in own(name, cls):
            optional = "?" if spec.optional else ""
            item = f"[{spec.item.__name__}]" if spec.item is not None else ""
            choices = f" {'|'.join(spec.choices)}" if spec.choices else ""
            unit = f" {spec.fact.unit}" if spec.fact.unit else ""
            lines.append(f"{name}.{spec.file_name} {spec.shape}{item}{optional}{unit}{choices}")
    recorded = GOLDEN.read_text(encoding="utf-8").splitlines()
    gone = [line for line in recorded if not any(now == line or now.startswith(f"{line}|") for now in lines)]
    assert gone == [], "these fields are in files that people keep"
    added = [line for line in lines if not any(line == old or line.startswith(f"{old}|") for old in recorded)]
    assert added == [], f"new fields: add these lines to {GOLDEN.name}"
