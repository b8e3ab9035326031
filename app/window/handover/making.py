"""The command line at work in a process of its own: a document or the pack being made, told how far it is."""

from __future__ import annotations

import contextlib
import logging
import os
import re
import shutil
import signal
import sys
import tempfile
from pathlib import Path

from PySide6.QtCore import QObject, QProcess, QTimer, Signal

from app.window.document import Document
from app.window.surroundings import drop_folder, end_now, ended_words, environment, patience, said_words, silent_words
from app.window.underlay.saving import dump_elsewhere
from engine.books import ENDING as BOOK_ENDING
from engine.files.atomic import write_together
from engine.files.errors import reason
from engine.words import _

__all__ = ["Making"]

PATIENCE_MS = 3_000  # until a process that was told to stop is ended
_FAR = re.compile(r"(\d+) .{1,20}? (\d+): (.+)", re.DOTALL)  # "3 of 9: Parts list", in any language
log = logging.getLogger(__name__)


class Making(QObject):
    """One call of the command line on the drawing as it is now, saved or not.

    `out` is the folder of its own that files go to that are copied or shown later; it lives until `put_away`. Where the
    window closes it ends at once and leaves nothing.
    """

    went = Signal(int, int, str)  # n of m, title
    made = Signal(object)  # list of sentences for the person: all is written
    failed = Signal(str)  # why, one sentence
    stopped = Signal()  # by the person; nothing was written

    def __init__(self, parent: QObject, document: Document) -> None:
        super().__init__(parent)
        self.setObjectName("printing")  # by which the desk finds it
        self.document = document
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._told: list[str] = []
        self._half = b""  # of a line that is not whole yet
        self._is_stopping = False
        self._is_ended = False
        self._stages_in: Path | None = None
        self._number = 0  # of the process
        self.process = QProcess(self)
        self.process.setProcessEnvironment(environment())
        self.process.readyReadStandardError.connect(self._hear)
        self.process.finished.connect(self._ended)
        self.process.errorOccurred.connect(self._not_started)
        self._silence = patience(self.process, self._lose_patience)
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.setInterval(PATIENCE_MS)
        self._patience.timeout.connect(self.process.kill)

    @property
    def out(self) -> Path:
        """Where the process writes what is copied or shown later."""
        assert self._folder is not None
        return Path(self._folder.name) / "out"

    @property
    def is_going(self) -> bool:
        """Whether the process is at work."""
        return not self._is_ended

    def start(
        self, command: tuple[str, ...], target: str, options: tuple[str, ...], stages_in: Path | None = None
    ) -> None:
        """Call `command` on the drawing; `target` is a file name in `out`, or a whole path.

        `stages_in`: the folder in which the process keeps what is not finished.
        """
        self._stages_in = stages_in
        document = self.document
        try:
            self._folder = tempfile.TemporaryDirectory(prefix="linewright-")
            self.out.mkdir()
            name = document.path.name if document.path is not None else "drawing.linewright"
            copy = Path(self._folder.name) / name
            copy.write_bytes(dump_elsewhere(document))
        except OSError as fault:
            self._end()
            self.failed.emit(reason(fault))
            return
        told = ["-P", "-m", "app.cli", *command, str(copy), "-o", str(self.out / target), *options]
        book = document.snapshot().settings.book
        if book.endswith(BOOK_ENDING) and document.path is not None:  # a yard's own stands beside the drawing
            told += ["--book", str(document.path.absolute().parent / Path(book).name)]
        if document.installation.tables["photographs"] and ("survey" in command or command == ("pack",)):
            for folder in _photographs_of(document):  # of a copy of the drawing they do not lie beside it
                told += ["--photographs", str(folder)]
        self.process.start(sys.executable, told)
        self._number = int(self.process.processId())

    def give_up(self) -> None:
        """The person does not want it any more: it is asked to end, and ended where it does not."""
        if self._is_ended or self._is_stopping:
            return
        self._is_stopping = True
        if os.name == "posix" and self._number:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self._number, signal.SIGINT)  # it takes away what is half written, then ends
            self._patience.start()
        else:
            self.process.kill()

    def stop(self) -> None:
        """The window goes: it is given up, and nothing of it stays."""
        if self._is_ended:
            self.put_away()
            return
        self._is_stopping = True
        self._end()
        end_now(self.process)
        self._sweep()
        self.put_away()

    def put_away(self) -> None:
        """What was made has been copied or is not wanted: its folder goes, and this with it."""
        folder, self._folder = self._folder, None
        drop_folder(folder)
        self.setObjectName("")
        self.deleteLater()

    def write_beside(self, target: Path) -> list[Path]:
        """Copy what was made to where `target` is. Returns the files written. Raises `OSError`."""
        made = self.files()
        written = [target.with_name(file.name) for file in made]
        write_together((path, file.read_bytes()) for path, file in zip(written, made, strict=True))
        return written

    def files(self) -> list[Path]:
        """What was made, by name."""
        return sorted(path for path in self.out.iterdir() if path.is_file())

    # -- the process ----------------------------------------------------------------------------------------------
    def _hear(self) -> None:
        self._silence.start()
        *lines, self._half = (self._half + bytes(self.process.readAllStandardError().data())).split(b"\n")
        for raw in lines:
            line = raw.decode(errors="replace").strip()
            far = _FAR.fullmatch(line)
            if far and int(far[1]) <= int(far[2]):
                self.went.emit(int(far[1]), int(far[2]), far[3])
            elif line:
                self._told.append(line)

    def _ended(self, code: int, status: QProcess.ExitStatus) -> None:
        self._half += b"\n"
        self._hear()
        clean = status == QProcess.ExitStatus.NormalExit
        if not clean or code == 130:
            self._sweep()
        self._end()
        if self._is_stopping and (not clean or code == 130):
            self.stopped.emit()
        elif clean and code in (0, 1) and not self._says_no():
            self.made.emit(list(self._told))
        else:
            log.warning("the process of the paper ended with %d: %s", code, " / ".join(self._told))
            self.failed.emit(said_words(self._told) if clean else ended_words())

    def _lose_patience(self) -> None:
        """It has not said for long how far it is."""
        if not self._is_ended:
            end_now(self.process)
            self._sweep()
            self._end()
            self.failed.emit(silent_words())

    def _says_no(self) -> bool:
        """A process that never was ours ends with 1 too, and has written nothing."""
        return self._stages_in is None and not self.files()

    def _not_started(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._end()
            self.failed.emit(_("no second process could be started"))

    def _end(self) -> None:
        self._is_ended = True
        self._patience.stop()
        self._silence.stop()

    def _sweep(self) -> None:
        """What a process that was ended had not finished: it is named after its number."""
        if self._stages_in is None or not self._number:
            return
        with contextlib.suppress(OSError):
            for path in self._stages_in.glob(f".linewright-{self._number}-*.part"):
                if path.is_dir():
                    shutil.rmtree(path, ignore_errors=True)
                else:
                    path.unlink(missing_ok=True)


def _photographs_of(document: Document) -> tuple[Path, ...]:
    """The folders in which photographs of a drawing may lie."""
    from app.photographs.store import store_of, waiting_folder

    return (store_of(document.path).folder, *document.photographs_at, waiting_folder())
