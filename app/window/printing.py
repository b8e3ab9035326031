"""The drawing set as PDF, written by the command line in a process of its own, so that the window goes on."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QProcess, QProcessEnvironment
from PySide6.QtWidgets import QFileDialog

from engine.files.drawing import dump
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["Printing", "write_pdf"]


def write_pdf(window: Window) -> None:
    """Ask where, then write what is on the screen now, saved or not."""
    window.pages.settle()
    document = window.document
    if not document.snapshot().equipment:
        window.foot.refuse(_("Nothing is drawn yet."))
        return
    name = document.path.with_suffix(".pdf") if document.path is not None else Path.home() / "drawing.pdf"
    text, _kind = QFileDialog.getSaveFileName(window, _("Write the drawing set as PDF"), str(name), "PDF (*.pdf)")
    if text:
        path = Path(text) if Path(text).suffix else Path(text + ".pdf")
        Printing(window, path)


class Printing(QObject):
    """One PDF being written. Belongs to its window and ends with it."""

    def __init__(self, window: Window, path: Path) -> None:
        super().__init__(window)
        self.window_of = window
        self.path = path
        self._folder = tempfile.TemporaryDirectory(prefix="linewright-")
        copy = Path(self._folder.name) / "drawing.linewright"
        copy.write_bytes(dump(window.document.installation))
        self.process = QProcess(self)
        environment = QProcessEnvironment.systemEnvironment()
        packages = str(Path(__file__).resolve().parents[2])
        environment.insert("PYTHONPATH", packages)
        self.process.setProcessEnvironment(environment)
        self.process.finished.connect(self._ended)
        self.process.errorOccurred.connect(self._failed)
        self.process.start(sys.executable, ["-m", "app.cli", "print", str(copy), "-o", str(path)])
        window.foot.say(_("Writing {name} ...").format(name=path.name))

    def _ended(self, code: int, _status: QProcess.ExitStatus) -> None:
        said = bytes(self.process.readAllStandardError().data()).decode(errors="replace").strip()
        if code in (0, 1) and self.path.is_file():
            self.window_of.foot.say(_("Written: {path}").format(path=self.path))
        else:
            self.window_of.foot.refuse(said.removeprefix("linewright: ") or _("the PDF could not be written"))
        self._end()

    def _failed(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self.window_of.foot.refuse(_("the PDF could not be written: no second process could be started"))
            self._end()

    def _end(self) -> None:
        self._folder.cleanup()
        self.deleteLater()
