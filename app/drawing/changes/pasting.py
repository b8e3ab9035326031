"""Pasting what was copied."""

from __future__ import annotations

from app.drawing.changes.made import Made
from engine.edits.copying import Clip
from engine.installation import Snapshot

__all__ = ["paste"]


def paste(snapshot: Snapshot, last_id: int, clip: Clip, sheet: str, column: int, row: int) -> Made:
    """What was copied, its middle at `column`, `row`."""
    raise NotImplementedError
