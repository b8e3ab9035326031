"""Pictures under sheets, to trace. `reader.py` is a process of its own and loads none of the rest."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from app.window.main import Window

__all__ = ["lay"]


def lay(window: Window, path: Path) -> None:
    """Lay a photograph or a PDF under the sheet that is shown; what cannot be read is told at the foot."""
    window.underlays.lay(path)
