"""The list of differences: headings between them, each difference with its sign, its fields and where it stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from app.drawing.redlines.entries import Entry
from app.drawing.redlines.signs import sign_text
from app.window.comparing.filling import Filling
from app.window.enter_key import keeps_enter
from engine.words import _

__all__ = ["DifferenceList"]

_ENTRY = Qt.ItemDataRole.UserRole


class DifferenceList(QListWidget):
    """Up and Down walk through the differences; headings are passed over."""

    walked = Signal(object)  # Entry
    escaped = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("What differs"))
        self.setWordWrap(True)
        self.setSpacing(2)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.currentItemChanged.connect(self._walked)
        self._is_filling = False
        self.setLayoutMode(QListWidget.LayoutMode.Batched)
        self.filling = Filling(self)

    @property
    def entries(self) -> list[Entry]:
        """The differences listed."""
        some = (self.item(row).data(_ENTRY) for row in range(self.count()))
        return [entry for entry in some if entry is not None]

    def current(self) -> Entry | None:
        """The one that is marked."""
        item = self.currentItem()
        return None if item is None else item.data(_ENTRY)

    def fill(self, entries: Sequence[Entry], where: dict[int, str]) -> None:
        """List them anew, many of them bit by bit; what was marked stays marked, if it is there still."""
        before = self.current()
        self.filling.begin(self._lines(tuple(entries), dict(where), before))

    def _lines(self, entries: Sequence[Entry], where: dict[int, str], before: Entry | None) -> Iterator[None]:
        self._is_filling = True
        self.clear()
        section = ""
        for entry in entries:
            self._is_filling = True
            if entry.section != section:
                section = entry.section
                self._head(section)
            text = told(entry, where.get(entry.number, ""))
            item = QListWidgetItem(text)
            item.setData(_ENTRY, entry)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{_spoken(entry)}, {text}".replace("\n", ", "))
            self.addItem(item)
            if before is not None and _same(entry, before) and self.currentRow() < 0:
                self.setCurrentRow(self.count() - 1)
            self._is_filling = False  # a person may walk while the rest is listed
            yield
        self._is_filling = False

    def walk(self, by: int) -> None:
        """So many differences on, as far as there are any."""
        rows = [row for row in range(self.count()) if self.item(row).data(_ENTRY) is not None]
        if not rows:
            return
        now = self.currentRow()
        at = rows.index(now) + by if now in rows else (0 if by > 0 else len(rows) - 1)
        self.setCurrentRow(rows[min(max(at, 0), len(rows) - 1)])

    def show_number(self, number: int) -> None:
        """Mark the difference of a number."""
        for row in range(self.count()):
            entry = self.item(row).data(_ENTRY)
            if entry is not None and entry.number == number:
                self.setCurrentRow(row)

    def event(self, event: QEvent) -> bool:
        """Qt's own name. Enter is for it."""
        return keeps_enter(event) or super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        key = Qt.Key(event.key())
        steps = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1, Qt.Key.Key_PageDown: 8, Qt.Key.Key_PageUp: -8}
        if key in steps and not event.modifiers():
            self.walk(steps[key])
        elif key == Qt.Key.Key_Escape:
            self.escaped.emit()
        else:
            super().keyPressEvent(event)

    def _head(self, text: str) -> None:
        item = QListWidgetItem(text)
        item.setFlags(Qt.ItemFlag.ItemIsEnabled)
        font = self.font()
        font.setBold(True)
        item.setFont(font)
        self.addItem(item)

    def _walked(self, item: QListWidgetItem | None, _before: object) -> None:
        entry = None if item is None else item.data(_ENTRY)
        if entry is not None and not self._is_filling:
            self.walked.emit(entry)


def _same(one: Entry, other: Entry) -> bool:
    """Whether two tell of one thing; numbers move when another difference comes or goes."""
    return (one.how, one.table, one.item, one.was) == (other.how, other.table, other.item, other.was) and (
        bool(one.item or one.was) or one.name == other.name
    )


def told(entry: Entry, where: str) -> str:
    """A difference as the list has it."""
    lines = [f"{sign_text(entry.how, entry.number)}   {entry.name}", *entry.fields]
    lines.extend(part for part in (entry.because, where) if part)
    return "\n".join(lines)


def _spoken(entry: Entry) -> str:
    return {"added": _("added"), "removed": _("removed"), "changed": _("changed")}[entry.how]
