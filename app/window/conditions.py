"""The operating conditions along the top edge: one is shown, switches are moved in it."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLabel, QScrollArea, QToolButton, QWidget

from app.window.document import Change, Document
from engine.edits import EditError, Put
from engine.installation import Condition
from engine.words import _

__all__ = ["ConditionsBar"]


class ConditionsBar(QWidget):
    """A button a condition; *As drawn* first."""

    refused = Signal(str)
    wanted = Signal(str, str)  # the particulars of a condition are asked for: table, id

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("conditions")
        self.setAccessibleName(_("Operating conditions"))
        self.document = document
        self._buttons: dict[str, QToolButton] = {}
        self._group = QButtonGroup(self)
        self._group.setExclusive(True)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 3, 8, 3)
        row.setSpacing(6)
        title = QLabel(_("Condition:"))
        row.addWidget(title)
        self._row = QHBoxLayout()
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(4)
        inside = QWidget()
        inside.setLayout(self._row)
        self._scroll = QScrollArea()
        self._scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        self._scroll.setWidgetResizable(True)
        self._scroll.setWidget(inside)
        self._scroll.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._scroll.setAccessibleName(_("Operating conditions"))
        row.addWidget(self._scroll, 1)
        self.new = QToolButton()
        self.new.setText(_("New condition"))
        self.new.setToolTip(_("Add an operating condition that begins as what is shown now."))
        self.new.setAccessibleName(self.new.text())
        self.new.clicked.connect(self._add)
        row.addWidget(self.new)
        self.edit = QToolButton()
        self.edit.setText(_("Particulars"))
        self.edit.setToolTip(_("Name, sources that run and switch positions of the condition shown."))
        self.edit.setAccessibleName(_("Particulars of the condition shown"))
        self.edit.clicked.connect(self._ask)
        row.addWidget(self.edit)
        document.changed.connect(self._changed)
        document.conditioned.connect(self._mark)
        document.headed.connect(self._mark)
        self._fill()

    def _fill(self) -> None:
        snapshot = self.document.snapshot()
        wanted = {"": _("As drawn")}
        ordered = sorted(snapshot.conditions.items(), key=lambda c: (c[1].order, int(c[0][1:] or 0)))
        for item, condition in ordered:
            name = condition.name or item
            wanted[item] = _("Stage: {name}").format(name=name) if condition.work_stage else name
        if list(wanted) != list(self._buttons):
            for button in self._buttons.values():
                self._group.removeButton(button)
                button.hide()
                button.setParent(None)
                button.deleteLater()
            self._buttons.clear()
            while self._row.count():
                self._row.takeAt(0)
            for item in wanted:
                button = QToolButton()
                button.setCheckable(True)
                button.setAutoRaise(True)  # flat but the one that is shown
                button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
                button.clicked.connect(partial(self._choose, item))
                self._group.addButton(button)
                self._row.addWidget(button)
                self._buttons[item] = button
            self._row.addStretch(1)
        for item, name in wanted.items():
            button = self._buttons[item]
            button.setText(name.replace("&", "&&"))
            button.setAccessibleName(_("Condition: {name}").format(name=name))
            note = snapshot.conditions[item].note if item else _("Switches as they stand on the drawing.")
            button.setToolTip(note or name)
        self._scroll.setFixedHeight(max(b.sizeHint().height() for b in self._buttons.values()) + 4)
        self._mark()

    def _changed(self, change: Change) -> None:
        if any(table == "conditions" for table, _item in change.items):
            self._fill()

    def _mark(self) -> None:
        for item, each in self._buttons.items():
            font = each.font()
            font.setBold(item == self.document.condition and self.document.state is None)
            each.setFont(font)
        button = self._buttons.get(self.document.condition)
        stands = self.document.state is None  # else a state is shown that no button stands for
        self._group.setExclusive(stands)
        if button is not None and button.isChecked() != stands:
            with QSignalBlocker(button):
                button.setChecked(stands)
        if button is not None:
            self._scroll.ensureWidgetVisible(button)
        self.edit.setEnabled(bool(self.document.condition))
        self.new.setEnabled(not self.document.read_only and self.document.state is None)

    def _choose(self, item: str, _checked: bool = False) -> None:
        self.document.set_condition(item)
        self._mark()

    def _add(self, _checked: bool = False) -> None:
        document = self.document
        snapshot = document.snapshot()
        taken = {c.name for c in snapshot.conditions.values()}
        number = len(taken) + 1
        while (name := _("Condition {n}").format(n=number)) in taken:
            number += 1
        shown = snapshot.conditions.get(document.condition)
        order = max((c.order for c in snapshot.conditions.values()), default=0) + 1
        record = Condition(
            name=name,
            order=order,
            settings=shown.settings if shown is not None else (),
            running=shown.running if shown is not None else (),
        )
        item = document.installation.new_id("conditions")
        try:
            document.do(Put("conditions", item, record, _("Add the condition {name}").format(name=name)))
        except EditError as fault:
            self.refused.emit(str(fault))
            return
        document.set_condition(item)
        self.wanted.emit("conditions", item)

    def _ask(self, _checked: bool = False) -> None:
        if self.document.condition:
            self.wanted.emit("conditions", self.document.condition)

    def take_focus(self) -> None:
        """Give the focus to the condition shown."""
        self._buttons[self.document.condition].setFocus(Qt.FocusReason.TabFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name. Left and right go along the conditions."""
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
            return
        every = list(self._buttons)
        at = next((n for n, item in enumerate(every) if self._buttons[item].hasFocus()), 0)
        self._buttons[every[(at + step) % len(every)]].setFocus(Qt.FocusReason.TabFocusReason)
