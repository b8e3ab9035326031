"""PDF written by the command line in a process of its own, so that the window goes on: the drawing set and more."""

from __future__ import annotations

import logging
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QObject, QProcess
from PySide6.QtWidgets import QFileDialog

from app.window.files import may_write_over
from app.window.surroundings import drop_folder, end_now, ended_words, environment, patience, said_words, silent_words
from app.window.underlay.saving import dump_elsewhere
from engine.books import ENDING as BOOK_ENDING
from engine.files.atomic import write_bytes
from engine.files.errors import reason
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["Paper", "Printing", "write_paper", "write_pdf"]

ENDING = ".pdf"
log = logging.getLogger(__name__)


class Paper(NamedTuple):
    """What is written: the command that does, what it is told, a title to ask by.

    Without `name` the file is called like the drawing. `of`: the id of what the paper is about, "" the whole drawing.
    """

    command: str
    options: tuple[str, ...]
    title: str
    name: str = ""
    of: str = ""

    def asked(self, drawing: Path, made: Path) -> list[str]:
        """What the command line is asked; options may follow."""
        of = [self.of] if self.of else []
        return [self.command, str(drawing), *of, "-o", str(made), *self.options]


def write_pdf(window: Window) -> None:
    """Ask where, then write the drawing set as it is on the screen now, saved or not."""
    write_paper(window, Paper("print", (), _("Write the drawing set as PDF")))


def write_paper(window: Window, paper: Paper) -> None:
    """Ask where, then write what the drawing is now, saved or not."""
    window.pages.settle()
    document = window.document
    if not document.snapshot().equipment:
        window.foot.refuse(_("Nothing is drawn yet."))
        return
    name = document.path.with_suffix(ENDING) if document.path is not None else Path.home() / f"drawing{ENDING}"
    if paper.name:
        name = name.with_name(f"{name.stem} - {_safe(paper.name)}{ENDING}")
    text, _kind = QFileDialog.getSaveFileName(window, paper.title, str(name), "PDF (*.pdf)")
    if not text:
        return
    path = Path(text)
    if path.suffix.lower() != ENDING:  # never over a drawing, whatever was typed
        path = path.with_name(path.name + ENDING)
        if path.exists() and not may_write_over(window, path):
            return
    Printing(window, path, paper)


def _safe(name: str) -> str:
    """Letters that every system takes in a file's name."""
    return "".join(c if c.isalnum() or c in " -_." else "-" for c in name).strip(" .")


class Printing(QObject):
    """One PDF being written. Belongs to its window and ends with it; what stood there stays until all is written."""

    def __init__(self, window: Window, path: Path, paper: Paper) -> None:
        super().__init__(window)
        self.setObjectName("printing")  # by which the desk finds it
        self.window_of = window
        self.path = path
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self.process = QProcess(self)
        self.process.setProcessEnvironment(environment())
        self.process.finished.connect(self._ended)
        self.process.errorOccurred.connect(self._failed)
        self._patience = patience(self.process, self._slow)
        try:
            self._folder = tempfile.TemporaryDirectory(prefix="linewright-")
            copy = Path(self._folder.name) / "drawing.linewright"
            copy.write_bytes(dump_elsewhere(window.document))
        except OSError as fault:
            self._refuse(reason(fault))
            return
        self._made = copy.with_suffix(ENDING)
        told = ["-P", "-m", "app.cli", *paper.asked(copy, self._made)]
        book, path = window.document.snapshot().settings.book, window.document.path
        if book.endswith(BOOK_ENDING) and path is not None:  # a yard's own stands beside the drawing, not the copy
            told += ["--book", str(path.absolute().parent / Path(book).name)]
        self.process.start(sys.executable, told)
        window.foot.say(_("Writing {name} ...").format(name=path.name))

    def stop(self) -> None:
        """The window goes: it is given up, and nothing of it stays."""
        end_now(self.process)
        self._end()

    def _ended(self, code: int, status: QProcess.ExitStatus) -> None:
        said = bytes(self.process.readAllStandardError().data()).decode(errors="replace").strip()
        is_whole = status == QProcess.ExitStatus.NormalExit and code in (0, 1) and self._made.is_file()
        try:
            if is_whole:
                write_bytes(self.path, self._made.read_bytes())
        except OSError as fault:
            self._refuse(reason(fault))
            return
        if is_whole:
            self.window_of.foot.say(_("Written: {path}").format(path=self.path))
            self._end()
        else:
            log.warning("the PDF is not written (%d): %s", code, said)
            self._refuse(said_words(said.splitlines()) if status == QProcess.ExitStatus.NormalExit else ended_words())

    def _slow(self) -> None:
        end_now(self.process)
        self._refuse(silent_words())

    def _failed(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._refuse(_("no second process could be started"))

    def _refuse(self, why: str) -> None:
        told = _("{name} is not written: {why}").format(name=self.path.name, why=why or _("the log tells why"))
        self.window_of.foot.refuse(told)
        self._end()

    def _end(self) -> None:
        self._patience.stop()
        folder, self._folder = self._folder, None
        drop_folder(folder)
        self.deleteLater()
