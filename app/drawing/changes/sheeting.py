"""Sheets: one more, one less, and what stands on which."""

from __future__ import annotations

from collections.abc import Iterable

from app.drawing.changes.made import Made
from engine.edits import Several
from engine.installation import Snapshot

__all__ = ["add_sheet", "remove_sheet", "to_sheet"]


def add_sheet(snapshot: Snapshot, last_id: int, title: str = "", size: str | None = None) -> Made:
    """A new sheet after the last."""
    raise NotImplementedError


def remove_sheet(snapshot: Snapshot, sheet: str) -> Several:
    """Take a sheet away; what is drawn only there is on no sheet then."""
    raise NotImplementedError


def to_sheet(snapshot: Snapshot, placements: Iterable[str], sheet: str) -> Several:
    """Put symbols on another sheet."""
    raise NotImplementedError
