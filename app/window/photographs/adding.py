"""Photographs put to a deficiency: taken by a process of their own, kept beside the drawing, recorded in one edit."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from PySide6.QtCore import QMimeData, QPoint
from PySide6.QtGui import QGuiApplication, QImage

from app.photographs import Taken, recorded
from app.window.comfort.dropping import files_of
from app.window.photographs.taking import takings_of
from engine.edits import EditError
from engine.edits.draft import Draft
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["add_photographs", "dropped_on", "holds_pictures", "pasted", "pictures_of"]


def add_photographs(
    window: Window, item: str, paths: Sequence[Path], *, evidence: bool = False, keep_location: bool = False
) -> None:
    """Take photographs to a deficiency; it goes on while they are read. What cannot be taken is told, the rest is."""
    if not paths:
        return
    if window.document.read_only:
        window.foot.refuse(_("The drawing is open to read only: {why}").format(why=window.document.read_only))
        return
    window.foot.say(
        ngettext("{n} photograph is being read…", "{n} photographs are being read…", len(paths)).format(n=len(paths))
    )
    takings_of(window).take(list(paths), partial(_arrived, window, item, evidence), keep_location=keep_location)


def _arrived(window: Window, item: str, evidence: bool, taken: Sequence[Taken], faults: Sequence[str]) -> None:
    """They are read and kept: now recorded, one edit for all of them."""
    told = list(faults)
    document = window.document
    record = document.snapshot().deficiencies.get(item)
    if record is None and taken:
        told.append(_("The deficiency is not there any more; its photographs were not recorded."))
    elif record is not None and taken:
        field = "evidence_photographs" if evidence else "photographs"
        draft = Draft(document.snapshot(), document.installation.last_id)
        ids = tuple(dict.fromkeys((*getattr(record, field), *(recorded(draft, one) for one in taken))))
        draft.put("deficiencies", item, msgspec.structs.replace(record, **{field: ids}))
        words = _("Photograph of deficiency {n}").format(n=record.number)
        edit = draft.done(words)
        try:
            if edit.edits:
                document.do(edit)
            else:
                window.foot.say(_("It has this photograph already."))
        except EditError as fault:
            told.append(str(fault))
    if told:
        window.banner.tell("photographs", " ".join(told))


# -- out of the clipboard, off the board ------------------------------------------------------------------------------
def holds_pictures(data: QMimeData | None) -> bool:
    """Whether there is a picture in it, or files."""
    return data is not None and (data.hasImage() or bool(files_of(data)))


def pictures_of(data: QMimeData | None, folder: Path) -> list[Path]:
    """What is held or pasted, as files; a picture without a file is written into `folder`. Raises `OSError`."""
    if data is None:
        return []
    files = files_of(data)
    if files or not data.hasImage():
        return files
    image = data.imageData()
    if not isinstance(image, QImage) or image.isNull():
        return []
    path = folder / f"{_('pasted')}.bmp"  # nothing is packed here: it is read again at once
    if not image.save(str(path)):
        raise OSError(_("there is no place for the picture"))
    return [path]


def pasted(window: Window, data: QMimeData | None = None) -> list[Path]:
    """Files for what the clipboard holds, or what was let go; what cannot be is told.

    A picture without a file is written into a folder that goes with the window.
    """
    folder = getattr(window, "_pasted_photographs", None)
    if folder is None:
        folder = tempfile.TemporaryDirectory(prefix="linewright-")
        window._pasted_photographs = folder  # type: ignore[attr-defined]  # goes when the window goes
        window.destroyed.connect(partial(_emptied, folder))
    try:
        inside = Path(tempfile.mkdtemp(dir=folder.name))
        return pictures_of(QGuiApplication.clipboard().mimeData() if data is None else data, inside)
    except OSError as fault:
        window.foot.refuse(str(fault))
        return []


def dropped_on(window: Window, at: QPoint, paths: Sequence[Path]) -> bool:
    """Whether files let go at a point of the window were taken: over a square they are photographs of that."""
    from app.window.deficiencies.entry import marking_of
    from app.window.quick.fast import fast_of

    if fast_of(window.board).is_open and marking_of(window).is_open:
        marking_of(window).hold(paths)
        return True
    board = window.board
    point = board.viewport().mapFrom(window, at)
    if not board.isVisible() or not board.viewport().rect().contains(point):
        return False
    hit = board.hit(board.spot(point))
    if hit.number >= 0:
        return False
    every = window.document.snapshot().deficiencies
    item = next((i for i, d in every.items() if d.number == -hit.number), "")
    if item:
        window.document.select(item)
        add_photographs(window, item, paths)
    return bool(item)


def _emptied(folder: tempfile.TemporaryDirectory[str], _gone: object = None) -> None:
    folder.cleanup()
