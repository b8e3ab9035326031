"""What the tests of the board share: the ketch on a board that is shown, a tool that writes down what it hears."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

pytest.importorskip("PySide6")

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QKeyEvent, QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.canvas.board import Board
from app.canvas.tool import Hit, Spot, Tool
from app.drawing.screen import Screen
from app.judgement import SheetPicture
from app.window.document import Document
from engine.files.drawing import load
from engine.installation import Installation
from engine.picture import Text

KETCH = Path(__file__).parents[3] / "samples" / "ketch" / "ketch.linewright"


class Notebook(Tool):
    """Writes down what the board tells it."""

    NAME = "notebook"

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self.heard: list[tuple[str, Spot, Hit]] = []
        self.keys: list[int] = []

    def press(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        self.heard.append(("press", spot, hit))

    def move(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        self.heard.append(("move", spot, hit))

    def release(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        self.heard.append(("release", spot, hit))

    def double(self, spot: Spot, hit: Hit) -> None:
        self.heard.append(("double", spot, hit))

    def key(self, event: QKeyEvent) -> bool:
        self.keys.append(event.key())
        return False

    def put_down(self) -> None:
        self.heard.append(("put down", Spot(0, 0, 0, 0), Hit()))

    def last(self, what: str) -> tuple[Spot, Hit]:
        return next((spot, hit) for told, spot, hit in reversed(self.heard) if told == what)


class Eye:
    """A person before the board: finds things on it, works mouse and wheel, hears what is told."""

    def __init__(self, board: Board, qtbot: QtBot) -> None:
        self.board, self.qtbot, self.document = board, qtbot, board.document
        self.pointed: list[str] = []
        self.noted: list[int] = []
        self.asked: list[str] = []
        self.refused: list[str] = []
        board.pointed.connect(self.pointed.append)
        board.noted.connect(self.noted.append)
        board.asked.connect(self.asked.append)
        board.refused.connect(self.refused.append)

    # -- what is there ------------------------------------------------------------------------------------------
    def id(self, designation: str) -> str:
        found = self.document.installation.find(designation)
        assert len(found) == 1, (designation, found)
        return found[0][1]

    def placed(self, designation: str) -> str:
        item = self.id(designation)
        return next(p.id for p in self.board.scene_now().on(self.document.sheet) if p.equipment == item)

    def pixel(self, x: float, y: float) -> QPoint:
        return self.board.to_viewport(x, y).toPoint()

    def middle(self, item: str) -> QPoint:
        box = self.board.finder().box_of(item)
        assert box is not None
        return self.pixel((box.left + box.right) / 2, (box.top + box.bottom) / 2)

    def owners(self) -> set[str]:
        return set(self.board.shown.items.of)

    def texts(self, owner: str) -> list[str]:
        return [p.text for p in self.board.shown.items.of[owner] if isinstance(p, Text)]

    def items(self) -> int:
        return len(self.board.scene().items())

    def image(self) -> QImage:
        QApplication.processEvents()
        return self.board.viewport().grab().toImage().convertToFormat(QImage.Format.Format_RGB32)

    # -- what is done -------------------------------------------------------------------------------------------
    def draw(self, sheet: str = "", result: object = None) -> SheetPicture:
        """What the study process would send for a sheet."""
        screen = Screen()
        screen.set(self.document.snapshot(), self.document.condition)
        if result is not None:
            screen.note(result)  # type: ignore[arg-type]  # a `CheckResult`
        made = screen.picture(sheet or self.document.sheet, 1)
        self.document._drawn(made)
        return made

    def move(self, at: QPoint, buttons: Qt.MouseButton = Qt.MouseButton.NoButton) -> None:
        view = self.board.viewport()
        event = QMouseEvent(
            QEvent.Type.MouseMove,
            QPointF(at),
            QPointF(view.mapToGlobal(at)),
            Qt.MouseButton.NoButton,
            buttons,
            Qt.KeyboardModifier.NoModifier,
        )
        QApplication.sendEvent(view, event)

    def click(self, at: QPoint) -> None:
        self.qtbot.mouseClick(self.board.viewport(), Qt.MouseButton.LeftButton, pos=at)

    def key(self, key: Qt.Key, keys: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        self.qtbot.keyClick(self.board, key, keys)

    def wheel(
        self,
        at: QPoint,
        notches: float = 0.0,
        pixels: QPoint | None = None,
        keys: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
    ) -> None:
        """A wheel, or with `pixels` two fingers on a touchpad."""
        view = self.board.viewport()
        event = QWheelEvent(
            QPointF(at),
            QPointF(view.mapToGlobal(at)),
            pixels or QPoint(),
            pixels or QPoint(0, round(120 * notches)),
            Qt.MouseButton.NoButton,
            keys,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(view, event)


@pytest.fixture
def on_board(qtbot: QtBot) -> Callable[[Installation], Eye]:
    """A drawing on a board that is shown, 1200 by 800 pixels."""

    def made(installation: Installation) -> Eye:
        document = Document(installation)
        board = Board(document)
        document.setParent(board)
        qtbot.addWidget(board)
        board.resize(1200, 800)
        with qtbot.waitExposed(board):
            board.show()
        board.setFocus()
        QApplication.processEvents()
        return Eye(board, qtbot)

    return made


@pytest.fixture
def ketch(on_board: Callable[[Installation], Eye]) -> Eye:
    """The ketch, her third sheet shown."""
    eye = on_board(load(KETCH).installation)
    eye.document.turn_to(eye.document.sheets()[2])
    QApplication.processEvents()
    return eye


@pytest.fixture
def notebook(ketch: Eye) -> Notebook:
    """In hand on the ketch's board."""
    tool = Notebook(ketch.board)
    ketch.board.take_up(tool)
    return tool
