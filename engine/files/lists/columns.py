"""Which field a column's heading means: its name, with or without the unit at its end, a unit in brackets."""

from __future__ import annotations

import functools
import re
from typing import Any, NamedTuple

from engine.files.lists.cells import CellError, split_cell
from engine.record import FieldSpec, field_specs
from engine.units import unit_named
from engine.words import _

__all__ = ["Heading", "Target", "nearest", "parse_heading", "targets"]

# what people call a field here where it is not its name
ALIASES = {("Interlock", "devices"): "held"}
_LONGEST = 60  # characters of what is looked for among names: the time it takes grows with them
_ENDINGS = {"degC": "c", "%": "percent"}


class Heading(NamedTuple):
    """A column: the heading as written, its name in plain form, the unit in brackets, its number from 1."""

    text: str
    name: str
    unit: str
    number: int


class Target(NamedTuple):
    """The field a column fills. `within`: the field of a record that holds it ("from" for "from torque").

    `quantity`: where the field takes words, the field of the same name that takes a quantity ("insulation", 105 °C).
    """

    spec: FieldSpec
    unit: str = ""
    within: str = ""
    quantity: FieldSpec | None = None


def parse_heading(text: str, number: int) -> Heading:
    """A heading taken apart: "Rating [A]" is the field `rating` in A."""
    plain = split_cell(text).text
    found = re.fullmatch(r"(.*?)\s*[\[(]\s*([^\[\]()]*?)\s*[\])]", plain, re.DOTALL)
    name, unit = (found[1], found[2]) if found else (plain, "")
    return Heading(plain, re.sub(r"[\s\-./_]+", "_", name.strip().lower()).strip("_"), unit, number)


def _ending(unit: str) -> str:
    return _ENDINGS.get(unit, unit.lower().replace("/", "_"))


@functools.cache
def targets(cls: Any, name: str, unit: str) -> tuple[Target, ...]:
    """The fields of `cls` that a heading can mean: none, one, or several when it is not clear. Raises `CellError`."""
    name = ALIASES.get((cls.__name__, name), name)
    exact = [spec for spec in field_specs(cls) if name in (spec.file_name, spec.name) and spec.shape != "record"]
    short = [s for s in field_specs(cls) if s.fact.unit and s.file_name == f"{name}_{_ending(s.fact.unit)}"]
    fitting = [s for s in exact if _takes(s, unit)]
    if fitting:
        sibling = short[0] if fitting[0].shape == "word" and not fitting[0].fact.unit and len(short) == 1 else None
        return (Target(fitting[0], unit, quantity=sibling),)
    fitting = [s for s in short if _takes(s, unit)]
    if fitting:
        return tuple(Target(s, unit) for s in fitting)
    if exact or short:
        spec = (exact or short)[0]
        raise CellError(
            _("{field} is in {unit}, and {said} is no way to write that").format(
                field=spec.file_name, unit="AWG or mm2" if spec.fact.unit == "size" else spec.fact.unit, said=unit
            )
        )
    return _within(cls, name, unit)


def _within(cls: Any, name: str, unit: str) -> tuple[Target, ...]:
    for spec in field_specs(cls):
        if spec.shape == "record" and name.startswith(f"{spec.file_name}_"):
            inner = targets(spec.item, name[len(spec.file_name) + 1 :], unit)
            return tuple(t._replace(within=spec.name) for t in inner)
    return ()


def _takes(spec: FieldSpec, unit: str) -> bool:
    """Whether a heading's unit suits the field; a field without unit takes any remark in brackets."""
    if not unit or not spec.fact.unit:
        return True
    if spec.fact.unit == "size":
        return unit.upper() == "AWG" or unit_named(unit, "mm2")
    return unit_named(unit, spec.fact.unit)


def nearest(wanted: str, known: list[str]) -> str:
    """ "; did you mean ...?" where something is written alike, else ""."""
    import difflib  # only where something is wrong

    alike = difflib.get_close_matches(wanted[:_LONGEST], known, n=3, cutoff=0.6)
    return _("; is it {names}?").format(names=_(" or ").join(alike)) if alike else ""
