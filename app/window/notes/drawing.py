"""How a row of notes is drawn: the number in its circle, the signal word in bold, the sentence broken into lines."""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QModelIndex, QObject, QPersistentModelIndex, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPalette, QPen
from PySide6.QtWidgets import QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from app.text_report import WORD_NAMES
from app.window.notes.lines import Line
from app.window.notes.model import LINE_ROLE, STALE_ROLE
from engine.words import _

__all__ = ["NoteDrawing", "word_colour"]

PAD, GAP = 6, 6  # px, around and between
# second to the word itself; each at least 4.5 to 1 on the paper of its kind
_LIGHT = {"danger": "#a8071a", "warning": "#8f4a00", "caution": "#6b5600", "notice": "#0b4f9e"}
_DARK = {"danger": "#ff9c9c", "warning": "#ffb86b", "caution": "#f0d970", "notice": "#9cc8ff"}


def word_colour(word: str, palette: QPalette) -> QColor:
    """The colour that goes with a signal word."""
    is_dark = palette.color(QPalette.ColorRole.Base).lightness() < 128
    return QColor((_DARK if is_dark else _LIGHT)[word])


class _Part(NamedTuple):
    """A text of a row, broken into lines, from where on it stands."""

    lines: list[str]
    left: int
    top: int
    font: QFont
    colour: str = ""  # a signal word's, "" plain


class _Hand:
    """A font and the widths of the words met in it, so that breaking lines is cheap."""

    def __init__(self, font: QFont) -> None:
        self.font = font
        self.metrics = QFontMetrics(font)
        self.pitch = self.metrics.height()
        self._widths: dict[str, int] = {}

    def width(self, word: str) -> int:
        """Of a word, in px."""
        found = self._widths.get(word)
        if found is None:
            if len(self._widths) > 50_000:
                self._widths.clear()
            found = self._widths[word] = self.metrics.horizontalAdvance(word)
        return found

    def broken(self, text: str, room: int) -> list[str]:
        """The lines of a text where there are so many px; a word longer than that is broken where it must be."""
        made: list[str] = []
        gap, line, wide = self.width(" "), "", 0
        for word in text.split(" "):
            its = self.width(word)
            if line and wide + gap + its > room:
                made.append(line)
                line, wide = word, its
            else:
                line, wide = (f"{line} {word}", wide + gap + its) if line else (word, its)
            while wide > room and len(line) > 1:
                n = max(len(line) * room // wide, 1)
                while n > 1 and self.metrics.horizontalAdvance(line[:n]) > room:
                    n -= 1
                made.append(line[:n])
                line = line[n:]
                wide = self.metrics.horizontalAdvance(line)
        return [*made, line]


class NoteDrawing(QStyledItemDelegate):
    """Draws rows of notes as wide as the list is."""

    def __init__(self, view: QListView) -> None:
        super().__init__(view)
        self._view: QObject = view
        self._hands: tuple[_Hand, _Hand] | None = None  # plain, bold

    def forget_font(self) -> None:
        """The list is written in another font from now on."""
        self._hands = None

    def _written(self) -> tuple[_Hand, _Hand]:
        if self._hands is None:
            view = self._view
            assert isinstance(view, QListView)
            font = QFont(view.font())
            bold = QFont(font)
            bold.setBold(True)
            self._hands = _Hand(font), _Hand(bold)
        return self._hands

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        """As high as the texts need in the width there is."""
        view = self._view
        assert isinstance(view, QListView)
        wide = max(view.viewport().width(), 120)
        line: Line = index.data(LINE_ROLE)
        return QSize(wide, _parts(line, 0, 0, wide, *self._written())[1])

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Draw a row."""
        line: Line = index.data(LINE_ROLE)
        is_chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        rect: QRect = option.rect
        palette: QPalette = option.palette
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        role = QPalette.ColorRole
        if is_chosen:
            painter.fillRect(rect, palette.color(role.Highlight))
        elif line.kind == "heading":
            painter.fillRect(rect, palette.color(role.AlternateBase))
        plain = palette.color(role.HighlightedText if is_chosen else role.Text)
        is_pale = bool(index.data(STALE_ROLE)) and not is_chosen and line.kind != "heading"
        if is_pale:
            plain = _mixed(plain, palette.color(role.Base))
        plain_hand, bold_hand = self._written()
        parts, _high = _parts(line, rect.left(), rect.top(), rect.width(), plain_hand, bold_hand)
        for part in parts:
            colour = word_colour(part.colour, palette) if part.colour and not is_chosen and not is_pale else plain
            painter.setPen(colour)
            painter.setFont(part.font)
            metrics = painter.fontMetrics()
            base = part.top + metrics.ascent()
            for text in part.lines:
                painter.drawText(part.left, base, text)
                base += metrics.height()
        if line.number:
            _draw_number(painter, line, rect, plain, option.font)
        if line.kind != "text":
            painter.setPen(QPen(palette.color(role.Mid), 1))
            painter.drawLine(rect.bottomLeft(), rect.bottomRight())
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(plain, 1, Qt.PenStyle.DotLine))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(QRectF(rect).adjusted(1.5, 1.5, -1.5, -2.5))
        painter.restore()


def _mixed(a: QColor, b: QColor) -> QColor:
    """Seven parts of one, three of the other: pale, and still read easily."""
    return QColor(*(round(0.7 * x + 0.3 * y) for x, y in zip(a.getRgb()[:3], b.getRgb()[:3], strict=True)))


def _draw_number(painter: QPainter, line: Line, rect: QRect, colour: QColor, font: QFont) -> None:
    metrics = QFontMetrics(font)
    across = metrics.height() + 6
    text = str(line.number)
    wide = max(across, metrics.horizontalAdvance(text) + 10)
    ring = QRectF(rect.left() + PAD, rect.top() + PAD - 1, wide, across)
    painter.setPen(QPen(colour, 1.3))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(ring, across / 2, across / 2)
    painter.setFont(font)
    painter.drawText(ring, int(Qt.AlignmentFlag.AlignCenter), text)


def _parts(line: Line, left: int, top: int, width: int, plain: _Hand, bold: _Hand) -> tuple[list[_Part], int]:
    """The texts of a row and its height."""
    first = top
    left, top = left + PAD, top + PAD
    room = width - 2 * PAD
    made: list[_Part] = []

    def put(text: str, hand: _Hand, indent: int = 0, colour: str = "") -> None:
        nonlocal top
        lines = hand.broken(text, max(room - indent, 40))
        made.append(_Part(lines, left + indent, top, hand.font, colour))
        top += len(lines) * hand.pitch + 1

    if line.kind in ("finding", "waived"):
        indent = plain.pitch + 10 if line.kind == "finding" else GAP
        head = _("{word}  {rule}").format(word=_(WORD_NAMES[line.word]), rule=line.title)
        if line.sheet:
            head = _("{head}  (sheet\u00a0{sheet})").format(head=head, sheet=line.sheet)
        put(head, bold, indent, line.word)
        put(line.text, plain, indent)
        if line.more:
            put(line.more, plain, indent)
    elif line.kind == "gap":
        put(line.text, bold, 2 * GAP)
        if line.more:
            put(line.more, plain, 2 * GAP)
    else:
        put(line.text, bold if line.kind in ("heading", "rule") else plain, GAP if line.kind == "rule" else 0)
    return made, max(top - first + PAD - 1, plain.pitch + 10 if line.number else 0)
