"""What is put into a calculation: the value as the drawing records it, and where it comes from."""

from __future__ import annotations

from typing import Any

from engine.calculations.results import Input, Mark, figure
from engine.record import Record
from engine.units import show, show_size

__all__ = ["length", "mark_of", "put", "sized"]


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
