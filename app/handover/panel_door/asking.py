"""The size of a card as an argument of a command."""

from __future__ import annotations

import argparse

from app.handover.panel_door.size import SizeError, read_size

__all__ = ["a_size"]


def a_size(text: str) -> tuple[float, float]:
    """A size in mm. Raises what the command line tells a person."""
    try:
        return read_size(text)
    except SizeError as fault:
        raise argparse.ArgumentTypeError(str(fault)) from None
