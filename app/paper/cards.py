"""Cards to be hung up aboard: large type, numbered steps, small pictures; what does not fit goes on to the next card.

Type in steps has capitals 5 mm high, on either paper; never smaller, never cut. Height of type in mm of a capital.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple, TypeAlias

from engine.cautions import CAUTIONS
from engine.picture import Picture, Primitive, Text, line, wrap_text
from engine.words import _

__all__ = ["SIZES", "STEP", "Cards", "Drawn", "Head"]

SIZES = {"A5": (148.0, 210.0), "A4": (210.0, 297.0)}  # ISO 216, upright
STEP = 5.0  # capitals in a step
_HEAD, _NOTE, _SMALL = 5.0, 3.5, 2.5
_PITCH = {STEP: 7.6, _NOTE: 5.4, _SMALL: 3.9}  # base line to base line
_EDGE = 8.0
_NUMBER = 13.0  # column of the numbers
_GAP = 4.0  # between text and picture

Lines: TypeAlias = Sequence[tuple[str, bool]]  # text, whether bold


class Head(NamedTuple):
    """What stands at the top of every card of a set."""

    boat: str
    title: str
    about: str = ""  # drawing, revision, date: small


class Drawn(NamedTuple):
    """A small picture: how much room it takes, mm, and what draws it from its upper left corner."""

    width: float
    height: float
    draw: Callable[[float, float], Sequence[Primitive]]


class Cards:
    """Puts one thing under the other, from card to card."""

    def __init__(self, size: str, head: Head) -> None:
        self.width, self.height = SIZES[size]
        self.head = head
        self.left, self.right = _EDGE, self.width - _EDGE
        self._bottom = self.height - _EDGE - self._foot_height()
        self._cards: list[list[Primitive]] = []
        self._y = 0.0
        self._open()

    # -- cards ------------------------------------------------------------------------------------------------------
    def _wide(self, picture: Drawn | None = None) -> float:
        return self.right - self.left - _NUMBER - (picture.width + _GAP if picture is not None else 0.0)

    def _foot(self) -> list[tuple[str, bool]]:
        """The cautions, line by line: each card may hang by itself."""
        wide, last = self.right - self.left, len(CAUTIONS) - 1
        return [
            (part, n == last) for n, text in enumerate(CAUTIONS) for part in wrap_text(_(text), wide, _SMALL, n == last)
        ]

    def _foot_height(self) -> float:
        return len(self._foot()) * _PITCH[_SMALL] + 2.0

    def _open(self) -> None:
        self._cards.append([])
        self._y = _EDGE
        for text, height, bold in ((self.head.boat, _NOTE, False), (self.head.title, _HEAD, True)):
            for part in wrap_text(text, self.right - self.left - 22.0 * (height == _NOTE), height, bold):
                self._y += height
                self._put(Text(self.left, self._y, part, height, bold=bold))
                self._y += 2.4
        if self.head.about:
            for part in wrap_text(self.head.about, self.right - self.left, _SMALL):
                self._y += _SMALL
                self._put(Text(self.left, self._y, part, _SMALL))
                self._y += 1.4
        self._put(line(self.left, self._y, self.right, self._y, 0.7))
        self._y += 2.0

    def _put(self, *primitives: Primitive) -> None:
        self._cards[-1].extend(primitives)

    @property
    def _fresh(self) -> float:
        """Room for things on a card that has only its head."""
        lines = sum(
            len(wrap_text(text, self.right - self.left - 22.0 * (height == _NOTE), height, bold)) * (height + 2.4)
            for text, height, bold in ((self.head.boat, _NOTE, False), (self.head.title, _HEAD, True))
        )
        about = wrap_text(self.head.about, self.right - self.left, _SMALL) if self.head.about else ()
        return self._bottom - _EDGE - lines - len(about) * (_SMALL + 1.4) - 2.0

    def _keep(self, high: float) -> None:
        """On to the next card unless so much room is left; what is taller than a card runs on."""
        if self._y + high > self._bottom and high <= self._fresh:
            self._open()

    # -- what stands on them ----------------------------------------------------------------------------------------
    def step(self, number: str, lines: Lines, picture: Drawn | None = None) -> None:
        """A numbered step in large type, with a rule below it. A step stays on one card where that can hold it."""
        wide = self._wide(picture)
        parts = [(part, bold) for text, bold in lines if text for part in wrap_text(text, wide, STEP, bold)]
        high = max(len(parts) * _PITCH[STEP], picture.height if picture is not None else 0.0) + 3.0
        self._keep(high)
        top = self._y
        if picture is not None:
            if top + picture.height > self._bottom:
                self._open()
                top = self._y
            self._put(*picture.draw(self.right - picture.width, top + 1.0))
        self._put(Text(self.left, top + 1.0 + STEP, number, STEP, bold=True))
        beside = top + (picture.height if picture is not None else 0.0)
        for part, bold in parts:
            if self._y + _PITCH[STEP] > self._bottom:
                self._open()
                beside = self._y
            self._put(Text(self.left + _NUMBER, self._y + 1.0 + STEP, part, STEP, bold=bold))
            self._y += _PITCH[STEP]
        self._y = max(self._y, beside) + 1.8
        self._put(line(self.left, self._y, self.right, self._y, 0.25, "grey"))
        self._y += 1.2

    def heading(self, text: str, below: float = 20.0) -> None:
        """A heading over steps; `below`: room that must be left under it, mm."""
        parts = wrap_text(text, self.right - self.left, STEP, bold=True)
        self._keep(len(parts) * _PITCH[STEP] + below)
        for part in parts:
            self._put(Text(self.left, self._y + 1.5 + STEP, part, STEP, bold=True))
            self._y += _PITCH[STEP]
        self._y += 1.5

    def note(self, text: str, *, bold: bool = False) -> None:
        """A paragraph beside the steps."""
        height = _NOTE
        parts = wrap_text(text, self.right - self.left, height, bold)
        self._keep(len(parts) * _PITCH[height] + 1.0)
        for part in parts:
            if self._y + _PITCH[height] > self._bottom:
                self._open()
            self._put(Text(self.left, self._y + height + 1.0, part, height, bold=bold))
            self._y += _PITCH[height]
        self._y += 1.2

    def finished(self) -> tuple[Picture, ...]:
        """The cards, cautions at their feet, numbered where there are several."""
        made = []
        count = len(self._cards)
        for number, primitives in enumerate(self._cards, 1):
            foot: list[Primitive] = []
            y = self.height - _EDGE - self._foot_height() + 2.0
            for part, bold in self._foot():
                y += _PITCH[_SMALL]
                foot.append(Text(self.left, y, part, _SMALL, bold=bold))
            if count > 1:
                told = _("card {number} of {count}").format(number=number, count=count)
                foot.append(Text(self.right, _EDGE + _NOTE, told, _SMALL, "end"))
            made.append(Picture(self.width, self.height, (*primitives, *foot), f"{self.head.title} {number}"))
        return tuple(made)
