"""What a tool of the board is: it hears pointer and keys, shows a preview, and ends in one edit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["Hit", "Spot", "Tool"]


class Spot(NamedTuple):
    """A point of the sheet: in mm, and the nearest point of the 2.5 mm grid from the frame's upper left corner."""

    x: float
    y: float
    column: int
    row: int


class Hit(NamedTuple):
    """What is under the pointer, the smallest thing first: a terminal before its equipment, equipment before a run."""

    kind: Literal["terminal", "equipment", "run", "remark", "enclosure", "note", "flag", ""] = ""
    item: str = ""  # equipment, run, remark or enclosure id
    placement: str = ""  # of a terminal or equipment
    terminal: str = ""
    number: int = 0  # of a note or flag
    segment: int = -1  # of a run: which stretch
    label: bool = False  # on what is written there rather than on the thing itself


class Tool:
    """A tool. The board owns one at a time; `Board.take_up` changes it and calls `put_down` on the old one."""

    NAME = ""  # "choose", "place", "run", "operate", ...
    TITLE = ""  # message key
    HINT = ""  # message key: one sentence for the foot of the window
    CURSOR = Qt.CursorShape.ArrowCursor

    def __init__(self, board: Board) -> None:
        self.board = board

    def take_up(self) -> None:
        """It is in hand from now on."""

    def press(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """The left button goes down."""

    def move(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """The pointer moves, button down or not."""

    def release(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """The left button comes up."""

    def double(self, spot: Spot, hit: Hit) -> None:
        """A double click."""

    def context(self, spot: Spot, hit: Hit) -> bool:
        """A right click, or the menu key; returns whether it was used, else the window shows its menu."""
        return False

    def key(self, event: QKeyEvent) -> bool:
        """A key; returns whether it was used."""
        return False

    def leave(self) -> None:
        """The pointer leaves the board."""

    def put_down(self) -> None:
        """Give up what is under way and take the preview away: another tool is taken up, or Escape."""
