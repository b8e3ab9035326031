"""A line above the sheet for what a person must know: read only, recovery off, the study stopped."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from engine.words import _

__all__ = ["Banner"]


class Banner(QWidget):
    """Sentences, each under a key of its own, with buttons."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("banner")
        self.setAccessibleName(_("Messages about this drawing"))
        self._rows: dict[str, QWidget] = {}
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._box.setSpacing(0)
        self.hide()

    def tell(self, key: str, text: str, *buttons: tuple[str, Callable[[], None]], closable: bool = True) -> None:
        """Show a sentence, in place of what stood under `key`."""
        self.drop(key)
        row = QFrame()
        row.setFrameShape(QFrame.Shape.StyledPanel)
        line = QHBoxLayout(row)
        line.setContentsMargins(10, 4, 6, 4)
        label = QLabel(text)
        label.setTextFormat(Qt.TextFormat.PlainText)
        label.setWordWrap(True)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        label.setAccessibleName(text)
        line.addWidget(label, 1)
        for title, call in buttons:
            button = QPushButton(title)
            button.setAccessibleName(title)
            button.clicked.connect(partial(_call, call))
            line.addWidget(button)
        if closable:
            button = QPushButton(_("Put away"))
            button.setAccessibleName(_("Put this message away"))
            button.clicked.connect(partial(self._close, key))
            line.addWidget(button)
        self._rows[key] = row
        self._box.addWidget(row)
        row.show()
        self.show()

    def drop(self, key: str) -> None:
        """Take a sentence away, if it is there."""
        row = self._rows.pop(key, None)
        if row is not None:
            row.hide()
            row.setParent(None)
            row.deleteLater()
        if not self._rows:
            self.hide()

    def told(self) -> dict[str, str]:
        """What stands there now, by key."""
        return {key: label.text() for key, row in self._rows.items() for label in row.findChildren(QLabel)}

    def _close(self, key: str, _checked: bool = False) -> None:
        self.drop(key)


def _call(call: Callable[[], None], _checked: bool = False) -> None:
    call()
