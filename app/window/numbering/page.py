"""The page that renumbers: old and new side by side before anything is done, the labels to change aboard as a list."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from app.window.document import Change
from app.window.numbering.changes import Changes
from app.window.particulars.scrolling import wrapping
from engine.edits import EditError
from engine.edits.locking import locked_by, was_issued
from engine.edits.renumbering import By, Renumbering, renumbered
from engine.files.atomic import write_bytes
from engine.files.errors import reason
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["NumberingPage"]

_BY: tuple[By, ...] = ("drawing", "sheet")


class NumberingPage(QWidget):
    """Follows the drawing while it is shown; nothing is renamed before the button is pressed."""

    def __init__(self, window: Window) -> None:
        super().__init__()
        self.window_of = window
        self.document = window.document
        self.made: Renumbering | None = None
        self.setAccessibleName(_("Renumber"))
        self.what = self._choice(
            _("What is renumbered"), (_("the whole drawing"), _("this sheet"), _("what is chosen"))
        )
        self.by = self._choice(
            _("How it is counted"), (_("through the drawing: F1, F2"), _("sheet by sheet: F101, F102, F201"))
        )
        form = QFormLayout()
        form.setContentsMargins(0, 0, 0, 0)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        form.addRow(_("Renumber"), self.what)
        form.addRow(_("Count"), self.by)
        self.head = wrapping(QLabel())
        self.head.setAccessibleDescription(_("What would be renamed"))
        self.changes = Changes()
        self.changes.left_out.connect(self._later)
        self.table = _Table()
        self.table.setAccessibleName(_("Designations, now and new; untick what is to stay"))
        self.table.setModel(self.changes)
        self.table.verticalHeader().hide()
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        self.table.horizontalHeader().setStretchLastSection(True)
        self.table.setSelectionBehavior(QTableView.SelectionBehavior.SelectRows)
        self.table.doubleClicked.connect(self._reveal)
        self.note = wrapping(QLabel())
        self.do = _button(_("&Renumber"), _("Give the new designations, as one change that can be taken back."))
        self.write = _button(
            _("&Write the labels to change…"), _("Write the list of labels to change aboard, as PDF or CSV.")
        )
        buttons = QHBoxLayout()
        buttons.addWidget(self.do)
        buttons.addWidget(self.write)
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addLayout(form)
        box.addWidget(self.head)
        box.addWidget(self.table, 1)
        box.addWidget(self.note)
        box.addLayout(buttons)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self.reckon)
        self.what.currentIndexChanged.connect(self._anew)
        self.by.currentIndexChanged.connect(self._anew)
        self.do.clicked.connect(self.renumber)
        self.write.clicked.connect(self.write_list)
        document = self.document
        document.changed.connect(self._later)
        document.selected.connect(self._selected)
        document.turned_to.connect(self._turned)
        document.headed.connect(self._may)

    def _choice(self, name: str, texts: tuple[str, ...]) -> QComboBox:
        made = QComboBox()
        made.setAccessibleName(name)
        made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        made.setMinimumContentsLength(12)
        made.addItems(list(texts))
        return made

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(280, 320)

    def begin(self) -> None:
        """Take the focus: with several things chosen, those are what is renumbered."""
        if len(self.document.selection) > 1:
            self.what.setCurrentIndex(2)
        elif self.what.currentIndex() == 2:
            self.what.setCurrentIndex(0)
        self.reckon()
        self.what.setFocus(Qt.FocusReason.TabFocusReason)

    # -- following ------------------------------------------------------------------------------------------------
    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page reckons nothing."""
        super().showEvent(event)
        self._later()

    def _later(self, _change: Change | None = None) -> None:
        if self.isVisible():
            self._soon.start()

    def _selected(self) -> None:
        if self.what.currentIndex() == 2:
            self._later()

    def _turned(self) -> None:
        if self.what.currentIndex() == 1:
            self._later()

    def _anew(self, _index: int = 0) -> None:
        self.changes.leave.clear()
        self._later()

    def reckon(self) -> None:
        """Work out what would be renamed, and show it."""
        self._soon.stop()
        snapshot = self.document.snapshot()
        which = self.what.currentIndex()
        items = self.document.selection if which == 2 else None
        sheet = self.document.sheet if which == 1 else ""
        self.made = None
        try:
            leave = frozenset(self.changes.leave)
            self.made = renumbered(snapshot, items, sheet=sheet, by=_BY[self.by.currentIndex()], leave=leave)
        except EditError as fault:
            self.head.setText(str(fault))
            if not self.changes.leave or locked_by(snapshot) is not None:
                self.changes.fill([])
        else:
            self._show(self.made)
        self._may()

    def _show(self, made: Renumbering) -> None:
        snapshot = self.document.snapshot()
        kept = [row for row in self.changes.rows if row[0].item in self.changes.leave]
        rows = [(change, self._kind(change.item)) for change in made.changes]
        shown = {change.item for change, _what in rows}
        before = self.table.currentIndex()
        self.changes.fill([*rows, *(row for row in kept if row[0].item not in shown)])
        if before.isValid() and before.row() < len(self.changes.rows):
            self.table.setCurrentIndex(self.changes.index(before.row(), before.column()))
        count = len(made.changes)
        if count:
            text = ngettext("{n} of {all} would be renamed.", "{n} of {all} would be renamed.", count)
            told = [text.format(n=count, all=made.counted)]
        else:
            told = [_("Every designation is as it would be numbered.")]
        if made.texts:
            told.append(ngettext("Words in {n} note go along.", "Words in {n} notes go along.", made.texts).format(
                n=made.texts))  # fmt: skip
        self.head.setText(" ".join(told))
        if was_issued(snapshot):
            self.note.setText(_("The drawing was issued: what is renamed keeps its old designation, “formerly F3”."))
        else:
            self.note.setText("")
        self.note.setVisible(bool(self.note.text()))

    def _kind(self, item: str) -> str:
        snapshot = self.document.snapshot()
        record = snapshot.equipment.get(item)
        if record is not None:
            return record.label or _(record.NAME)
        run = snapshot.runs[item]
        ends = [snapshot.name(end.equipment) for end in (run.from_end, run.to_end)]
        return run.label or _("run from {one} to {other}").format(one=ends[0], other=ends[1])

    def _may(self) -> None:
        some = self.made is not None and bool(self.made.changes)
        self.do.setEnabled(some and not self.document.read_only)
        self.write.setEnabled(some)

    # -- doing ------------------------------------------------------------------------------------------------------
    def renumber(self) -> None:
        """Do it."""
        self.reckon()
        if self.made is not None and self.made.changes:
            self.window_of.try_edit(self.made.edit)

    def _reveal(self) -> None:
        row = self.table.currentIndex().row()
        if 0 <= row < len(self.changes.rows):
            self.window_of.board.reveal(self.changes.rows[row][0].item)

    def write_list(self) -> None:
        """Ask where, then write the labels that would have to be changed."""
        self.reckon()
        if self.made is None or not self.made.changes:
            return
        path = self.document.path
        name = (path or Path.home() / "drawing").with_name(
            _("{drawing} - labels to change").format(drawing=path.stem if path is not None else _("drawing")) + ".pdf"
        )
        text, _kind = QFileDialog.getSaveFileName(
            self.window_of, _("Write the labels to change"), str(name), "PDF (*.pdf);;CSV (*.csv)"
        )
        if not text:
            return
        target = Path(text)
        if target.suffix.lower() == ".csv":
            self._write_csv(target, self.made)
            return
        from app.window.files import may_write_over
        from app.window.numbering.label_paper import LabelPaper
        from app.window.printing import Printing

        if target.suffix.lower() != ".pdf":
            target = target.with_name(target.name + ".pdf")
            if target.exists() and not may_write_over(self.window_of, target):
                return
        Printing(self.window_of, target, LabelPaper("renumber", self._options(), _("Write the labels to change")))

    def _options(self) -> tuple[str, ...]:
        assert self.made is not None
        only = tuple(change.item for change in self.made.changes)
        return ("--by", _BY[self.by.currentIndex()], "--only", *only)

    def _write_csv(self, target: Path, made: Renumbering) -> None:
        from app.handover.labels.to_change import table
        from app.paper.csvfile import csv_bytes

        try:
            write_bytes(target, csv_bytes([table(self.document.snapshot(), made)]))
        except OSError as fault:
            self.window_of.foot.refuse(_("{name} was not written: {why}").format(name=target.name, why=reason(fault)))
        else:
            self.window_of.foot.say(_("{name} written.").format(name=target.name))


class _Table(QTableView):
    """The space bar ticks, whichever column it is in."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        index = self.currentIndex()
        if event.key() == Qt.Key.Key_Space and index.isValid():
            first = index.siblingAtColumn(0)
            role = Qt.ItemDataRole.CheckStateRole
            on = Qt.CheckState(self.model().data(first, role)) == Qt.CheckState.Checked
            self.model().setData(first, Qt.CheckState.Unchecked if on else Qt.CheckState.Checked, role)
            event.accept()
            return
        super().keyPressEvent(event)


def _button(text: str, tip: str) -> QPushButton:
    button = QPushButton(text)
    button.setToolTip(tip)
    button.setAccessibleName(text.replace("&", "").removesuffix("…"))
    button.setAccessibleDescription(tip)
    return button
