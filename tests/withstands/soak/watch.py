"""What is watched while somebody works: the drawing against a replay without a window, the sheet against a fresh one,
and what the program holds. Loaded by the test beside it.
"""

from __future__ import annotations

import gc
import os
from functools import partial
from pathlib import Path
from typing import NamedTuple

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication

from app.canvas.items import merged
from app.canvas.redraw import dotted, first_picture
from app.drawing.changes import scene_of
from app.window.document import Document
from app.window.main import Window
from engine.edits import Edit, History
from engine.files.drawing import dump, read_bytes
from engine.picture import Path as Line
from engine.picture import Primitive


class Replay:
    """The same edits on a drawing that no window knows: `do`, `undo`, `redo`, in the order in which they were done."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.history = History(read_bytes(dump(document.installation)).installation)
        self.edits = 0
        self._real = document.history
        for name in ("do", "undo", "redo"):
            setattr(document.history, name, partial(self._take, name))

    def _take(self, name: str, *edit: Edit) -> Edit | None:
        made: Edit | None = getattr(History, name)(self._real, *edit)
        if made is not None:
            self.edits += 1
            there = getattr(self.history, name)(*edit)
            assert there == made, f"{name} is another edit without a window"
        return made

    def done(self) -> None:
        """Nothing of the history is watched any more."""
        for name in ("do", "undo", "redo"):
            delattr(self._real, name)

    def agrees(self) -> None:
        """The file that would be written is the same, byte for byte; and it opens as what it was."""
        there = dump(self.document.installation)
        assert dump(self.history.installation) == there
        assert dump(read_bytes(there).installation) == there
        assert self.document.snapshot() == self.document.installation.snapshot()


def _strokes(primitives: tuple[Primitive, ...]) -> set[object]:
    """Lines of a symbol or run; what belongs to its label may stand elsewhere on a fresh sheet."""
    return {p.segments for p in primitives if isinstance(p, Line) and p.ink != "grey" and len(p.segments) > 2}


def board_is_as_drawn_anew(window: Window) -> None:
    """The board shows what a fresh drawing of its sheet shows: the same owners, symbols and ways of runs."""
    document, shown = window.document, window.board.shown
    items = shown.items
    assert {owner: len(of) for owner, of in items.items.items()} == {
        owner: len(merged(of)) for owner, of in items.of.items()
    }
    if not document.sheet:
        assert not items.of
        return
    fresh = dotted(first_picture(shown.snapshot(), document.sheet))
    scene, snapshot = scene_of(shown.snapshot(), document.sheet), document.snapshot()
    drawn = {piece.equipment for piece in scene.on(document.sheet)}
    drawn |= {item for item, remark in snapshot.remarks.items() if remark.sheet == document.sheet}
    routed = {part.run for part in scene.parts_on(document.sheet)}
    assert drawn | routed <= items.of.keys()
    for owner in drawn | routed:
        assert _strokes(items.of[owner]) == _strokes(fresh[owner]), f"{owner} is not drawn as it stands"
    records = ("equipment", "runs", "remarks")
    known = {item for table in records for item in snapshot.tables[table]}
    left = {o for o in items.of if o[:1] in "erk" and o[1:].isdecimal()}
    assert left <= known, f"drawn, and gone: {left - known}"


class Held(NamedTuple):
    """What the process holds at a moment."""

    resident_mb: float
    python: int  # objects the collector knows
    qt: int  # QObjects that Python can reach, of all windows
    widgets: int
    items: int  # on the board
    files: int  # open handles

    def told(self) -> str:
        return ", ".join(f"{name} {value:.0f}" for name, value in self._asdict().items())


def held(window: Window | None = None) -> Held:
    """Now, after everything that waits to be deleted has been."""
    gc.collect()
    every = QApplication.topLevelWidgets()
    objects = sum(1 + len(each.findChildren(QObject)) for each in every if each.parent() is None)
    on_board = 0 if window is None else len(window.board.scene().items())
    files = len(os.listdir("/proc/self/fd")) if Path("/proc/self/fd").is_dir() else 0
    pages = 0
    if Path("/proc/self/statm").exists():
        pages = int(Path("/proc/self/statm").read_text().split()[1])
    resident = pages * os.sysconf("SC_PAGE_SIZE") / 1e6 if pages else 0.0
    return Held(resident, len(gc.get_objects()), objects, len(QApplication.allWidgets()), on_board, files)
