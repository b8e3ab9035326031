"""What is put into a calculation: the value as the drawing records it, and where it comes from."""

from __future__ import annotations

from typing import Any

from engine.calculations.results import Check, Input, Mark, figure
from engine.record import Record
from engine.units import show, show_size
from engine.words import _

__all__ = ["NOTHING_A", "as_drawn", "length", "mark_of", "put", "sized", "titled"]

NOTHING_A = 1e-3  # less than this is what an open contact leaks in a solution, not a current
LEFT_OUT = ("to remove", "spare")


def mark_of(record: Record, field: str) -> Mark:
    """Where the value of a field comes from; *recorded* where nobody said."""
    value: Any = getattr(record, field, None)
    if value is None or value == "" or value == ():
        return "not known"
    return record.origin(field) or "recorded"


def put(record: Record, field: str, symbol: str, name: str, unit: str = "", text: str = "") -> Input:
    """A number or word of a record."""
    value: Any = getattr(record, field, None)
    mark = mark_of(record, field)
    if mark == "not known":
        return Input(symbol, name, "", mark)
    if not text:
        text = show(value, unit, digits=5) if unit and isinstance(value, int | float) else str(value)
    return Input(symbol, name, text, mark)


def sized(record: Record, symbol: str, name: str) -> Input:
    """A conductor size."""
    size = getattr(record, "size", "")
    return Input(symbol, name, show_size(size) if size else "", mark_of(record, "size"))


def length(metres: float, is_us: bool) -> str:
    """A length in the unit of the formulas: decimal feet, or metres."""
    return f"{figure(metres / 0.3048)} ft" if is_us else f"{figure(metres)} m"


def titled(record: Record, *parts: str) -> str:
    """What a thing is, and that it is to be removed or spare: as long as it is drawn it is judged."""
    status = getattr(record, "status", "")
    return ", ".join(part for part in (*parts, _(status) if status in LEFT_OUT else "") if part)


def as_drawn(check: Check, amps: float, is_least: bool, missing: tuple[str, ...]) -> Check:
    """A check of what no condition has hours for, by what flows as drawn with every load on, against its limit."""
    made = check._replace(condition="", found=None, notes=(), unit="A")
    hours = ("conditions.duties",)
    if amps <= NOTHING_A:
        none = _("Nothing flows through it in any condition, nor as drawn with every load on.")
        lacking = missing or (hours if is_least else ())
        return made._replace(notes=(none,), limit=None, verdict="not judged" if lacking else "not compared",
                             missing=lacking)  # fmt: skip
    told = _("No hours are recorded in any condition; as drawn, with every load on, {amps} A flow.")
    note = told.format(amps=figure(amps))
    if is_least or check.limit is None or amps > check.limit:
        return made._replace(notes=(note,), limit=None, verdict="not judged", missing=missing or hours)
    return made._replace(found=amps, notes=(note,), verdict="in order")
