"""A drawing saved elsewhere still finds the pictures under its sheets."""

from __future__ import annotations

from pathlib import Path

from app.drawing.added.underlay import with_whole_paths
from app.drawing.changes.underlaying import rebased
from app.window.document import Document
from engine.edits import EditError
from engine.files.drawing import dump, dump_snapshot

__all__ = ["dump_elsewhere", "name_pictures"]


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


def dump_elsewhere(document: Document) -> bytes:
    """The drawing as a file that is read in another folder: pictures that are printed are named by whole paths."""
    snapshot, installation = document.snapshot(), document.installation
    whole = with_whole_paths(snapshot, document.folder)
    if whole is snapshot:
        return dump(installation)
    return dump_snapshot(whole, installation.last_id, installation.unknown)
