"""Drawing a run, and putting an end of one elsewhere."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from app.drawing.changes.made import Grip, Made
from engine.edits import Several
from engine.installation import Snapshot

__all__ = ["connect", "reconnect"]


def connect(
    snapshot: Snapshot,
    last_id: int,
    sheet: str,
    start: Grip,
    stop: Grip,
    corners: Iterable[tuple[int, int]] = (),
) -> Made:
    """A new run from grip to grip."""
    raise NotImplementedError


def reconnect(
    snapshot: Snapshot, last_id: int, run: str, end: Literal["from", "to"], sheet: str, grip: Grip
) -> Several:
    """Put an end of a run elsewhere."""
    raise NotImplementedError
