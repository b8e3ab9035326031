"""The picture under a sheet: laid, placed, shown more or less strongly, taken away. Each one edit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec

from app.drawing.added.underlay import path_from, path_of
from app.drawing.changes.room import sheet_named, sheet_record
from engine.edits import Edit, EditError, SetFields, Several
from engine.installation import Snapshot, Underlay
from engine.record import to_builtins
from engine.words import _

__all__ = ["lay_under", "rebased", "set_under", "take_away"]


def lay_under(snapshot: Snapshot, sheet: str, underlay: Underlay) -> Edit:
    """Lay a picture under a sheet, in place of one that lies there."""
    sheet_record(snapshot, sheet)
    name = underlay.file.rsplit("/", 1)[-1]
    words = _("Lay {name} under {sheet}").format(name=name, sheet=sheet_named(snapshot, sheet))
    return _put(sheet, underlay, words)


def take_away(snapshot: Snapshot, sheet: str) -> Edit:
    """Take the picture away; its file stays where it is."""
    if sheet_record(snapshot, sheet).underlay is None:
        raise EditError(_("No picture lies under {sheet}.").format(sheet=sheet_named(snapshot, sheet)))
    return _put(sheet, None, _("Take the picture under {sheet} away").format(sheet=sheet_named(snapshot, sheet)))


def set_under(snapshot: Snapshot, sheet: str, words: str, **fields: Any) -> Edit | None:
    """Change fields of the picture under a sheet; `None` where nothing differs."""
    old = sheet_record(snapshot, sheet).underlay
    if old is None:
        raise EditError(_("No picture lies under {sheet}.").format(sheet=sheet_named(snapshot, sheet)))
    new = msgspec.structs.replace(old, **fields)
    return None if new == old else _put(sheet, new, words)


def rebased(snapshot: Snapshot, before: Path | None, after: Path) -> Edit | None:
    """Name the files of all pictures from the folder a drawing is saved in now; `None` where that changes nothing."""
    edits = []
    for item, sheet in snapshot.sheets.items():
        if sheet.underlay is None:
            continue
        file = path_from(path_of(sheet.underlay, before), after)
        if file != sheet.underlay.file:
            edits.append(_put(item, msgspec.structs.replace(sheet.underlay, file=file), ""))
    return Several(tuple(edits), _("Name the pictures under the sheets from the new folder")) if edits else None


def _put(sheet: str, underlay: Underlay | None, words: str) -> Edit:
    value = None if underlay is None else to_builtins(underlay)
    return SetFields("sheets", sheet, (("underlay", value),), words)
