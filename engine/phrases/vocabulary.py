"""What can be said of records of one class: its choices, the names of its fields, the figures it takes."""

from __future__ import annotations

import functools
import re
from typing import Any, NamedTuple

from engine.equipment.base import Equipment
from engine.naming import label_of
from engine.phrases.kinds import words_of
from engine.record import FieldSpec, field_specs
from engine.units import UNITS
from engine.words import _

__all__ = ["Vocabulary", "bare_fields", "needs_name", "plain_fields", "vocabulary"]

# the field that a figure of a unit means when its name is not said: the first of these that the record has
_PLAIN: dict[str, tuple[str, ...]] = {
    "A": ("rating_a", "link_a", "continuous_a", "charge_a", "output_a", "running_a", "current_a", "balance_a",
          "breaker_a", "limit_a", "surge_a", "largest_alternator_a", "charge_limit_a"),
    "W": ("power_w", "module_w", "leg_power_w", "expected_w", "resistor_w"),
    "VA": ("power_va",),
    "Ah": ("unit_ah",),
    "mA": ("residual_ma", "supply_residual_ma"),
    "ms": ("residual_ms", "transfer_ms"),
    "h": ("rated_hours_h",),
    "Hz": ("frequency_hz",),
    "mV": ("drop_mv",),
    "mm2": ("section_mm2",),
    "kg": ("mass_kg",),
    "m": ("length_m",),
    "degC": ("insulation_c", "rated_at_c"),
}  # fmt: skip
_DC_VOLTS, _AC_VOLTS = ("dc_v", "unit_v"), ("ac_v",)
_RATED = {"DC": "rated_dc_v", "AC": "rated_ac_v", "": "rated_bare_v"}
# a nominal voltage by itself is of direct current up to here, of alternating from there on (common practice, no
# source); between the two both are offered
DC_UP_TO_V, AC_FROM_V = 60.0, 100.0
# words that choose something only after the name of their field: by themselves they could mean anything
_NEEDS_NAME = {"other", "none", "one", "in", "out", "0", "1", "2", "3", "free", "line", "ac", "dc", "stays", "opens",
               "closes", "several", "-", "+", "existing"}  # fmt: skip
_RATED_BY_BARE = ("protection", "switch", "bus", "junction")
_UNIT_ENDING = re.compile(r"_(?:a|v|w|va|ah|wh|h|s|ma|mv|ms|m|hz|ohm|c|kg|rpm|mm2|a2s|m3_h)$")


class Vocabulary(NamedTuple):
    """What words mean for a class of records."""

    cls: Any
    specs: dict[str, FieldSpec]  # the fields that can be typed, by name
    choices: dict[tuple[str, ...], tuple[tuple[str, str], ...]]  # words of a choice -> (field, value)
    names: dict[tuple[str, ...], tuple[str, ...]]  # words of a field's name -> fields
    units: tuple[str, ...]
    own: frozenset[str]  # fields of this kind alone, not those that all equipment has
    longest: int  # words of the longest name or choice
    choice_words: frozenset[str]  # every word of the choices of its own fields


def vocabulary(cls: Any) -> Vocabulary:
    """The vocabulary of a record class, in the language in use."""
    return _vocabulary(cls, _("Storage"))  # made anew when the language is another


@functools.cache
def _vocabulary(cls: Any, _language_marker: str) -> Vocabulary:
    specs = {s.name: s for s in field_specs(cls) if s.shape not in ("record", "other")}
    shared = {s.name for s in field_specs(Equipment)} if issubclass(cls, Equipment) else set()
    choices: dict[tuple[str, ...], dict[tuple[str, str], None]] = {}
    names: dict[tuple[str, ...], dict[str, None]] = {}
    for spec in specs.values():
        plain = _UNIT_ENDING.sub("", spec.name).replace("_", " ")
        kind_of = _("type") if spec.name.endswith("_type") else ""
        for text in (spec.name.replace("_", " "), plain, label_of(cls, spec), kind_of):
            if words_of(text):
                names.setdefault(words_of(text), {})[spec.name] = None
        if spec.shape == "choice":
            for value in spec.choices:
                for text in (value, _(value) if value else ""):
                    if words_of(text):
                        choices.setdefault(words_of(text), {})[spec.name, value] = None
    both = {words: tuple(found) for words, found in choices.items()}
    called = {words: tuple(found) for words, found in names.items()}
    return Vocabulary(
        cls,
        specs,
        both,
        called,
        tuple(dict.fromkeys(s.fact.unit for s in specs.values() if s.shape == "number" and s.fact.unit in UNITS)),
        frozenset(specs.keys() - shared),
        max((len(words) for words in (*both, *called)), default=1),
        frozenset(w for words, meant in both.items() if any(f not in shared for f, _v in meant) for w in words),
    )


def needs_name(field: str, value: str) -> bool:
    """Whether a choice is only understood after the name of its field."""
    return value.casefold() in _NEEDS_NAME or field.endswith("_type")


def plain_fields(words: Vocabulary, unit: str, value: float, said: str, taken: frozenset[str]) -> list[str]:
    """The fields a figure may mean, where its name is not said; several where nothing tells them apart.

    `said`: "AC" or "DC" where that was written with it. `taken`: fields that have a value already.
    """
    if unit == "V":
        return _volts(words, value, said, taken)
    for name in _PLAIN.get(unit, ()):
        if name in words.specs and words.specs[name].fact.unit == unit:
            if name not in taken:
                return [name]
            break
    every = (n for n, s in words.specs.items() if s.shape == "number" and s.fact.unit == unit and n not in taken)
    return [n for n in every if n in words.own]


def _volts(words: Vocabulary, value: float, said: str, taken: frozenset[str]) -> list[str]:
    has = words.specs.keys() - taken
    dc, ac = ([n for n in names if n in has] for names in (_DC_VOLTS, _AC_VOLTS))
    if dc or ac or any(n in words.specs for n in (*_DC_VOLTS, *_AC_VOLTS)):
        both = any(n in words.specs for n in _AC_VOLTS) and any(n in words.specs for n in _DC_VOLTS)
        may_dc = said != "AC" and (said == "DC" or not both or value < AC_FROM_V)
        may_ac = said != "DC" and (said == "AC" or not both or value > DC_UP_TO_V)
        found = [*(dc if may_dc else ()), *(ac if may_ac else ())]
        return found or _others(words, taken)
    rated = _RATED[said]
    own = _others(words, taken)
    return list(dict.fromkeys((*own, *([rated] if rated in has else []))))


def _others(words: Vocabulary, taken: frozenset[str]) -> list[str]:
    return [n for n, s in words.specs.items() if n in words.own and n not in taken and s.fact.unit == "V"]


def bare_fields(words: Vocabulary, value: float = 0.0) -> list[tuple[str, str]]:
    """The fields, and their units, that a figure without a unit may mean."""
    found = []
    for unit in ("A", "Ah", "V", "W", "VA"):
        has = [n for n in _PLAIN.get(unit, ()) if n in words.specs and words.specs[n].fact.unit == unit][:1]
        if unit == "V" and any(n in words.specs for n in (*_DC_VOLTS, *_AC_VOLTS)):
            has = _volts(words, value, "", frozenset())
        found += [(name, unit) for name in has]
    if found and getattr(words.cls, "ROLE", "") in _RATED_BY_BARE and found[0][1] == "A":
        return found[:1]
    return found
