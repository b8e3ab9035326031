"""A line over the sheet with what it is understood as below it: Enter takes, Up and Down choose, Escape leaves."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from PySide6.QtCore import QEvent, QObject, QPoint, QSize, Qt, Signal
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QFrame, QLabel, QLineEdit, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from app.window.kind_pictures import icon_on, with_type
from engine.phrases import Proposal, Read
from engine.words import _, ngettext

__all__ = ["Asked", "QuickLine"]

_PROPOSAL = Qt.ItemDataRole.UserRole
_ROWS = 7  # seen before it scrolls
_WIDE, _NARROW = 430, 180  # px at 96 dpi
_ICON_PX = 24
_LEAVES = (Qt.FocusReason.MouseFocusReason, Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason,
           Qt.FocusReason.OtherFocusReason, Qt.FocusReason.ShortcutFocusReason)  # fmt: skip


class Asked(NamedTuple):
    """What a line is opened for."""

    title: str  # what will be done: "Place", "Set on W3"
    example: str  # what one may type, while nothing is
    read: Callable[[str], Read]
    take: Callable[[Proposal], str]  # does it; why it cannot be done, "" where it was
    text: str = ""  # typed already
    leave: Callable[[], None] | None = None  # given up


class QuickLine(QFrame):
    """Shown at a point of the window; one at a time."""

    closed = Signal()  # while it had the keyboard

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("quick_line")
        self.setFrameShape(QFrame.Shape.Box)
        self.setAutoFillBackground(True)
        self.asked: Asked | None = None
        self._at = QPoint()
        self._taking = False  # the keyboard may go elsewhere meanwhile
        self.title = _plain()
        font = self.title.font()
        font.setBold(True)
        self.title.setFont(font)
        self.line = QLineEdit()
        self.line.setAccessibleName(_("Typed phrase"))
        self.list = QListWidget()
        self.list.setAccessibleName(_("What is understood"))
        self.list.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.list.setWordWrap(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setFrameShape(QFrame.Shape.NoFrame)
        self.told = _plain()
        box = QVBoxLayout(self)
        box.setContentsMargins(6, 5, 6, 6)
        box.setSpacing(4)
        for part in (self.title, self.line, self.list, self.told):
            box.addWidget(part)
        self.line.textChanged.connect(self._read)
        self.line.installEventFilter(self)
        self.list.itemClicked.connect(self._clicked)
        self.hide()

    # -- opening and closing --------------------------------------------------------------------------------------
    def open_at(self, at: QPoint, asked: Asked) -> None:
        """Open for something, near a point of the parent; the keyboard goes into it."""
        self.asked, self._at = asked, at
        self.title.setText(asked.title)
        self.line.setPlaceholderText(asked.example)
        self.line.setAccessibleDescription(asked.title)
        self.line.blockSignals(True)
        self.line.setText(asked.text)
        self.line.blockSignals(False)
        self._read()
        self.show()
        self.raise_()
        self.line.setFocus(Qt.FocusReason.PopupFocusReason)
        self.line.setCursorPosition(len(asked.text))

    @property
    def is_open(self) -> bool:
        """Whether it is shown."""
        return self.asked is not None

    def close_line(self, *, given_up: bool = True) -> None:
        """Take it away."""
        asked, self.asked = self.asked, None
        if asked is None:
            return
        if self.line.hasFocus():  # before it is hidden: the keyboard would go to whatever is next
            self.closed.emit()
        self.hide()
        if given_up and asked.leave is not None:
            asked.leave()

    # -- what is understood ---------------------------------------------------------------------------------------
    def _read(self, _text: str = "") -> None:
        if self.asked is None:
            return
        read = self.asked.read(self.line.text())
        self.list.clear()
        self.list.setIconSize(QSize(1, 1) * with_type(_ICON_PX, self))
        for proposal in read.proposals:
            self._row(proposal)
        if read.proposals:
            self.list.setCurrentRow(0)
        self._say("" if read.proposals else read.why)
        count = ngettext("{n} way to read it", "{n} ways to read it", len(read.proposals)).format(n=len(read.proposals))
        told = read.proposals[0].told if read.proposals else read.why
        self.list.setAccessibleDescription(count)
        self._announce(told)
        self._lay()

    def _row(self, proposal: Proposal) -> None:
        told = proposal.told
        if proposal.template:
            told = _("{title} (template)").format(title=told)
        item = QListWidgetItem(told)
        item.setData(_PROPOSAL, proposal)
        if proposal.kind:
            item.setIcon(icon_on(self, proposal.kind, with_type(_ICON_PX, self)))
        item.setToolTip(told)
        self.list.addItem(item)

    def _say(self, text: str) -> None:
        self.told.setText(text)
        self.told.setVisible(bool(text))

    def _announce(self, text: str) -> None:
        if text and QAccessible.isActive():
            QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self.line, text))

    def _lay(self) -> None:
        """As large as what is understood needs, inside the window, beside the point."""
        parent = self.parentWidget()
        assert parent is not None
        room = parent.rect()
        wide = max(min(_WIDE * self.logicalDpiX() // 96, room.width() - 8), _NARROW)
        self.list.setVisible(self.list.count() > 0)
        self.list.setFixedWidth(wide - 16)
        self.list.doItemsLayout()
        # what is laid out, not what a row asks for: a long text takes several lines
        shown = (self.list.item(n) for n in range(min(self.list.count(), _ROWS)))
        rows = [max(self.list.visualItemRect(row).height(), self.list.sizeHintForRow(0)) for row in shown]
        self.list.setFixedHeight(min(sum(rows) + 4, max(room.height() // 2, 60)))
        self.told.setFixedWidth(wide - 16)
        self.setFixedWidth(wide)
        layout = self.layout()
        assert layout is not None
        layout.activate()
        high = layout.totalHeightForWidth(wide) if layout.hasHeightForWidth() else self.sizeHint().height()
        self.setFixedHeight(min(high, room.height()))
        x = min(max(self._at.x() + 12, 4), max(room.width() - self.width() - 4, 0))
        y = self._at.y() + 12
        if y + self.height() > room.height() - 4:
            y = max(self._at.y() - 12 - self.height(), 0)
        self.move(x, y)

    # -- taking -----------------------------------------------------------------------------------------------------
    @property
    def chosen(self) -> Proposal | None:
        """What Enter would take."""
        item = self.list.currentItem()
        found: Proposal | None = None if item is None else item.data(_PROPOSAL)
        return found

    def take(self) -> None:
        """Do what is chosen; what cannot be done is told, and the line stays."""
        asked, proposal = self.asked, self.chosen
        if asked is None:
            return
        if proposal is None:
            if self.told.text():
                self._announce(self.told.text())
            return
        self._taking = True
        try:
            why = asked.take(proposal)
        finally:
            self._taking = False
        if why:
            self._say(why)
            self._announce(why)
            self._lay()
        elif self.asked is asked:
            self.close_line(given_up=False)

    def _clicked(self, item: QListWidgetItem) -> None:
        self.list.setCurrentItem(item)
        self.take()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Keys of the line; another part of the window that takes the keyboard closes it."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            return self._key(event)
        leaves = isinstance(event, QFocusEvent) and not self._taking and event.reason() in _LEAVES
        if event.type() == QEvent.Type.FocusOut and leaves:
            self.close_line()
        return super().eventFilter(watched, event)

    def _key(self, event: QKeyEvent) -> bool:
        key = event.key()
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.take()
        elif key == Qt.Key.Key_Escape:
            self.close_line()
        elif key in (Qt.Key.Key_Down, Qt.Key.Key_Up) and self.list.count():
            row = self.list.currentRow() + (1 if key == Qt.Key.Key_Down else -1)
            self.list.setCurrentRow(min(max(row, 0), self.list.count() - 1))
            chosen = self.chosen
            self._announce("" if chosen is None else chosen.told)
        else:
            return key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab)  # nothing else here is to be typed into
        return True

    def changeEvent(self, event: QEvent) -> None:
        """Other colours: the pictures anew."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and self.asked is not None:
            self._read()


def _plain() -> QLabel:
    label = QLabel()
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    return label
