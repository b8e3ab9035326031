"""Asking for the file of a picture."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ENDINGS", "ask_and_lay", "ask_file"]

ENDINGS = (".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".bmp", ".gif", ".pdf")


def ask_file(window: Window) -> Path | None:
    """A photograph or PDF, `None` where the person leaves."""
    folder = window.document.folder or Path.home()
    kinds = " ".join(f"*{ending}" for ending in ENDINGS)
    kind = _("Photographs and PDF ({endings})").format(endings=kinds)
    text, _kind = QFileDialog.getOpenFileName(window, _("Lay a picture under the sheet"), str(folder), kind)
    return Path(text) if text else None


def ask_and_lay(window: Window) -> None:
    """Ask for a file, then lay it under the sheet that is shown."""
    path = ask_file(window)
    if path is not None:
        window.underlays.lay(path)
