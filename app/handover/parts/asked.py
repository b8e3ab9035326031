"""What is typed on the command line for the bill and the quotation, read and refused in words."""

from __future__ import annotations

import argparse
import re

from engine.units import UnitError, read
from engine.words import _

__all__ = ["a_count", "a_length_mm", "a_percent", "some_lengths"]

_LONGEST_M = 10_000.0


def some_lengths(text: str) -> tuple[str, ...]:
    """Lengths parted by `,` or `;`, each with or without a unit. A decimal is written with a point."""
    parts = tuple(part.strip() for part in re.split("[,;]", text) if part.strip())
    for part in parts:
        try:
            length_m = read(part, "m", "m")
        except UnitError as fault:
            raise argparse.ArgumentTypeError(str(fault)) from None
        if not 0.001 <= length_m <= _LONGEST_M:
            raise argparse.ArgumentTypeError(_("a drum is 1 mm to 10 km long, found {text!r}").format(text=part))
    if not parts:
        raise argparse.ArgumentTypeError(_("expected lengths such as 25,50,100, found {text!r}").format(text=text))
    return parts


def a_percent(text: str) -> float:
    """0 to 1000 %."""
    return _number(text, "%", 0, 1000)


def a_length_mm(text: str) -> float:
    """0 to 1000 mm."""
    return _number(text, "mm", 0, 1000)


def a_count(text: str) -> int:
    """0 to 1000 pieces."""
    if not (text.isascii() and text.isdecimal()) or int(text) > 1000:
        raise argparse.ArgumentTypeError(_("expected a whole number, 0 to 1000, found {text!r}").format(text=text))
    return int(text)


def _number(text: str, unit: str, low: float, high: float) -> float:
    try:
        value = read(text, unit, unit)
    except UnitError as fault:
        raise argparse.ArgumentTypeError(str(fault)) from None
    if not low <= value <= high:
        raise argparse.ArgumentTypeError(
            _("expected {low} to {high} {unit}, found {text!r}").format(low=low, high=high, unit=unit, text=text)
        )
    return value
