"""Files let go over the window: drawings are opened, lists become a new drawing, a picture lies under the sheet."""

from __future__ import annotations

import logging
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QMimeData, QObject, QPoint, QProcess, QTimer

from app.window.ask import Answer, Question, ask
from app.window.document import Document
from app.window.files import ENDING, tell_fault
from app.window.surroundings import drop_folder, end_now, ended_words, environment, patience, said_words, silent_words
from engine.files.drawing import FileError, load
from engine.files.errors import reason
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["Bringing", "files_of", "take_files"]

LISTS = (".csv", ".xlsx", ".xlsm")
PICTURES = (".png", ".jpg", ".jpeg", ".pdf", ".bmp", ".gif", ".tif", ".tiff", ".webp")
SHOWN = 10  # faults told one by one
log = logging.getLogger(__name__)


def files_of(data: QMimeData) -> list[Path]:
    """The files somebody holds over the window."""
    return [Path(url.toLocalFile()) for url in data.urls() if url.isLocalFile()]


def take_files(window: Window, paths: list[Path], at: QPoint | None = None) -> None:
    """Do with every file what its kind asks for; what nothing can be done with is told.

    Let go over the square of a deficiency, or while one is being typed, they are photographs of it.
    """
    if at is not None:
        from app.window.photographs.adding import dropped_on

        if dropped_on(window, at, paths):
            return
    lists = [path for path in paths if path.suffix.lower() in LISTS]
    pictures = [path for path in paths if path.suffix.lower() in PICTURES]
    drawings = [path for path in paths if path.suffix.lower() == ENDING]
    strange = [path for path in paths if path not in (*lists, *pictures, *drawings)]
    if strange:
        told = (
            _("{name} is a folder; drop the files that are in it.")
            if strange[0].is_dir()
            else _("{name} is no drawing ({ending}), no list (CSV, XLSX), no picture and no PDF.")
        )
        window.foot.refuse(told.format(name=strange[0].name, ending=ENDING))
    if pictures:
        if len(pictures) > 1:
            told = _("One picture lies under a sheet: {name} was taken, the others were left.")
            window.banner.tell("dropped", told.format(name=pictures[0].name))
        window.underlays.lay(pictures[0])
    if lists:
        Bringing(window, lists)
    for path in drawings:
        window.desk.open_path(path, window)


class Bringing(QObject):
    """Lists on their way into a new drawing, read by a process of their own; belongs to its window."""

    def __init__(self, window: Window, lists: list[Path], keep_good: bool = False) -> None:
        super().__init__(window)
        self.setObjectName("printing")  # by which the desk finds what is under way
        self._window, self._lists = window, lists
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self.process = QProcess(self)
        self.process.setProcessEnvironment(environment())
        self.process.finished.connect(self._ended)
        self.process.errorOccurred.connect(self._failed)
        self._patience = patience(self.process, self._slow)
        try:
            self._folder = tempfile.TemporaryDirectory(prefix="linewright-")
        except OSError as fault:
            self._refuse(reason(fault))
            return
        self._made = Path(self._folder.name) / f"brought{ENDING}"
        told = ["-P", "-m", "app.cli", "import", *map(str, lists), "-o", str(self._made)]
        self.process.start(sys.executable, [*told, *(["--keep-good"] if keep_good else [])])
        window.foot.say(_("Reading {names} ...").format(names=self._names))

    @property
    def _names(self) -> str:
        return ", ".join(path.name for path in self._lists)

    def stop(self) -> None:
        """The window goes."""
        end_now(self.process)
        self._end()

    def _ended(self, code: int, status: QProcess.ExitStatus) -> None:
        said = bytes(self.process.readAllStandardError().data()).decode(errors="replace").splitlines()
        said = [line.removeprefix("linewright: ") for line in said if line.strip()]
        if status != QProcess.ExitStatus.NormalExit:
            log.info("lists are not read: their process was ended (%d)", code)
            self._refuse(ended_words())
        elif code in (0, 1) and self._made.is_file():
            self._show(said)
        elif len(said) > 1 and code == 2:
            self._end()
            self._ask(said)
        else:
            log.info("lists are not read (%d): %s", code, " / ".join(said))
            self._refuse(said_words(said))

    def _show(self, said: list[str]) -> None:
        window = self._window
        try:
            opened = load(self._made)
        except FileError as fault:
            self._end()
            tell_fault(window, _("{names} cannot be read").format(names=self._names), str(fault))
            return
        self._end()
        made = window.desk.show(Document(opened.installation))
        n = len(made.document.snapshot().equipment)
        told = ngettext(
            "{n} piece of equipment from {names}; the drawing is in no file yet.",
            "{n} pieces of equipment from {names}; the drawing is in no file yet.",
            n,
        ).format(n=n, names=self._names)
        if said:
            told += " " + said[0]
        made.document.recovered()  # it stands in no file
        QTimer.singleShot(0, made, lambda: made.banner.tell("brought", told))

    def _ask(self, said: list[str]) -> None:
        """Some rows cannot be taken: all, the good ones, or none."""
        faults = said[:-1]
        shown = faults[:SHOWN]
        if len(faults) > SHOWN:
            shown.append(_("... and {n} more.").format(n=len(faults) - SHOWN))
        count = ngettext("{n} row cannot be taken.", "{n} rows cannot be taken.", len(faults)).format(n=len(faults))
        question = Question(
            _("Faults in the lists"),
            f"{self._names}: {count}",
            (Answer("good", _("Take the good rows")), Answer("stay", _("Take nothing"))),
            "stay",
            "\n".join(shown),
        )
        if ask(self._window, question) == "good":
            Bringing(self._window, self._lists, keep_good=True)

    def _slow(self) -> None:
        end_now(self.process)
        self._refuse(silent_words())

    def _failed(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._refuse(_("no second process could be started"))

    def _refuse(self, why: str) -> None:
        self._end()
        told = _("{names} cannot be read: {why}").format(names=self._names, why=why or _("the log tells why"))
        self._window.foot.refuse(told)

    def _end(self) -> None:
        self._patience.stop()
        folder, self._folder = self._folder, None
        drop_folder(folder)
        self.setObjectName("")
        self.deleteLater()
