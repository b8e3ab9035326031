"""What one sheet shows, fast."""

from __future__ import annotations

from app.drawing.placed import Scene
from engine.installation import Snapshot

__all__ = ["scene_of"]


def scene_of(snapshot: Snapshot, sheet: str) -> Scene:
    """Symbols and runs of one sheet."""
    raise NotImplementedError
