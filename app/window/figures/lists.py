"""Small tables and lists of the page: facts to read, sources to tick, what is missing to go to."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHeaderView,
    QListWidget,
    QListWidgetItem,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from app.window.enter_key import keeps_enter
from engine.words import _

__all__ = ["Basis", "Facts", "Sources"]

_ROLE = Qt.ItemDataRole.UserRole


class Facts(QTableWidget):
    """Rows to read, as high as they need, so that the page scrolls and they do not. Arrows go through them."""

    def __init__(
        self, name: str, titles: Sequence[str] = (), stretch: Sequence[int] = (), parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._rows: list[tuple[str, ...]] = []
        self._titles = tuple(titles)
        self.setAccessibleName(name)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setTabKeyNavigation(False)
        self.setWordWrap(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setShowGrid(False)
        self.setAlternatingRowColors(True)
        self.verticalHeader().hide()
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        heads = self.horizontalHeader()
        heads.setHighlightSections(False)
        heads.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom)
        self._wide = tuple(stretch)
        if titles:
            heads.setAccessibleName(_("Headings: {name}").format(name=name))
        else:
            heads.hide()

    def show_rows(self, rows: Sequence[Sequence[str]]) -> None:
        """Show these; where one is stays where it is."""
        wanted = [tuple(row) for row in rows]
        if wanted == self._rows:
            return
        at = self.currentRow(), self.currentColumn()
        self._rows = wanted
        count = len(self._titles) or max((len(row) for row in wanted), default=0)
        self.setColumnCount(count)
        if self._titles:
            self.setHorizontalHeaderLabels(list(self._titles))
        self.setRowCount(len(wanted))
        for n, row in enumerate(wanted):
            for m, text in enumerate(row):
                item = QTableWidgetItem(text)
                item.setToolTip(text)
                item.setTextAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
                title = self._titles[m] if self._titles else row[0]
                told = text if m == 0 else _("{title}: {text}").format(title=title, text=text or _("nothing"))
                item.setData(Qt.ItemDataRole.AccessibleTextRole, told)
                self.setItem(n, m, item)
        heads = self.horizontalHeader()
        wide = self._wide or (count - 1,)
        for m in range(count):
            sort = QHeaderView.ResizeMode.Stretch if m in wide else QHeaderView.ResizeMode.ResizeToContents
            heads.setSectionResizeMode(m, sort)
        if 0 <= at[0] < len(wanted):
            self.setCurrentCell(*at)
        self._fit()

    def texts(self) -> list[tuple[str, ...]]:
        """What is shown, row by row."""
        return list(self._rows)

    def _fit(self) -> None:
        self.resizeRowsToContents()
        high = sum(self.rowHeight(n) for n in range(self.rowCount()))
        if self._titles:
            high += self.horizontalHeader().sizeHint().height()
        self.setFixedHeight(high + 4)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's own name. Rows are broken anew."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._fit()

    def changeEvent(self, event: QEvent) -> None:
        """Qt's own name."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._fit()

    def minimumSizeHint(self) -> QSize:
        """It can be narrow."""
        return QSize(120, 20)


class Sources(QListWidget):
    """The sources of a drawing, ticked where they run in the condition shown. The space bar ticks."""

    ticked = Signal(str, bool)  # id, runs

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Sources that run in this condition"))
        self.setAccessibleDescription(_("The space bar has the source run or not"))
        self.itemChanged.connect(self._changed)

    def show_sources(self, sources: Sequence[tuple[str, str, bool]], writable: bool) -> None:
        """Ids, texts and whether each runs."""
        at = self.currentRow()
        with QSignalBlocker(self):
            while self.count() > len(sources):
                self.takeItem(self.count() - 1)
            while self.count() < len(sources):
                self.addItem("")
            for n, (item, text, runs) in enumerate(sources):
                line = self.item(n)
                flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
                line.setFlags(flags | Qt.ItemFlag.ItemIsUserCheckable if writable else flags)
                line.setText(text)
                line.setData(_ROLE, item)
                line.setCheckState(Qt.CheckState.Checked if runs else Qt.CheckState.Unchecked)
                told = _("runs") if runs else _("does not run")
                line.setData(Qt.ItemDataRole.AccessibleTextRole, f"{text}, {told}")
        if self.count():
            self.setCurrentRow(min(max(at, 0), self.count() - 1))

    def _changed(self, line: QListWidgetItem) -> None:
        self.ticked.emit(line.data(_ROLE), line.checkState() == Qt.CheckState.Checked)


class Basis(QListWidget):
    """What is missing, then what the figures rest on. Enter on what is missing leads to its field."""

    field_wanted = Signal(str, str)  # id, field

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("What the figures rest on"))
        self.setAccessibleDescription(_("Enter on something that is not recorded leads to its field"))
        self.setWordWrap(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.setSpacing(1)
        self.itemClicked.connect(self._take)
        self._lines: list[tuple[str, str, str]] = []

    def show_lines(self, lines: Sequence[tuple[str, str, str]]) -> None:
        """Texts, each with the id and field it leads to, "" for none."""
        if list(lines) == self._lines:
            return
        self._lines = list(lines)
        at = self.currentRow()
        self.clear()
        for text, item, field in lines:
            line = QListWidgetItem(text)
            line.setData(_ROLE, (item, field))
            self.addItem(line)
        if self.count():
            self.setCurrentRow(min(max(at, 0), self.count() - 1))

    def texts(self) -> list[str]:
        """What is shown."""
        return [text for text, _item, _field in self._lines]

    def _take(self, line: QListWidgetItem | None) -> None:
        item, field = line.data(_ROLE) if line is not None else ("", "")
        if item:
            self.field_wanted.emit(item, field)

    def event(self, event: QEvent) -> bool:
        """Enter in the list is for the list, whatever the window does with it."""
        return keeps_enter(event) or bool(super().event(event))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name. Enter leads to the field."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._take(self.currentItem())
            event.accept()
        else:
            super().keyPressEvent(event)
