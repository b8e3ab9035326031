"""Moving a switch, as drawn or in an operating condition, as far as the interlocks let it."""

from __future__ import annotations

from typing import NamedTuple

from engine.edits.edit import Edit
from engine.installation.model import Snapshot

__all__ = ["Operated", "operate", "positions_in"]


class Operated(NamedTuple):
    """The edit that moves the switch, or `None` and why it does not move."""

    edit: Edit | None
    why: str = ""


def positions_in(snapshot: Snapshot, condition: str) -> dict[str, str]:
    """Where every switch stands in a condition, `""` as drawn."""
    raise NotImplementedError


def operate(snapshot: Snapshot, equipment: str, condition: str, position: str | None = None) -> Operated:
    """Move a switch to `position`, or to the next one."""
    raise NotImplementedError
