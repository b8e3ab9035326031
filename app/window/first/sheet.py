"""The first sheet in a window: a drawing without a name, in the person's words and keys; what is done is ticked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QKeySequence, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsPathItem

from app.canvas.inks import colour_of
from app.canvas.sheet_items import MARKS
from app.window.first.steps import FILE, ORDER, STEPS, First, labels, words
from engine.edits import Put, apply
from engine.files.drawing import FileError, load
from engine.installation.model import Installation
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.window.main import Window
    from app.window.start import Desk

__all__ = ["Ticks", "begin", "first_drawing", "open_first", "show_first"]

_SIDE, _OFF = 5.0, 2.0  # mm: a tick, and its distance from its remark


def begin(desk: Desk) -> Window:
    """The window one begins with: the first sheet the very first time, an empty drawing from then on."""
    if not desk.settings.get("first_seen"):
        desk.settings.set("first_seen", True)
        desk.settings.save()
        if not desk.settings.recent():  # who has opened drawings has drawn
            window = open_first(desk)
            if window is not None:
                return window
    return desk.new()


def open_first(desk: Desk) -> Window | None:
    """A window on the first sheet, as a drawing of its own; `None` where this installation lacks it."""
    from app.window.document import Document

    try:
        installation, first = first_drawing()
    except (FileError, OSError, KeyError):
        return None
    window = desk.show(Document(installation))
    Ticks(window, first)
    return window


def show_first(window: Window) -> None:
    """The same, asked for."""
    if open_first(window.desk) is None:
        window.foot.refuse(_("The samples are missing from this installation; install the program again."))


def first_drawing() -> tuple[Installation, First]:
    """The drawing, what is written on it in the person's words and with the keys as the system writes them.

    Raises `FileError`, or `OSError`, where it is missing.
    """
    from msgspec.structs import replace

    from app.commands.demo import samples_folder
    from app.commands.opening import CommandError

    try:
        installation = load(samples_folder() / FILE).installation
    except CommandError as fault:
        raise OSError(str(fault)) from None
    snapshot = installation.snapshot()
    first, told = First.of(snapshot), words(_shown)
    for step, item in zip(ORDER, snapshot.remarks, strict=True):
        apply(installation, Put("remarks", item, replace(snapshot.remarks[item], text=told[step])))
    for item, sheet in snapshot.sheets.items():
        apply(installation, Put("sheets", item, replace(sheet, title=told["title"])))
    for name, label in labels().items():
        item = first.ids[name]
        apply(installation, Put("equipment", item, replace(snapshot.equipment[item], label=label)))
    return installation, first


def _shown(key: str) -> str:
    return QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText)


class Ticks(QObject):
    """A tick beside every remark whose step is done, read off the drawing after every change."""

    def __init__(self, window: Window, first: First) -> None:
        super().__init__(window)
        self.setObjectName("first-sheet")
        self.window_of, self.document, self.first = window, window.document, first
        remarks = list(self.document.snapshot().remarks)
        self.of = {step.name: remarks[ORDER.index(step.name)] for step in STEPS}
        self.done: frozenset[str] = frozenset()
        self._item = QGraphicsPathItem()
        self._item.setZValue(MARKS)
        self._item.setAcceptedMouseButtons(Qt.MouseButton.NoButton)
        window.board.scene().addItem(self._item)
        self.document.changed.connect(self._changed)
        window.board.shown.stands.connect(self._draw)

    def _changed(self, _change: object = None) -> None:
        now = self.document.snapshot()
        done = frozenset(step.name for step in STEPS if step.done(self.first, now))
        new, self.done = done - self.done, done
        self._draw()
        if not new:
            return
        left = len(STEPS) - len(done)
        if left:
            told = ngettext("Done. One thing is left to do on this sheet.", "Done. {n} things are left to do.", left)
            self.window_of.foot.say(told.format(n=left))
        else:
            self.window_of.foot.say(_("All is done: this is how one draws."))

    def _draw(self) -> None:
        pen = QPen(colour_of("blue"), 1.1, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
        self._item.setPen(pen)  # in the ink of the screen as it is now
        finder = self.window_of.board.finder()
        path = QPainterPath()
        for name in self.done:
            box = finder.remark_boxes.get(self.of[name])
            if box is not None:
                x, y = box.left - _OFF - _SIDE, (box.top + box.bottom) / 2
                path.moveTo(x, y)
                path.lineTo(x + _SIDE * 0.35, y + _SIDE * 0.4)
                path.lineTo(x + _SIDE, y - _SIDE * 0.5)
        self._item.setPath(path)
