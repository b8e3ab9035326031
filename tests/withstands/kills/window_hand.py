"""A window that is worked with keys until a test kills its process. Forked by `nursery.py`.

What is in the drawing is told before it is kept and after: so the test knows what must come back.
"""

from __future__ import annotations

import hashlib
import os
import random
from pathlib import Path
from typing import Any

from PySide6.QtCore import QCoreApplication, QEvent, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.window import start
from app.window.recovering import LeftBehind, offer_left_behind
from app.window.start import Desk
from engine.files.drawing import dump, load
from engine.files.journal import Journal

K, NONE, CTRL = Qt.Key, Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier
ALT_SHIFT = Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.ShiftModifier
ACTS = (
    (K.Key_D, CTRL),
    (K.Key_T, NONE),
    (K.Key_T, Qt.KeyboardModifier.ShiftModifier),
    (K.Key_D, Qt.KeyboardModifier.ShiftModifier),
    (K.Key_Left, ALT_SHIFT),
    (K.Key_Up, ALT_SHIFT),
    (K.Key_L, NONE),
)  # double, turn, mirror, straighten, align, lead anew
SAMPLE = Path(__file__).parents[3] / "samples" / "launch" / "launch.linewright"


def live(line: Any, asked: dict[str, Any]) -> None:
    """Start the program as a person does, take up what it offers, then work."""
    for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "HOME"):
        os.environ[name] = asked["home"]
    application = QApplication([])
    start.set_up(application)
    _told(line)
    desk = Desk(judging=asked["judging"])
    desk.settings.set("page", "")
    desk.new()
    _take_up(desk, line)
    window = desk.windows[-1]
    if len(desk.windows) == 1:
        opened = desk.open_path(asked["file"], window)
        assert opened is not None
        window = opened
    while window.document.journal is None or (asked["judging"] and not _judge(window)):
        application.processEvents()
    line.tell("ready", _digest(window.document.installation), _judge(window))
    window.activateWindow()
    dice = random.Random(asked["seed"])
    while True:
        _press(window, dice)
        application.processEvents()
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def _judge(window: Any) -> int:
    """The number of the study process, 0 while there is none."""
    judge = window.document.judge
    return 0 if judge is None else int(judge.process_id)


def _take_up(desk: Desk, line: Any) -> None:
    """The dialog of the start, if it comes: what stands first is recovered."""

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, LeftBehind):
            line.tell("offered", [dialog.list.item(n).text() for n in range(dialog.list.count())])
            QTest.mouseClick(dialog.recover, Qt.MouseButton.LeftButton)
            if dialog.isVisible():
                dialog.reject()

    QTimer.singleShot(0, desk, look)
    offer_left_behind(desk)


def _press(window: Any, dice: random.Random) -> None:
    """Something with the keyboard: turn, mirror, align or double all there is, delete the copies, take back, save."""
    board = window.board
    board.setFocus()
    does = dice.choices(("all", "undo", "redo", "save"), (20, 8, 3, 0.4))[0]
    if does != "all":
        QTest.keyClick(board, {"undo": K.Key_Z, "redo": K.Key_Y, "save": K.Key_S}[does], CTRL)
        return
    QTest.keyClick(board, K.Key_A, CTRL)
    few = len(window.document.installation.ids("equipment")) < 30
    weights = (4 if few else 0, *[3] * (len(ACTS) - 1))
    key, keys = dice.choices(ACTS, weights)[0]
    QTest.keyClick(board, key, keys)
    if key == K.Key_D and keys == CTRL and dice.random() < 0.7:  # the copies are chosen now
        QTest.keyClick(board, K.Key_Delete, dice.choice((NONE, Qt.KeyboardModifier.ShiftModifier)))
    QTest.keyClick(board, K.Key_Escape)


def _told(line: Any) -> None:
    """Tell what the drawing is before each edit is kept, and that it is."""
    record, rebase = Journal.record, Journal.rebase

    def told_record(journal: Journal, edit: Any, snapshot: Any, last_id: int, how: str = "do") -> None:
        line.tell("doing", _digest_of(snapshot(), last_id, journal))
        record(journal, edit, snapshot, last_id, how)
        line.tell("done", edit.words)

    def told_rebase(journal: Journal, path: Path, sha256: str, snapshot: Any, last_id: int) -> None:
        line.tell("saved", sha256)
        rebase(journal, path, sha256, snapshot, last_id)

    Journal.record, Journal.rebase = told_record, told_rebase  # type: ignore[method-assign]


def _digest_of(snapshot: Any, last_id: int, journal: Journal) -> str:
    from engine.files.drawing import dump_snapshot

    return hashlib.sha256(dump_snapshot(snapshot, last_id, journal._unknown)).hexdigest()


def _digest(installation: Any) -> str:
    return hashlib.sha256(dump(installation)).hexdigest()


def _warm() -> None:
    """Everything is read before the first child is forked."""
    import app.canvas.board
    import app.canvas.tools.acts
    import app.window.files
    import engine.files.recovery

    assert app
    assert engine
    load(SAMPLE)


_warm()
