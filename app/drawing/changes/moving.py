"""Moving, turning, mirroring symbols and stretching a bus; the runs follow."""

from __future__ import annotations

from collections.abc import Iterable

from engine.edits import Several
from engine.installation import Snapshot

__all__ = ["mirror", "move", "stretch", "turn"]


def move(snapshot: Snapshot, placements: Iterable[str], dx: int, dy: int) -> Several:
    """Move symbols by grid steps."""
    raise NotImplementedError


def turn(snapshot: Snapshot, placements: Iterable[str], quarters: int = 1) -> Several:
    """Turn symbols clockwise by quarters; a group turns about its middle."""
    raise NotImplementedError


def mirror(snapshot: Snapshot, placements: Iterable[str]) -> Several:
    """Mirror symbols left to right; a group about its middle."""
    raise NotImplementedError


def stretch(snapshot: Snapshot, placement: str, length: int, column: int, row: int) -> Several:
    """Give a bus another length, its first end at `column`, `row`."""
    raise NotImplementedError
