"""The page that finds anything: hits as one types, each with its sheet and zone; walked through with Up and Down."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QShowEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QListWidget, QListWidgetItem, QPushButton, QVBoxLayout, QWidget

from app.drawing.whereabouts import Whereabouts
from app.window.document import Change, Document
from app.window.enter_key import keeps_enter
from engine.finding_things import Found, Hit, Index
from engine.words import _, ngettext

__all__ = ["SeekingPage"]

MOST = 120  # hits in the list: whoever sees more types another word
SLICE_S = 0.012  # for reading a large drawing, between two turns of the event loop
_STEPS = {
    Qt.Key.Key_Down: 1,
    Qt.Key.Key_Up: -1,
    Qt.Key.Key_PageDown: 8,
    Qt.Key.Key_PageUp: -8,
}


class SeekingPage(QWidget):
    """Typing finds; Up and Down walk through the hits and show each; Enter goes to the sheet."""

    begun = Signal()  # the place where one is now is one to come back to
    shown = Signal(str)  # id of a hit: bring it into view and choose it
    gone_to = Signal()  # go on at the sheet
    chosen = Signal(object)  # ids: choose them all

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.index = Index()
        self.found = Found((), 0)
        self._where: Whereabouts | None = None
        self._begun = False
        self.setAccessibleName(_("Find"))
        self.line = QLineEdit()
        self.line.setPlaceholderText(_("Designation, label, 300 A, size, place, status …"))
        self.line.setAccessibleName(_("What is looked for"))
        self.line.setClearButtonEnabled(True)
        self.head = QLabel()
        self.head.setWordWrap(True)
        self.head.setTextFormat(Qt.TextFormat.PlainText)
        self.head.setMinimumWidth(1)
        self.head.setAccessibleDescription(_("How many things were found"))
        self.list = QListWidget()
        self.list.setAccessibleName(_("What was found"))
        self.list.setWordWrap(True)
        self.list.setSpacing(2)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.all = QPushButton(_("&Choose all"))
        self.all.setAccessibleName(_("Choose all"))
        self.all.setToolTip(_("Choose everything that was found, for the page of particulars or another change."))
        self.all.setAccessibleDescription(self.all.toolTip())
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        for widget in (self.line, self.head):
            box.addWidget(widget)
        box.addWidget(self.list, 1)
        box.addWidget(self.all)
        self._reading = QTimer(self)
        self._reading.setInterval(0)
        self._reading.timeout.connect(self._read)
        self.line.textChanged.connect(self._find)
        self.line.installEventFilter(self)
        self.list.installEventFilter(self)
        self.list.currentRowChanged.connect(self._walked)
        self.list.itemActivated.connect(self._go)
        self.all.clicked.connect(self.choose_all)
        document.changed.connect(self._changed)
        self._tell()

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 320)

    def begin(self) -> None:
        """Take the focus: what is looked for, ready to be typed over."""
        self._begun = False
        self.line.setFocus(Qt.FocusReason.TabFocusReason)
        self.line.selectAll()

    # -- reading the drawing ------------------------------------------------------------------------------------
    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page reads nothing; it catches up when it is shown."""
        super().showEvent(event)
        self._reading.start()

    def hideEvent(self, event: QHideEvent) -> None:
        """Nothing is read for a page that nobody sees."""
        self._reading.stop()
        super().hideEvent(event)

    def _changed(self, _change: Change) -> None:
        if self.isVisible():
            self._reading.start()

    def _read(self) -> None:
        """Read some of what has changed; once all of it is read, look again."""
        if self.index.follow(self.document.snapshot(), SLICE_S):
            self._reading.stop()
            self._find()

    # -- finding ------------------------------------------------------------------------------------------------
    def _find(self, _text: str = "") -> None:
        words = self.line.text()
        found = self.index.find(words, most=MOST)
        snapshot = self.document.snapshot()
        if self._where is None or self._where.snapshot is not snapshot:
            self._where = Whereabouts(snapshot)
        if found == self.found and self.list.count() == len(found.hits):
            for row, hit in enumerate(found.hits):
                self._fill(self.list.item(row), hit)
            return
        self.found = found
        before = self.current()
        self.list.blockSignals(True)
        self.list.clear()
        for hit in found.hits:
            item = QListWidgetItem()
            self._fill(item, hit)
            self.list.addItem(item)
        again = next((n for n, hit in enumerate(found.hits) if before is not None and hit.item == before.item), -1)
        self.list.setCurrentRow(again)
        self.list.blockSignals(False)
        self._tell()

    def _fill(self, item: QListWidgetItem, hit: Hit) -> None:
        assert self._where is not None
        what = _("{name}: {what}").format(name=hit.name, what=hit.what) if hit.what != hit.name else hit.name
        where = self._where.told(hit.item)
        text = f"{what}\n{_('{where}; {fact}').format(where=where, fact=hit.fact) if hit.fact else where}"
        if item.text() != text:
            item.setText(text)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, text.replace("\n", ", "))

    def _tell(self) -> None:
        count = self.found.total
        words = self.line.text().strip()
        if not words:
            text = _("Type words that are all in what you look for; Down and Up walk through what is found.")
        elif not count:
            text = _("Nothing has all of “{words}”.").format(words=words)
        else:
            text = ngettext("{n} thing found", "{n} things found", count).format(n=count)
            if count > len(self.found.hits):
                text = _("{found}, the first {n} listed").format(found=text, n=len(self.found.hits))
        self.head.setText(text)
        self.all.setEnabled(any(hit.table in ("equipment", "runs") for hit in self.found.hits))

    def current(self) -> Hit | None:
        """The hit that is marked in the list."""
        row = self.list.currentRow()
        return self.found.hits[row] if 0 <= row < len(self.found.hits) else None

    # -- going to it --------------------------------------------------------------------------------------------
    def _walked(self, _row: int) -> None:
        hit = self.current()
        if hit is None:
            return
        if not self._begun:
            self._begun = True
            self.begun.emit()
        self.shown.emit(hit.item)

    def walk(self, by: int) -> None:
        """So many hits on, as far as there are any."""
        count = self.list.count()
        if count:
            row = self.list.currentRow()
            self.list.setCurrentRow(min(max(row + by, 0), count - 1) if row >= 0 else (0 if by > 0 else count - 1))

    def _go(self, _item: object = None) -> None:
        """Show the marked hit, else the first, and go on at the sheet."""
        if self.current() is None:
            self.walk(1)
        hit = self.current()
        if hit is not None:
            self.shown.emit(hit.item)
            self.gone_to.emit()

    def choose_all(self) -> None:
        """Choose all equipment and runs that were found, listed or not."""
        found = self.index.find(self.line.text(), ("equipment", "runs"))
        if found.hits:
            if not self._begun:
                self._begun = True
                self.begun.emit()
            self.chosen.emit(tuple(hit.item for hit in found.hits))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Qt's own name. Up, Down and Enter are the list's wherever the keyboard is."""
        if keeps_enter(event):
            return True
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            key = Qt.Key(event.key())
            if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self._go()
                return True
            if watched is self.line and key in _STEPS:
                self.walk(_STEPS[key])
                return True
        return super().eventFilter(watched, event)
