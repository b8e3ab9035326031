"""Putting equipment on a sheet."""

from __future__ import annotations

from app.drawing.changes.made import Made
from engine.installation import Snapshot

__all__ = ["place", "place_existing"]


def place(
    snapshot: Snapshot,
    last_id: int,
    kind: str,
    sheet: str,
    column: int,
    row: int,
    *,
    rotation: int = 0,
    mirrored: bool = False,
    on_run: str = "",
) -> Made:
    """New equipment of a kind. `on_run`: inserted into that run, which is split."""
    raise NotImplementedError


def place_existing(
    snapshot: Snapshot,
    last_id: int,
    equipment: str,
    sheet: str,
    column: int,
    row: int,
    *,
    rotation: int = 0,
    mirrored: bool = False,
    terminals: tuple[str, ...] = (),
) -> Made:
    """A symbol for equipment that is on no sheet, or a further one."""
    raise NotImplementedError
