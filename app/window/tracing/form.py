"""The row being typed: a field a column, Enter records it, Alt+Up takes the value of the row above."""

from __future__ import annotations

import re

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QLineEdit, QWidget

from app.window.document import Document
from app.window.particulars.scrolling import wrapping
from engine.record import ORIGINS
from engine.tracing.cells import COLUMNS
from engine.tracing.rows import end_means
from engine.words import _

__all__ = ["RowForm"]

_BESIDE = ("from_seen", "to_seen")  # stand in the row of what they speak of
_KEPT = ("origin",)  # a new row begins with that of the one before
_SHORT_ORIGIN = re.compile(r"~\s*([mnta])$")


class RowForm(QWidget):
    """Shows and takes the cells of one row. `run` is the id of the run it changes, "" for a new one."""

    entered = Signal()
    escaped = Signal()
    above_wanted = Signal(str)  # key of a column, "" all that are empty

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.run = ""
        self.fields: dict[str, QLineEdit | QComboBox] = {}
        self._begun: dict[str, str] = {}
        self.setAccessibleName(_("The row being typed"))
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(6)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(1, 1)
        line = 0
        for key, heading, tip in COLUMNS:
            field = self._field(key)
            field.setAccessibleName(_(heading))
            field.setToolTip(_(tip))
            field.setAccessibleDescription(_(tip))
            field.installEventFilter(self)
            self.fields[key] = field
            if key in _BESIDE:
                grid.addWidget(field, line - 1, 2)
                continue
            label = QLabel(_(heading))
            label.setBuddy(field)
            grid.addWidget(label, line, 0)
            grid.addWidget(field, line, 1, 1, 1 if key in ("from", "to") else 2)
            line += 1
        self.meaning = wrapping(QLabel())  # the page sets it above the form, where it is always in sight
        self.meaning.setTextFormat(Qt.TextFormat.PlainText)
        self.meaning.setAccessibleName(_("What the end is understood as"))

    def _field(self, key: str) -> QLineEdit | QComboBox:
        if key in _BESIDE:
            return self._choice((("", _("not said")), ("yes", _("yes, seen")), ("no", _("no, not seen"))))
        if key == "origin":
            return self._choice((("", _("nobody says")), *((origin, _(origin)) for origin in ORIGINS)))
        line = QLineEdit()
        if key == "function":
            line.setPlaceholderText(_("what both ends carry"))
        if key in ("from", "to"):
            line.textChanged.connect(self._explain)
        return line

    @staticmethod
    def _choice(every: tuple[tuple[str, str], ...]) -> QComboBox:
        made = QComboBox()
        made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        made.setMinimumContentsLength(8)
        for key, text in every:
            made.addItem(text, key)
        return made

    # -- what stands in it ----------------------------------------------------------------------------------------
    def cells(self) -> dict[str, str]:
        """What is typed, as `engine.tracing.rows` reads it; `~a` at the end of a value is `~assumed`."""
        return {key: self.text(key) for key in self.fields}

    def text(self, key: str) -> str:
        """What stands in one field."""
        field = self.fields[key]
        if isinstance(field, QComboBox):
            return str(field.currentData() or "")
        found = _SHORT_ORIGIN.search(field.text())
        if found is None:
            return field.text()
        whole = next(origin for origin in ORIGINS if origin.startswith(found[1]))
        return f"{field.text()[: found.start()]}~{whole}"

    def set_text(self, key: str, text: str) -> None:
        """Put a value into one field."""
        field = self.fields[key]
        if not isinstance(field, QComboBox):
            field.setText(text)
            return
        untold = {_("yes"): "yes", _("no"): "no"} | {_(origin): origin for origin in ORIGINS}
        field.setCurrentIndex(max(field.findData(untold.get(text, text)), 0))

    def show_run(self, run: str, cells: dict[str, str]) -> None:
        """Take a run in hand."""
        self.run = run
        for key in self.fields:
            self.set_text(key, cells.get(key, ""))
        self._begun = self.cells()
        self.meaning.clear()

    def begin_new(self) -> None:
        """A new row; where values come from stays as it was."""
        self.show_run("", {key: self.text(key) for key in _KEPT})
        self.focus("from")

    @property
    def is_typed(self) -> bool:
        """Whether something stands in it that is not recorded."""
        return self.cells() != self._begun

    def is_recorded(self, yes: bool) -> None:
        """What stands in it is recorded now, or is not after all."""
        self._begun = self.cells() if yes else {}

    def focus(self, key: str) -> None:
        """The keyboard goes to a field."""
        field = self.fields[key]
        field.setFocus(Qt.FocusReason.TabFocusReason)
        if isinstance(field, QLineEdit):
            field.selectAll()

    def _explain(self, text: str) -> None:
        line = self.sender()
        if not isinstance(line, QLineEdit) or not line.hasFocus():
            return
        means = end_means(self.document.snapshot(), text)
        self.meaning.setText(_("{field}: {value}").format(field=line.accessibleName(), value=means))

    # -- keys -----------------------------------------------------------------------------------------------------
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter, Escape and Alt+Up are the row's, in whichever field."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and self._by_letter(watched, event):
            return True
        if event.type() not in (QEvent.Type.KeyPress, QEvent.Type.ShortcutOverride) or not isinstance(event, QKeyEvent):
            return super().eventFilter(watched, event)
        key, with_ = event.key(), event.modifiers()
        enter = key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not with_ & Qt.KeyboardModifier.AltModifier
        above = key == Qt.Key.Key_Up and bool(with_ & Qt.KeyboardModifier.AltModifier)
        if not (enter or above or key == Qt.Key.Key_Escape):
            return super().eventFilter(watched, event)
        if event.type() == QEvent.Type.ShortcutOverride:
            event.accept()
            return True
        if enter:
            self.entered.emit()
        elif above:
            every = bool(with_ & Qt.KeyboardModifier.ShiftModifier)
            self.above_wanted.emit("" if every else next(k for k, f in self.fields.items() if f is watched))
        else:
            self.escaped.emit()
        return True

    @staticmethod
    def _by_letter(field: QObject, event: QKeyEvent) -> bool:
        """One letter chooses what begins with it, at once: y, n, a."""
        letter = event.text().casefold()
        if not isinstance(field, QComboBox) or len(letter) != 1 or not letter.isalpha():
            return False
        for n in range(1, field.count()):
            if field.itemText(n).casefold().startswith(letter):
                field.setCurrentIndex(n)
                break
        return True
