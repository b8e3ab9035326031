"""Programs that a test sets against each other, step by step: a real window, driven over a line, and a command line.

Forked by `nursery.py`. What a person would be asked is asked over the line; a save can be made to stop in its middle.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import threading
from pathlib import Path
from typing import Any

from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication, QFileDialog

from app import cli
from app.window import ask as asking
from app.window import crash, files, recovering, start
from app.window.document import Document
from app.window.main import Window
from app.window.start import Desk
from engine.edits import EditError, SetFields
from engine.files import drawing
from engine.files import lock as locking
from engine.files.drawing import dump, load
from engine.files.recovery import left_behind

HERE = Path(__file__)
LOCKS = locking.try_lock


class Stops:
    """Stops a save where its file is whole beside the old one and has not taken its place yet."""

    def __init__(self, line: Any) -> None:
        self.line = line
        self.armed = False
        self.is_saving = False
        self.sync, self.save = os.fsync, drawing.write_bytes
        os.fsync, drawing.write_bytes = self._sync, self._save

    def _save(self, *arguments: Any) -> None:
        self.is_saving = True
        try:
            self.save(*arguments)
        finally:
            self.is_saving = False

    def _sync(self, handle: int) -> None:
        self.sync(handle)
        if self.armed and self.is_saving and threading.current_thread() is threading.main_thread():
            self.armed = False
            self.line.tell("stopped")
            assert self.line.hear() == ["go"]


class Program:
    """A desk with at most one window, as a person would work it."""

    def __init__(self, line: Any, home: str) -> None:
        for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "LOCALAPPDATA", "APPDATA", "HOME"):
            os.environ[name] = home
        self.line = line
        self.stops = Stops(line)
        self.application = QApplication([])
        start.set_up(self.application)
        for module in (asking, files, recovering, crash):
            module.ask = self.ask
        self.desk = Desk(judging=False)
        self.desk.settings.set("page", "")
        QFileDialog.getSaveFileName = self.name_for

    # -- what a person is asked -----------------------------------------------------------------------------------
    def ask(self, _parent: object, question: asking.Question) -> str:
        self.line.tell("asked", question.title, question.text, [answer.key for answer in question.answers])
        return self.heard()

    def name_for(self, *_dialog: Any) -> tuple[str, str]:
        """The name given in the dialog for files; that asks by itself where a file is there."""
        self.line.tell("asked", "file", "", [])
        return self.heard(), ""

    def heard(self) -> str:
        answer = self.line.hear()
        return str(answer[0]) if answer else os._exit(0)

    # -- what a person does ---------------------------------------------------------------------------------------
    def settle(self) -> None:
        for _each in range(3):
            self.application.processEvents()
            QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)

    @property
    def window(self) -> Window | None:
        return self.desk.windows[0] if self.desk.windows else None

    def open(self, path: str) -> bool:
        if self.desk.open_path(path) is None:
            return False
        self.shown()
        return True

    def shown(self) -> None:
        document = self.document
        while document.journal is None and not document.read_only:
            self.application.processEvents()

    @property
    def document(self) -> Document:
        assert self.window is not None
        return self.window.document

    def edit(self, words: str) -> bool:
        try:
            self.document.do(SetFields("vessel", "vessel", (("name", words),), words))
        except EditError:
            return False
        return True

    def undo(self) -> bool:
        self.document.undo()
        return True

    def save(self) -> bool:
        assert self.window is not None
        return files.save(self.window)

    def save_as(self) -> bool:
        assert self.window is not None
        return files.save_as(self.window)

    def close(self) -> bool:
        window = self.window
        assert window is not None
        gone = window.close()
        self.settle()
        return gone

    def recover(self) -> bool:
        """What the start of the program offers, the newest, and the rest for later."""
        found = left_behind(recovering.folder())
        done = bool(found) and recovering.open_left(self.desk, found[0])
        for left in found[1:]:
            left.close()
        if done:
            self.shown()
        return done

    def set_locks(self, fault: int) -> bool:
        _without_locks(fault)
        return True

    def drop_all(self) -> bool:
        """Leave without a question, and without a trace."""
        for window in list(self.desk.windows):
            window.leaving = True
            window.close()
        self.settle()
        for left in left_behind(recovering.folder()):
            left.discard()
        return True

    def state(self) -> dict[str, Any]:
        """What the test compares; "" where no window is open."""
        if self.window is None:
            return {"path": "", "open": False}
        document = self.document
        lock = document.lock
        return {
            "open": True,
            "path": "" if document.path is None else str(document.path),
            "sha256": document.sha256,
            "holds": lock is not None and lock.advisory and not lock.is_lost(),
            "dirty": document.is_dirty,
            "read_only": document.read_only,
            "is": hashlib.sha256(dump(document.installation)).hexdigest(),
            "banner": " ".join(self.window.banner.told().values()),
        }


def window(line: Any, asked: dict[str, Any]) -> None:
    """A program with a window, until it is told no more."""
    program = Program(line, asked["home"])
    line.tell("ready")
    while message := line.hear():
        what, *arguments = message
        if what == "arm":
            program.stops.armed = True
            continue
        done = getattr(program, what)(*arguments)
        program.stops.armed = False
        program.settle()
        line.tell("done", done, program.state())
    program.drop_all()


def command(line: Any, asked: dict[str, Any]) -> None:
    """One command line."""
    for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "LOCALAPPDATA", "HOME"):
        os.environ[name] = asked["home"]
    _without_locks(asked["locks"])
    stops = Stops(line)
    stops.armed = asked["armed"]
    said = io.StringIO()
    with contextlib.redirect_stderr(said), contextlib.redirect_stdout(io.StringIO()):
        code = cli.main(asked["arguments"])
    line.tell("done", code, said.getvalue())


def _without_locks(fault: int) -> None:
    """Where `fault` is the number of a fault: no lock can be had on the drawing's file system, and that is why."""

    def none(_handle: int) -> bool:
        raise OSError(fault, os.strerror(fault))

    locking.try_lock = none if fault else LOCKS


def _warm() -> None:
    """Everything is read before the first child is forked."""
    import app.canvas.board
    import app.window.quick.line
    import engine.check
    import engine.files.issues
    import engine.files.journal
    import engine.merging

    assert app
    assert engine
    sample = HERE.parents[3] / "samples" / "launch" / "launch.linewright"
    load(sample)
    with contextlib.redirect_stdout(io.StringIO()):
        cli.main(["check", "--fix-list", str(sample)])


_warm()
