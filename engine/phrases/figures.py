"""Figures in a typed line: which stretch of it is a quantity, in which units it can be read."""

from __future__ import annotations

import functools
import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from engine.phrases.atoms import Atom, is_figure
from engine.record import FieldFault, FieldSpec, convert_field
from engine.units import UNITS, UnitError, read, read_size, suffix_kind

__all__ = ["Figure", "figures_at", "fitting", "is_quantity", "said_fault", "sizes_at"]

_LONGEST = 4  # atoms of a quantity: "10 ft 6 in"
_BEGINS = re.compile(r"[+-]?[.,]?\d", re.ASCII)
_SIGN = re.compile(r"^[+-]?[\d.,/ ]+", re.ASCII)


class Figure(NamedTuple):
    """A stretch of atoms that is a quantity in `unit`."""

    end: int  # the atom after it
    unit: str
    value: float
    said: str  # "AC", "DC" or ""
    is_exact: bool  # written in that very unit: "30 mA" is for a field in mA


def figures_at(atoms: Sequence[Atom], at: int, units: Sequence[str]) -> list[Figure]:
    """The quantities with a unit that begin at an atom, the longest first; of one stretch those in the very unit."""
    found: list[Figure] = []
    if at >= len(atoms) or atoms[at].sort != "word" or not _BEGINS.match(atoms[at].text):
        return found
    for end in range(min(at + _LONGEST, len(atoms)), at, -1):
        if any(a.sort != "word" for a in atoms[at:end]):
            continue
        text = " ".join(a.text for a in atoms[at:end])
        if is_figure(text):
            continue
        here = [f._replace(end=end) for unit in units if (f := _quantity(text, unit)) is not None]
        exact = [f for f in here if f.is_exact]
        found += exact or here
    return found


@functools.lru_cache(maxsize=8192)
def _quantity(text: str, unit: str) -> Figure | None:
    try:
        value = read(text, unit)
    except UnitError:
        return None
    name = _SIGN.sub("", text).strip().casefold()
    if unit == "degC" and name in ("k", "kelvin"):
        return None  # nobody tells a rating so: it is a "kA" half typed
    said = suffix_kind(text) if UNITS[unit].kinds else ""
    return Figure(0, unit, value, said, name in (unit.casefold(), UNITS[unit].sign.casefold()))


def sizes_at(atoms: Sequence[Atom], at: int, series: str) -> list[tuple[int, str]]:
    """Conductor sizes from an atom on: (the atom after it, size). A bare 10 is both AWG and mm²: `series` first."""
    found: list[tuple[int, str]] = []
    for end in range(min(at + 2, len(atoms)), at, -1):
        if any(a.sort != "word" for a in atoms[at:end]):
            continue
        text = " ".join(a.text for a in atoms[at:end])
        if not any(c.isdigit() for c in text):
            continue
        for size in _sizes(text, series):
            found.append((end, size))
        if found:
            break
    return found


@functools.lru_cache(maxsize=2048)
def _sizes(text: str, series: str) -> tuple[str, ...]:
    found: dict[str, None] = {}
    order = ("", "mm2", "AWG") if series == "mm2" else ("", "AWG", "mm2")
    for each in order:
        if each and not is_figure(text):
            continue
        try:
            size = read_size(text, each)
        except UnitError:
            continue
        if each and not _is_usual(size):
            continue
        found[size] = None
        if not each:
            break  # it can only be this
    return tuple(found)


def _is_usual(size: str) -> bool:
    from engine.units import AWG_SIZES, METRIC_SIZES

    return size in AWG_SIZES or size in METRIC_SIZES


def fitting(spec: FieldSpec, value: Any) -> tuple[Any, str]:
    """A value as the field stores it, or why it does not take it."""
    faults: list[FieldFault] = []
    made = convert_field(spec, value, "", faults)
    return made, faults[0].why if faults else ""


def is_quantity(text: str) -> bool:
    """Whether a text is a quantity in any unit."""
    return any(unit and _quantity(text, unit) is not None for unit in UNITS)


def said_fault(text: str) -> str:
    """Why a figure cannot be read at all ("1,200" has two readings), "" where it can."""
    found = _SIGN.match(text)
    if found is None:
        return ""
    digits = found[0].strip(" /")
    if "/" in digits:
        return ""
    try:
        read(digits, "A")
    except UnitError as fault:
        return str(fault)
    return ""
