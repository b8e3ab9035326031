"""A drawing saved elsewhere still finds the pictures under its sheets."""

from __future__ import annotations

from pathlib import Path

from app.drawing.changes.underlaying import rebased
from app.window.document import Document
from engine.edits import EditError

__all__ = ["name_pictures"]


def name_pictures(document: Document, path: Path) -> None:
    """Before a drawing is written to another file: name the files of its pictures from there."""
    edit = rebased(document.snapshot(), document.folder, path.absolute().parent)
    if edit is None:
        return
    read_only, document.read_only = document.read_only, ""
    if document.installation.read_only:
        document.read_only = read_only
        return
    try:
        document.do(edit)
    except EditError:  # issued and locked, or the like: then the window tells that the file is not there
        return
    finally:
        document.read_only = read_only
