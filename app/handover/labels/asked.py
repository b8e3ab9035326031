"""What is typed on the command line for labels, read and refused in words."""

from __future__ import annotations

import argparse

from app.handover.labels.grid import GridError, read_grid
from engine.units import UnitError, read
from engine.words import _

__all__ = ["a_grid", "a_side_mm", "a_skip"]


def a_grid(text: str) -> str:
    """A label sheet, as typed, once it is known to be one."""
    try:
        read_grid(text)
    except GridError as fault:
        raise argparse.ArgumentTypeError(str(fault)) from None
    return text


def a_skip(text: str) -> int:
    """Cells used up already."""
    if not (text.isascii() and text.isdecimal()) or int(text) > 3600:
        raise argparse.ArgumentTypeError(_("expected a whole number of labels, found {text!r}").format(text=text))
    return int(text)


def a_side_mm(text: str) -> float:
    """5 to 200 mm."""
    try:
        value = read(text, "mm", "mm")
    except UnitError as fault:
        raise argparse.ArgumentTypeError(str(fault)) from None
    if not 5 <= value <= 200:
        raise argparse.ArgumentTypeError(_("expected 5 to 200 mm, found {text!r}").format(text=text))
    return value
