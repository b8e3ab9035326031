"""The rails at the two sides of the sheet: tools on one, pages on the other; a sign of strokes and its word."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QToolButton, QVBoxLayout, QWidget

from app.window.menus import Menus
from app.window.signs import sign

__all__ = ["Rail"]


class Rail(QWidget):
    """Buttons of some actions, one below the other."""

    def __init__(self, menus: Menus, names: tuple[str, ...], title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(title)
        self.buttons: list[QToolButton] = []
        self._whole_height = 0  # px, with signs
        box = QVBoxLayout(self)
        box.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)  # low windows: see `minimumSizeHint`
        box.setContentsMargins(3, 6, 3, 6)
        box.setSpacing(4)
        for name in names:
            action = menus.of[name]
            action.setIcon(sign(name, self.palette()))
            action.setIconVisibleInMenu(False)
            action.setIconText(menus.short(name))
            button = QToolButton()
            button.setDefaultAction(action)
            button.setObjectName(f"rail_{name}")
            button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextUnderIcon)
            button.setIconSize(QSize(26, 26))
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.setAutoRaise(True)
            button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            button.setToolTip(menus.tip(name))
            button.setAccessibleName(menus.title(name))
            button.setAccessibleDescription(menus.tip(name))
            box.addWidget(button)
            self.buttons.append(button)
        box.addStretch(1)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)

    def minimumSizeHint(self) -> QSize:
        """As low as the words alone."""
        line = self.fontMetrics().height() + 12
        return QSize(self.sizeHint().width(), len(self.buttons) * line + 12)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's own name. In a low window words stand without their signs."""
        super().resizeEvent(event)
        if not self._whole_height:
            self._whole_height = self.sizeHint().height()
        low = event.size().height() < self._whole_height
        for button in self.buttons:
            button.setToolButtonStyle(
                Qt.ToolButtonStyle.ToolButtonTextOnly if low else Qt.ToolButtonStyle.ToolButtonTextUnderIcon
            )

    def changeEvent(self, event: QEvent) -> None:
        """Qt's own name. Signs are drawn anew in the colours of a new palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            for button in self.buttons:
                action = button.defaultAction()
                action.setIcon(sign(action.objectName(), self.palette()))

    def take_focus(self) -> None:
        """Give the focus to what is on."""
        on = next((b for b in self.buttons if b.isChecked()), self.buttons[0])
        on.setFocus(Qt.FocusReason.TabFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name. Up and down go along the buttons."""
        step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
            return
        at = next((n for n, b in enumerate(self.buttons) if b.hasFocus()), 0)
        self.buttons[(at + step) % len(self.buttons)].setFocus(Qt.FocusReason.TabFocusReason)
