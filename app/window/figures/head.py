"""The head of the page: which condition, what is wanted of it, how things stand."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QLineEdit, QSizePolicy, QToolButton, QWidget

from app.window.small_print import make_small
from engine.installation import Condition, Snapshot
from engine.units import number
from engine.words import N_, _

__all__ = ["Head", "text_line"]

_FIELDS = (  # field, what stands before it, what it is
    ("required_hours", N_("Must last"), N_("Hours the banks must last in this condition")),
    ("required_recharge_h", N_("Must refill in"), N_("Hours the banks must refill in")),
    ("peak_sun_h", N_("Sun"), N_("Peak-sun hours a day: the day's sun as hours at full power")),
)


class Head(QWidget):
    """Choosing a condition, and three numbers that belong to it."""

    chosen = Signal(str)  # condition
    given = Signal(str, str)  # field, text
    record_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._ids: list[str] = []
        self._condition = ""  # whose numbers are shown
        self.conditions = QComboBox()
        self.conditions.setAccessibleName(_("Operating condition"))
        self.conditions.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.conditions.setMinimumContentsLength(12)
        self.conditions.activated.connect(self._choose)
        self.record = QToolButton()
        self.record.setText(_("Particulars"))
        self.record.setToolTip(_("Every fact of the condition shown"))
        self.record.setAccessibleName(_("Particulars of the condition shown"))
        self.record.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.record.clicked.connect(self._ask)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        title = QLabel(_("Condition"))
        title.setBuddy(self.conditions)
        grid.addWidget(title, 0, 0)
        grid.addWidget(self.conditions, 0, 1, 1, 4)
        grid.addWidget(self.record, 0, 5)
        self.fields: dict[str, _Line] = {}
        for n, (field, before, tip) in enumerate(_FIELDS):
            line = _Line()
            line.setAccessibleName(_(tip))
            line.setToolTip(_(tip))
            line.setPlaceholderText(_("not recorded"))
            line.editingFinished.connect(partial(self._give, field))
            label = QLabel(_(before))
            label.setBuddy(line)
            grid.addWidget(label, 1, 2 * n)
            grid.addWidget(line, 1, 2 * n + 1)
            grid.setColumnStretch(2 * n + 1, 1)
            self.fields[field] = line

    def show_condition(self, snapshot: Snapshot, condition: str, writable: bool) -> None:
        """Show the conditions there are, and the numbers of this one."""
        ordered = sorted(snapshot.conditions.items(), key=lambda c: (c[1].order, c[0]))
        names = [_("As drawn"), *(record.name or item for item, record in ordered)]
        self._ids = ["", *(item for item, _record in ordered)]
        with QSignalBlocker(self.conditions):
            if names != [self.conditions.itemText(n) for n in range(self.conditions.count())]:
                self.conditions.clear()
                self.conditions.addItems(names)
            self.conditions.setCurrentIndex(self._ids.index(condition) if condition in self._ids else 0)
        record: Condition | None = snapshot.conditions.get(condition)
        self.record.setEnabled(record is not None)
        other, self._condition = self._condition != condition, condition
        for field, line in self.fields.items():
            value = None if record is None else getattr(record, field)
            line.show_text("" if value is None else _("{n} h").format(n=number(value)), anew=other)
            line.setEnabled(record is not None and writable)

    def finish_typing(self) -> None:
        """Give what is half typed."""
        for field in self.fields:
            self._give(field)

    def _choose(self, at: int) -> None:
        self.chosen.emit(self._ids[at])

    def _ask(self, _checked: bool = False) -> None:
        self.record_asked.emit()

    def _give(self, field: str) -> None:
        line = self.fields[field]
        if line.isEnabled() and line.text() != line.shown_text:
            self.given.emit(field, line.text())


class _Line(QLineEdit):
    """A line that knows what is recorded; Escape brings that back."""

    shown_text = ""

    def show_text(self, text: str, *, anew: bool) -> None:
        """What is recorded; what is half typed stays, unless it was meant for something else (`anew`)."""
        if anew or not self.isModified() or text != self.shown_text:
            self.shown_text = text
            self.setText(text)
            self.setCursorPosition(0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name. Escape gives up."""
        if event.key() == Qt.Key.Key_Escape and self.text() != self.shown_text:
            self.setText(self.shown_text)
            event.accept()
            return
        super().keyPressEvent(event)


def text_line(name: str, *, small: bool = False, bold: bool = False) -> QLabel:
    """A text that breaks into lines; `small`: nine tenths as high, never below 8 points."""
    line = QLabel()
    line.setWordWrap(True)
    line.setTextFormat(Qt.TextFormat.PlainText)
    line.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    line.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
    line.setAccessibleDescription(name)
    font = line.font()
    font.setBold(bold)
    line.setFont(font)
    if small:
        make_small(line)
    return line
