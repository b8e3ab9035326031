"""A picture of the sheet, whole or of what is chosen: to the clipboard, or to a file as PNG, SVG or DXF.

It is what the board shows, in the inks of paper; what only marks something while one works is not in it.
"""

from __future__ import annotations

import logging
import pickle
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QProcess
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog

from app.canvas.inks import inks_now, use_inks
from app.canvas.redraw import DOTS
from app.window.ask import Answer, Question, ask
from app.window.files import may_write_over
from app.window.help.painted import painted
from app.window.surroundings import drop_folder, end_now, ended_words, environment, patience, said_words, silent_words
from engine.files.atomic import write_bytes
from engine.files.errors import reason
from engine.picture import Box, Picture, Primitive, path_box, text_box, transformed
from engine.picture import Path as Stroke
from engine.words import _

if TYPE_CHECKING:
    from app.canvas.board import Board
    from app.window.main import Window

__all__ = ["picture_of", "take_picture"]

ENDINGS = (".png", ".svg", ".dxf")
AIR = 4.0  # mm round what is chosen
PX_PER_MM = 6.0  # on the clipboard: some 150 dots an inch
log = logging.getLogger(__name__)


def take_picture(window: Window) -> None:
    """Ask what and where to, then do it."""
    board = window.board
    if not board.document.sheet:
        window.foot.refuse(_("There is no sheet to take a picture of."))
        return
    chosen = picture_of(board, chosen=True) is not None
    answers = [Answer("copy", _("Copy the sheet")), Answer("write", _("Write the sheet…"))]
    if chosen:
        answers = [
            Answer("copy_chosen", _("Copy what is chosen")),
            Answer("write_chosen", _("Write what is chosen…")),
            *answers,
        ]
    more = _("Copied, it is pasted as a picture elsewhere. Written, it is a PNG, an SVG or a DXF file.")
    question = Question(
        _("Picture of the sheet"),
        _("What is to be in the picture, and where is it to go?"),
        (*answers, Answer("stay", _("Neither"))),
        "stay",
        more,
    )
    key = ask(window, question)
    if key == "stay":
        return
    picture = picture_of(board, chosen=key.endswith("chosen"))
    if picture is None:
        return
    if key.startswith("copy"):
        copy(picture)
        window.foot.say(_("Copied: a picture of {what}.").format(what=picture.title))
    else:
        _write(window, picture)


def picture_of(board: Board, *, chosen: bool = False) -> Picture | None:
    """What the board shows as a picture; `None` where nothing that is chosen stands on its sheet."""
    items = board.shown.items
    width, height = board.shown.size()
    finder = board.finder()
    wanted = {*board.document.selection}
    made: list[Primitive] = []
    for owner in sorted(items.of, key=items.level):
        if not chosen or owner in wanted or owner in board.grasped:
            made += items.of[owner]
        elif owner == DOTS:
            made += (p for p in items.of[owner] if wanted & finder.runs_at(*_middle(p)))
    sheets = board.document.sheets()
    sheet = board.document.installation.get("sheets", board.document.sheet)
    title = "" if sheet is None else sheet.title
    name = _("sheet {n}: {title}") if title else _("sheet {n}")
    name = name.format(n=sheets.index(board.document.sheet) + 1, title=title)
    if not chosen:
        return Picture(width, height, tuple(made), name)
    if not made:
        return None
    boxes = [_box(p) for p in made]
    left, top = min(b.left for b in boxes) - AIR, min(b.top for b in boxes) - AIR
    right, bottom = max(b.right for b in boxes) + AIR, max(b.bottom for b in boxes) + AIR
    moved = tuple(transformed(made, -left, -top))
    return Picture(right - left, bottom - top, moved, _("what is chosen on {sheet}").format(sheet=name))


def copy(picture: Picture) -> None:
    """Put it on the clipboard as an image, dark on white."""
    before = inks_now()
    use_inks("paper")
    try:
        image = painted(picture, PX_PER_MM)
    finally:
        use_inks(before)
    QGuiApplication.clipboard().setImage(image)


def _box(p: Primitive) -> Box:
    return path_box(p).grown(p.width / 2) if isinstance(p, Stroke) else text_box(p)


def _middle(p: Primitive) -> tuple[float, float]:
    box = _box(p)
    return (box.left + box.right) / 2, (box.top + box.bottom) / 2


def _write(window: Window, picture: Picture) -> None:
    path = window.document.path
    folder = path.parent if path is not None else Path.home()
    safe = "".join(c if c.isalnum() or c in " -_" else "-" for c in picture.title).strip(" -")
    forms = _("PNG picture (*.png);;SVG drawing (*.svg);;DXF drawing (*.dxf)")
    suggested = str(folder / f"{safe}{ENDINGS[0]}")
    text, form = QFileDialog.getSaveFileName(window, _("Write a picture of the sheet"), suggested, forms)
    if not text:
        return
    target = Path(text)
    if target.suffix.lower() not in ENDINGS:
        ending = next((e for e in ENDINGS if e in form), ENDINGS[0])
        target = target.with_name(target.name + ending)
        if target.exists() and not may_write_over(window, target):
            return
    _Writing(window, picture, target)


class _Writing(QObject):
    """One picture on its way to a file; belongs to its window and ends with it."""

    def __init__(self, window: Window, picture: Picture, target: Path) -> None:
        super().__init__(window)
        self.setObjectName("printing")  # by which the desk finds it
        self._window = window
        self._target = target
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self.process = QProcess(self)
        self.process.setProcessEnvironment(environment())
        self.process.finished.connect(self._ended)
        self.process.errorOccurred.connect(self._failed)
        self._patience = patience(self.process, self._slow)
        try:
            self._folder = tempfile.TemporaryDirectory(prefix="linewright-")
            asked = Path(self._folder.name) / "picture"
            self._made = asked.with_name("made" + target.suffix.lower())
            asked.write_bytes(pickle.dumps(picture))
        except OSError as fault:
            self._refuse(reason(fault))
            return
        self.process.start(sys.executable, ["-P", "-m", "app.picture_file", str(asked), str(self._made)])
        window.foot.say(_("Writing {name} ...").format(name=target.name))

    def stop(self) -> None:
        """The window goes: it is given up, and nothing of it stays."""
        end_now(self.process)
        self._end()

    def _ended(self, code: int, status: QProcess.ExitStatus) -> None:
        said = bytes(self.process.readAllStandardError().data()).decode(errors="replace").strip()
        if status != QProcess.ExitStatus.NormalExit:
            log.warning("the picture is not written: its process was ended (%d)", code)
            self._refuse(ended_words())
            return
        if code != 0 or not self._made.is_file():
            log.warning("the picture is not written (%d): %s", code, said)
            self._refuse(said_words(said.splitlines() if code == 2 else ()))
            return
        try:
            write_bytes(self._target, self._made.read_bytes())
        except OSError as fault:
            self._refuse(reason(fault))
            return
        self._window.foot.say(_("Written: {path}").format(path=self._target))
        self._end()

    def _slow(self) -> None:
        end_now(self.process)
        self._refuse(silent_words())

    def _failed(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._refuse(_("no second process could be started"))

    def _refuse(self, why: str) -> None:
        told = _("{name} is not written: {why}").format(name=self._target.name, why=why or _("the log tells why"))
        self._window.foot.refuse(told)
        self._end()

    def _end(self) -> None:
        self._patience.stop()
        folder, self._folder = self._folder, None
        drop_folder(folder)
        self.setObjectName("")
        self.deleteLater()
