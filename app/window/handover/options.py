"""Fields for what documents may be asked."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.window.handover.asking import Option
from engine.words import N_, _

__all__ = ["OptionFields"]

_UNSAID = {"size": N_("as the drawing says"), "tile": N_("nothing, pages stay whole")}


class OptionFields(QWidget):
    """One field an option, its title above, or beside it where titles are short.

    `values` is shared: what is typed for one document holds for all.
    """

    changed = Signal()

    def __init__(self, values: dict[str, str], *, is_beside: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.values = values
        self._is_beside = is_beside
        self.fields: dict[str, QWidget] = {}
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._box.setSpacing(3)

    def show_options(self, options: Iterable[Option]) -> None:
        """Fields for these and no others."""
        while self._box.count():
            taken = self._box.takeAt(0)
            part = None if taken is None else taken.widget()
            if part is not None:
                part.hide()
                part.deleteLater()
        self.fields.clear()
        for option in options:
            if option.form == "yes":
                self._box.addWidget(self._tick(option))
                continue
            title = QLabel(option.title)
            field = self._choice(option) if option.form == "choice" else self._line(option)
            title.setBuddy(self.fields[option.name])
            if self._is_beside:
                row = QWidget()
                box = QHBoxLayout(row)
                box.setContentsMargins(0, 0, 0, 0)
                box.addWidget(title)
                box.addWidget(field, 1)
                self._box.addWidget(row)
            else:
                title.setWordWrap(True)
                self._box.addWidget(title)
                self._box.addWidget(field)
        self.setVisible(bool(self.fields))

    def _tick(self, option: Option) -> QWidget:
        made = QCheckBox()
        made.setAccessibleName(option.title)
        made.setToolTip(option.help)
        made.setChecked(bool(self.values.get(option.name)))
        made.toggled.connect(lambda on: self._set(option.name, "yes" if on else ""))
        self.fields[option.name] = made
        if self._is_beside:
            made.setText(option.title)
            return made
        words = QLabel(option.title)  # a tick box does not break its line
        words.setWordWrap(True)
        words.setBuddy(made)
        row = QWidget()
        box = QHBoxLayout(row)
        box.setContentsMargins(0, 0, 0, 0)
        box.addWidget(made, 0, Qt.AlignmentFlag.AlignTop)
        box.addWidget(words, 1)
        return row

    def _choice(self, option: Option) -> QWidget:
        made = QComboBox()
        made.setAccessibleName(option.title)
        made.setToolTip(option.help)
        made.addItem(option.usual or _(_UNSAID.get(option.name, N_("as usual"))), "")
        for choice in option.choices:
            if choice != option.usual:
                made.addItem(choice, choice)
        made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        made.setMinimumContentsLength(10)  # it fits into a narrow page beside its title
        made.setCurrentIndex(max(0, made.findData(self.values.get(option.name, ""))))
        made.currentIndexChanged.connect(lambda _n: self._set(option.name, made.currentData() or ""))
        self.fields[option.name] = made
        return made

    def _line(self, option: Option) -> QWidget:
        line = QLineEdit(self.values.get(option.name, ""))
        line.setAccessibleName(option.title)
        line.setToolTip(option.help)
        line.setClearButtonEnabled(True)
        line.setPlaceholderText(option.usual or (_("none") if option.form == "file" else _("as usual")))
        line.textChanged.connect(partial(self._set, option.name))
        self.fields[option.name] = line
        if option.form != "file":
            return line
        choose = QToolButton()
        choose.setText("…")
        choose.setAccessibleName(_("Choose a file: {what}").format(what=option.title))
        choose.setToolTip(_("Choose a file"))
        choose.clicked.connect(partial(self._choose, option, line))
        row = QWidget()
        box = QHBoxLayout(row)
        box.setContentsMargins(0, 0, 0, 0)
        box.addWidget(line, 1)
        box.addWidget(choose)
        return row

    def _choose(self, option: Option, line: QLineEdit) -> None:
        kind = _("Drawings (*.linewright)") if option.name == "since" else _("Lists (*.csv)")
        at = line.text() or str(Path.home())
        text, _kind = QFileDialog.getOpenFileName(self.window(), option.title, at, kind + ";;" + _("All files (*)"))
        if text:
            line.setText(text)

    def _set(self, name: str, value: str) -> None:
        self.values[name] = value
        self.changed.emit()
