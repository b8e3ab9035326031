"""The page that replaces the kind of what is chosen: type the kind, read what is not kept, then do it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtGui import QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.drawing.changes.swapping import Swap, swap
from app.window.document import Change
from app.window.enter_key import keeps_enter
from app.window.particulars.scrolling import wrapping
from engine.edits import EditError
from engine.edits.removing import named
from engine.equipment import kinds
from engine.installation import Snapshot
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["SwappingPage"]


class SwappingPage(QWidget):
    """Follows the selection; nothing is done before the button is pressed, or Enter in the list."""

    def __init__(self, window: Window) -> None:
        super().__init__()
        self.window_of = window
        self.document = window.document
        self.plan: Swap | None = None
        self._reckoned: tuple[Snapshot, tuple[str, ...], str] | None = None  # what the plan is of
        self.setAccessibleName(_("Replace by another kind"))
        self.head = wrapping(QLabel())
        self.line = QLineEdit()
        self.line.setPlaceholderText(_("Type the new kind: circuit breaker, switch …"))
        self.line.setAccessibleName(_("New kind"))
        self.line.setClearButtonEnabled(True)
        self.list = QListWidget()
        self.list.setAccessibleName(_("Kinds of equipment"))
        for name, cls in sorted(kinds().items(), key=lambda pair: _(pair[1].NAME).casefold()):
            item = QListWidgetItem(_(cls.NAME))
            item.setData(Qt.ItemDataRole.UserRole, name)
            self.list.addItem(item)
        self.told = wrapping(QLabel())
        self.told.setAccessibleDescription(_("What is not kept"))
        self.told.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.agree = QCheckBox(_("&End these runs loose"))
        self.agree.setAccessibleName(_("End the runs loose that find no terminal"))
        self.do = QPushButton(_("&Replace"))
        self.do.setAccessibleName(_("Replace"))
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addWidget(self.head)
        box.addWidget(self.line)
        box.addWidget(self.list, 1)
        box.addWidget(self.told)
        box.addWidget(self.agree)
        box.addWidget(self.do)
        self.line.textChanged.connect(self._filter)
        self.line.installEventFilter(self)
        self.list.installEventFilter(self)
        self.list.currentItemChanged.connect(self.reckon)
        self.list.itemDoubleClicked.connect(self.replace)
        self.agree.toggled.connect(self._may)
        self.do.clicked.connect(self.replace)
        self.document.selected.connect(self._changed)
        self.document.changed.connect(self._changed)
        self.document.headed.connect(self._may)

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 320)

    def begin(self) -> None:
        """Take the focus: the line to type into."""
        self.line.setFocus(Qt.FocusReason.TabFocusReason)
        self.line.selectAll()

    # -- which kind -------------------------------------------------------------------------------------------------
    def _filter(self, text: str) -> None:
        words = text.casefold().split()
        first = None
        for row in range(self.list.count()):
            item = self.list.item(row)
            fits = all(word in item.text().casefold() for word in words)
            item.setHidden(not fits)
            if fits and (first is None or item.text().casefold() == text.strip().casefold()):
                first = item
        self.list.setCurrentItem(first if words else None)  # type: ignore[arg-type]  # Qt takes none

    @property
    def kind(self) -> str:
        """The kind that is marked, "" none."""
        item = self.list.currentItem()
        return "" if item is None or item.isHidden() else str(item.data(Qt.ItemDataRole.UserRole))

    # -- what it would do ---------------------------------------------------------------------------------------------
    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page reckons nothing."""
        super().showEvent(event)
        self.reckon()

    def _changed(self, _change: Change | None = None) -> None:
        if self.isVisible():
            self.reckon()

    def _chosen(self) -> tuple[str, ...]:
        equipment = self.document.installation.graph
        return tuple(item for item in self.document.selection if item in equipment)

    def reckon(self, *_what: object) -> None:
        """Work out what would be kept and what not, and tell it."""
        snapshot, chosen = self.document.snapshot(), self._chosen()
        self.head.setText(
            _("Replace {names} by:").format(names=named(snapshot, chosen))
            if chosen
            else _("Choose equipment on the sheet first.")
        )
        of = (snapshot, chosen, self.kind)
        if self._reckoned is not None and self._reckoned[0] is snapshot and self._reckoned[1:] == of[1:]:
            return
        self._reckoned = of
        self.plan, text = None, ""
        if chosen and self.kind:
            try:
                self.plan = swap(snapshot, self.document.installation.last_id, chosen, self.kind)
            except EditError as fault:
                text = str(fault)
            else:
                text = "\n".join(self.plan.told) or _("Everything is kept: connections, facts, place on the sheet.")
        self.told.setText(text)
        self.agree.setChecked(False)
        self.agree.setVisible(self.plan is not None and bool(self.plan.loose))
        self._may()

    def _may(self, *_what: object) -> None:
        agreed = self.plan is not None and (not self.plan.loose or self.agree.isChecked())
        self.do.setEnabled(agreed and not self.document.read_only)

    # -- doing ------------------------------------------------------------------------------------------------------
    def replace(self, *_what: object) -> None:
        """Do it, where nothing is left to be agreed to."""
        self.reckon()
        if self.plan is None:
            return
        if not self.do.isEnabled():
            if self.agree.isVisible():
                self.agree.setFocus(Qt.FocusReason.TabFocusReason)
            return
        if self.window_of.try_edit(self.plan.edit):
            self.window_of.board.setFocus()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Qt's own name. Enter replaces; Up and Down walk through the list from the line too."""
        if keeps_enter(event):
            return True
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            key = Qt.Key(event.key())
            if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self.replace()
                return True
            if watched is self.line and key in (Qt.Key.Key_Down, Qt.Key.Key_Up):
                self._walk(1 if key == Qt.Key.Key_Down else -1)
                return True
        return super().eventFilter(watched, event)

    def _walk(self, by: int) -> None:
        rows = [row for row in range(self.list.count()) if not self.list.item(row).isHidden()]
        if rows:
            now = self.list.currentRow()
            at = rows.index(now) + by if now in rows else (0 if by > 0 else len(rows) - 1)
            self.list.setCurrentRow(rows[min(max(at, 0), len(rows) - 1)])
