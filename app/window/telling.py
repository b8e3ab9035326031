"""What the window tells about itself: keys, cautions, version."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app import log
from app.actions import AREAS
from engine.cautions import CAUTIONS
from engine.version import version
from engine.words import N_, _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["BOARD_KEYS", "keys_table", "show_about", "show_cautions", "show_keys"]

# keys that are no actions: the board itself and the tools listen to them
BOARD_KEYS = (
    (N_("Arrows"), N_("Move the pointer of the sheet by one step of the grid; with Shift by ten.")),
    (N_("Enter, Space"), N_("Press at the pointer: choose, place, begin or end a run, move a switch.")),
    (N_("Ctrl+Arrows"), N_("Move what is chosen by a step, with Shift by four.")),
    (N_("Shift+Enter"), N_("Take hold at the pointer, as with the mouse button; arrows drag, Enter lets go.")),
    (N_("Backspace"), N_("While a run is drawn: take the last corner back.")),
    (N_("1 to 9"), N_("While operating: put the switch last pointed at into that one of its positions.")),
    (N_("Tab, Shift+Tab"), N_("Go through the things on the sheet.")),
    (N_("Escape"), N_("Give up what is under way; then back to choosing.")),
    (N_("Wheel"), N_("Nearer and farther about the pointer; a middle-button drag moves the sheet.")),
)


def keys_table(window: Window) -> list[tuple[str, str, str]]:
    """(keys, action, what it does), in the order of the menus."""
    rows = []
    for _key, _title, actions in AREAS:
        for action in actions:
            keys = ", ".join(
                k.toString(QKeySequence.SequenceFormat.NativeText) for k in window.menus.of[action.name].shortcuts()
            )
            if keys:
                rows.append((keys, window.menus.title(action.name), _(action.tip)))
    rows.extend((_(keys), "", _(what)) for keys, what in BOARD_KEYS)
    return rows


def show_keys(window: Window) -> None:
    """The list of keys."""
    rows = keys_table(window)
    table = QTableWidget(len(rows), 3)
    table.setAccessibleName(_("Keys"))
    table.setHorizontalHeaderLabels([_("Keys"), _("Action"), _("What it does")])
    table.verticalHeader().hide()
    table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
    table.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
    table.setWordWrap(True)
    for n, row in enumerate(rows):
        for m, text in enumerate(row):
            table.setItem(n, m, QTableWidgetItem(text))
    header = table.horizontalHeader()
    for column in (0, 1):
        header.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
    header.setSectionResizeMode(2, QHeaderView.ResizeMode.Stretch)
    dialog = _dialog(window, _("Keys"), table)
    dialog.resize(780, 560)
    table.resizeRowsToContents()
    _show(dialog)


def show_cautions(window: Window) -> None:
    """The usual cautions, whole."""
    _show(_dialog(window, _("Cautions"), _text("\n\n".join(_(text) for text in CAUTIONS))))


def show_about(window: Window) -> None:
    """Version, font, log."""
    text = _(
        "Linewright {version}\nSingle-line wiring diagrams of boats that are proved, sized, printed and kept true.\n\n"
        "Type: Fira Sans Condensed (SIL Open Font License).\nNothing is ever sent anywhere. Log: {log}"
    )
    _show(_dialog(window, _("About Linewright"), _text(text.format(version=version(), log=log.folder()))))


def _text(text: str) -> QLabel:
    label = QLabel(text)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    label.setMinimumWidth(480)
    label.setTextInteractionFlags(
        Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
    )
    label.setAccessibleName(text)
    return label


def _dialog(window: Window, title: str, body: QWidget) -> QDialog:
    dialog = QDialog(window)
    dialog.setWindowTitle(title)
    buttons = QDialogButtonBox()
    close = buttons.addButton(_("Close"), QDialogButtonBox.ButtonRole.RejectRole)
    close.setAccessibleName(_("Close"))
    buttons.rejected.connect(dialog.reject)
    box = QVBoxLayout(dialog)
    box.addWidget(body, 1)
    box.addWidget(buttons)
    return dialog


def _show(dialog: QDialog) -> None:
    dialog.exec()
    dialog.deleteLater()
