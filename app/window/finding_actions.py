"""Find an action: type a word of what is wanted, press Enter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QDialog, QLabel, QLineEdit, QListWidget, QListWidgetItem, QVBoxLayout

from app.actions import Action, every
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["FindAction", "find_action"]


def find_action(window: Window) -> None:
    """Open the list over the window."""
    dialog = FindAction(window)
    if dialog.exec() == QDialog.DialogCode.Accepted:
        window.menus.call(dialog.chosen)
    dialog.deleteLater()


class FindAction(QDialog):
    """A line to type into and the actions that fit."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window_of = window
        self.chosen = ""
        self.setWindowTitle(_("Find an action"))
        self.setMinimumSize(520, 380)
        self.line = QLineEdit()
        self.line.setPlaceholderText(_("A word of what is wanted"))
        self.line.setAccessibleName(_("A word of what is wanted"))
        self.line.textChanged.connect(self._fill)
        self.line.installEventFilter(self)
        self.list = QListWidget()
        self.list.setAccessibleName(_("Actions that fit"))
        self.list.itemActivated.connect(self._take)
        self.none = QLabel(_("No action fits; fewer letters find more."))
        self.line.returnPressed.connect(self._take)
        box = QVBoxLayout(self)
        box.addWidget(self.line)
        box.addWidget(self.list, 1)
        box.addWidget(self.none)
        window.menus.refresh()
        self._fill("")

    def _fill(self, text: str) -> None:
        words = text.casefold().split()
        menus = self.window_of.menus
        self.list.clear()

        def in_tip_only(action: Action) -> bool:
            title = menus.title(action.name).casefold()
            return not all(word in title for word in words)

        for action in sorted(every(), key=in_tip_only):  # what is called so before what merely tells of it
            if action.name == "find_action":
                continue
            told = f"{menus.title(action.name)}\n{_(action.tip)}"
            if not all(word in told.casefold() for word in words):
                continue
            shortcut = menus.of[action.name].shortcut().toString(QKeySequence.SequenceFormat.NativeText)
            item = QListWidgetItem(f"{menus.title(action.name)}    {shortcut}\n{_(action.tip)}")
            item.setData(Qt.ItemDataRole.UserRole, action.name)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, told.replace("\n", ": "))
            if not menus.of[action.name].isEnabled():
                item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEnabled)
            self.list.addItem(item)
        self.none.setVisible(self.list.count() == 0)
        first = next((n for n in range(self.list.count()) if self._can(n)), -1)
        self.list.setCurrentRow(first)

    def _can(self, row: int) -> bool:
        return bool(self.list.item(row).flags() & Qt.ItemFlag.ItemIsEnabled)

    def _take(self, *_args: object) -> None:
        row = self.list.currentRow()
        if row >= 0 and self._can(row):
            self.chosen = self.list.item(row).data(Qt.ItemDataRole.UserRole)
            self.accept()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Qt's own name. Up and down in the line go along the list."""
        if watched is self.line and event.type() == QEvent.Type.KeyPress:
            assert isinstance(event, QKeyEvent)
            step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()))
            if step is not None:
                row = self.list.currentRow() + step
                while 0 <= row < self.list.count() and not self._can(row):
                    row += step
                if 0 <= row < self.list.count():
                    self.list.setCurrentRow(row)
                return True
        return super().eventFilter(watched, event)
