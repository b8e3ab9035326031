"""A drawing saved elsewhere still finds the pictures under its sheets."""

from __future__ import annotations

from pathlib import Path

from msgspec.structs import replace

from app.drawing.added.underlay import path_of
from app.drawing.changes.underlaying import rebased
from app.window.document import Document
from engine.edits import EditError
from engine.files.drawing import dump, dump_snapshot
from engine.installation import Snapshot

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
    snapshot, folder = document.snapshot(), document.folder
    sheets = {
        item: replace(sheet, underlay=replace(sheet.underlay, file=path_of(sheet.underlay, folder).as_posix()))
        for item, sheet in snapshot.sheets.items()
        if sheet.underlay is not None
    }
    if not sheets:
        return dump(document.installation)
    installation = document.installation
    whole = Snapshot(tables=snapshot.tables | {"sheets": snapshot.sheets | sheets}, lone=snapshot.lone)
    return dump_snapshot(whole, installation.last_id, installation.unknown)
