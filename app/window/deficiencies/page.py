"""The page of deficiencies: the survey, a list by class and standing, the form of the chosen one, its photographs."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QKeyEvent, QKeySequence, QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QListWidgetItem,
    QPushButton,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.window.deficiencies.current import choose_survey, current_survey, new_survey, surveys_in_order
from app.window.deficiencies.form import DeficiencyForm
from app.window.document import Change, Document
from app.window.enter_key import EnterList
from app.window.particulars.scrolling import Inside, wrapping
from app.window.small_print import cautions_line
from engine.deficiencies import GRADES, STATUSES, grade_name, in_order, is_open, told_at
from engine.edits import EditError
from engine.installation import Deficiency, Snapshot
from engine.naming import capital, title_of
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.window.photographs.strip import PhotographStrip

__all__ = ["DeficienciesPage", "row_words"]

_ITEM = Qt.ItemDataRole.UserRole
_EVERY = "*"


def row_words(snapshot: Snapshot, deficiency: Deficiency) -> str:
    """A row: *3  A  F3, engine space: burnt lug (open)*."""
    number = "–" if deficiency.number is None else str(deficiency.number)
    at = capital(told_at(snapshot, deficiency))
    seen = " ".join(deficiency.observation.split())
    text = _("{at}: {seen}").format(at=at, seen=seen) if at else seen
    told = _("{n}  {grade}  {text} ({standing})")
    return told.format(n=number, grade=deficiency.grade or "–", text=text, standing=_(STATUSES[deficiency.status]))


class DeficienciesPage(QWidget):
    """Follows the drawing while it is shown."""

    refused = Signal(str)
    reveal = Signal(str)  # id of a deficiency: show its square and its thing
    record_wanted = Signal(str, str)  # table, id
    mark_wanted = Signal()
    pointed_at = Signal(int)  # number of the one chosen in the list

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.today: Callable[[], datetime.date] = datetime.date.today
        self._behind = True
        self.strips: tuple[PhotographStrip, ...] = ()
        self.setAccessibleName(_("Deficiencies"))
        self._build()
        self.setAcceptDrops(True)
        document.changed.connect(self._changed)
        document.selected.connect(self._selected)
        document.surveyed.connect(self._fill)
        document.headed.connect(self._headed)

    # -- making -----------------------------------------------------------------------------------------------------
    def _build(self) -> None:
        self.survey = self._choice(_("Survey"))
        self.survey.activated.connect(self._survey_chosen)
        self.new_button = self._button(_("New survey"), _("Begin a survey of today; what is marked belongs to it."))
        self.new_button.clicked.connect(self._new_survey)
        self.facts_button = self._button(_("Particulars"), _("Every fact of the survey, wording of classes too."))
        self.facts_button.clicked.connect(self._show_survey)
        first = QHBoxLayout()
        first.addWidget(self.survey, 1)
        first.addWidget(self.new_button)
        first.addWidget(self.facts_button)
        self.grade = self._choice(_("Class shown"))
        self.grade.addItem(_("every class"), _EVERY)
        for grade in (*GRADES, ""):
            self.grade.addItem(grade_name(grade), grade)
        self.status = self._choice(_("Standing shown"))
        self.status.addItem(_("however it stands"), _EVERY)
        self.status.addItem(_("all but closed"), "not closed")
        for status, words in STATUSES.items():
            self.status.addItem(_(words), status)
        for choice in (self.grade, self.status):
            choice.activated.connect(self._filter)
        second = QHBoxLayout()
        second.addWidget(self.grade, 1)
        second.addWidget(self.status, 1)
        self.count = wrapping(QLabel())
        self.list = EnterList()
        self.list.setAccessibleName(_("List of deficiencies"))
        self.list.setAccessibleDescription(_("Enter goes into the form, the space bar shows the thing on its sheet."))
        self.list.setWordWrap(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.currentItemChanged.connect(self._row_changed)
        self.list.entered.connect(self._into_form)
        self.list.shown.connect(self._reveal)
        self.list.itemDoubleClicked.connect(lambda _item: self._reveal())
        self.form = DeficiencyForm(self.document)
        self.form.refused.connect(self.refused)
        self.form.closing_begun.connect(self._shown)
        inside = Inside()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.form)
        self.below = column
        column.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(inside)
        self.mark_button = self._button(_("Mark"), _("Mark a deficiency at what is chosen on the sheet (M there)."))
        self.mark_button.clicked.connect(self.mark_wanted)
        self.show_button = self._button(_("Show"), _("Show the thing and its square on the sheet."))
        self.show_button.clicked.connect(self._reveal)
        buttons = QHBoxLayout()
        buttons.addWidget(self.mark_button)
        buttons.addWidget(self.show_button)
        buttons.addStretch(1)
        split = QSplitter(Qt.Orientation.Vertical)
        split.setChildrenCollapsible(False)
        split.addWidget(self.list)
        split.addWidget(scroll)
        split.setStretchFactor(0, 2)
        split.setStretchFactor(1, 5)
        split.setSizes([180, 540])
        whole = QVBoxLayout(self)
        whole.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)
        whole.setContentsMargins(8, 8, 8, 8)
        whole.setSpacing(6)
        whole.addLayout(first)
        whole.addLayout(second)
        whole.addWidget(self.count)
        whole.addWidget(split, 1)
        whole.addLayout(buttons)
        whole.addWidget(cautions_line())

    def _choice(self, name: str) -> QComboBox:
        made = QComboBox()
        made.setAccessibleName(name)
        made.setToolTip(name)
        made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        made.setMinimumContentsLength(8)
        return made

    def _button(self, text: str, tip: str) -> QPushButton:
        made = QPushButton(text)
        made.setAccessibleName(text)
        made.setToolTip(tip)
        made.setAccessibleDescription(tip)
        made.setAutoDefault(False)
        return made

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(300, 320)

    def begin(self) -> None:
        """Take the focus."""
        self.list.setFocus(Qt.FocusReason.TabFocusReason)

    # -- following --------------------------------------------------------------------------------------------------
    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page does nothing; it catches up when it is shown."""
        super().showEvent(event)
        if self._behind:
            self._fill()
        self._selected()

    def _changed(self, _change: Change) -> None:
        self._behind = True
        if self.isVisible():
            self._fill()

    def _headed(self) -> None:
        writable = not self.document.read_only
        for button in (self.new_button, self.mark_button):
            button.setEnabled(writable)
        self.form.setEnabled(writable and self.form.record is not None)

    def _fill(self) -> None:
        self._behind = False
        snapshot, wanted = self.document.snapshot(), self.current()
        chosen = next((i for i in self.document.selection if i in snapshot.deficiencies), "")
        here = current_survey(self.document)
        self.survey.clear()
        for item in surveys_in_order(self.document):
            self.survey.addItem(title_of(snapshot, "surveys", item), item)
        if not self.survey.count():
            self.survey.addItem(_("No survey yet"), "")
        self.survey.setCurrentIndex(max(self.survey.findData(here), 0))
        self.facts_button.setEnabled(bool(here))
        every = [(i, d) for i, d in in_order(snapshot) if not here or d.survey in (here, "")]
        others = len(snapshot.deficiencies) - len(every)
        rows = [(i, d) for i, d in every if self._wanted(d) or i == chosen]
        with QSignalBlocker(self.list):
            self.list.clear()
            for item, deficiency in rows:
                row = QListWidgetItem(row_words(snapshot, deficiency))
                row.setData(_ITEM, item)
                row.setToolTip(row.text())
                font = row.font()
                font.setBold(deficiency.grade == "A" and is_open(deficiency))
                row.setFont(font)
                self.list.addItem(row)
                if item == (chosen or wanted):
                    self.list.setCurrentItem(row)
            if self.list.currentItem() is None and rows:
                self.list.setCurrentRow(0)
        self._tell_count(every, others)
        self.form.show_item(self.current())
        self.show_button.setEnabled(bool(self.current()))
        self._shown()
        self._headed()

    def hold_photographs(self, strip: PhotographStrip, evidence: PhotographStrip) -> None:
        """The strips of its photographs and of those that show it put right, below the form."""
        self.strips = (strip, evidence)
        self.below.insertWidget(1, strip)
        self.below.insertWidget(2, evidence)
        self._shown()

    def _shown(self) -> None:
        """The photographs follow the chosen one; what shows it put right has room once that is asked for."""
        item = self.current()
        record = self.document.installation.tables["deficiencies"].get(item)
        for strip in self.strips:
            strip.show_for(item)
            wanted = record is not None and (
                not strip.evidence or bool(record.evidence_photographs) or self.form.is_closing
            )
            strip.setVisible(wanted)

    def _tell_count(self, every: list[tuple[str, Deficiency]], others: int) -> None:
        still = sum(is_open(d) for _i, d in every)
        told = [
            ngettext("{n} deficiency, {still} not closed.", "{n} deficiencies, {still} not closed.", len(every)).format(
                n=len(every), still=still
            )
        ]
        if others:
            told.append(ngettext("{n} more of other surveys.", "{n} more of other surveys.", others).format(n=others))
        self.count.setText(" ".join(told))

    def _filter(self, _index: int = 0) -> None:
        """Others are asked for; a chosen one that is not among them is let go, else it would stay in the list."""
        every = self.document.installation.tables["deficiencies"]
        chosen = [every[i] for i in self.document.selection if i in every]
        if any(not self._wanted(one) for one in chosen):
            self.document.select()
        self._fill()

    def _wanted(self, deficiency: Deficiency) -> bool:
        grade, status = self.grade.currentData(), self.status.currentData()
        stands = status in (_EVERY, deficiency.status) or (status == "not closed" and is_open(deficiency))
        return stands and grade in (_EVERY, deficiency.grade)

    def current(self) -> str:
        """Id of the chosen deficiency, "" none."""
        row = self.list.currentItem()
        return "" if row is None else str(row.data(_ITEM))

    def _row_changed(self, _now: object, _before: object) -> None:
        item = self.current()
        self.form.show_item(item)
        self.show_button.setEnabled(bool(item))
        if item and item not in self.document.selection:
            self.document.select(item)
        self._shown()
        record = self.document.installation.tables["deficiencies"].get(item)
        if record is not None and record.number is not None:
            self.pointed_at.emit(record.number)

    def _selected(self) -> None:
        every = self.document.installation.tables["deficiencies"]
        item = next((i for i in self.document.selection if i in every), "")
        if item and self.isVisible() and item != self.current():
            self.show_item(item)

    def show_item(self, item: str) -> None:
        """Be at one, whatever survey it is of."""
        record = self.document.installation.tables["deficiencies"].get(item)
        if record is None:
            return
        if record.survey and record.survey != current_survey(self.document):
            choose_survey(self.document, record.survey)
        self.document.select(item)
        for n in range(self.list.count()):
            if self.list.item(n).data(_ITEM) == item:
                self.list.setCurrentRow(n)
                return
        self._fill()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Qt's own name. Photographs may be let go anywhere on the page."""
        if self.strips:
            self.strips[1 if self.form.is_closing else 0].dragEnterEvent(event)

    def dropEvent(self, event: QDropEvent) -> None:
        """Qt's own name."""
        if self.strips:
            self.strips[1 if self.form.is_closing else 0].dropEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name. A picture is pasted wherever one is on the page, unless in a field of words."""
        if event.matches(QKeySequence.StandardKey.Paste) and self.strips:
            strip = self.strips[1] if self.form.is_closing else self.strips[0]
            strip.paste()
        else:
            super().keyPressEvent(event)

    # -- what one does ----------------------------------------------------------------------------------------------
    def _into_form(self) -> None:
        if self.current():
            self.form.grade.setFocus(Qt.FocusReason.TabFocusReason)

    def _reveal(self) -> None:
        if self.current():
            self.reveal.emit(self.current())

    def _survey_chosen(self, index: int) -> None:
        item = self.survey.itemData(index)
        if item:
            choose_survey(self.document, item)

    def _new_survey(self) -> None:
        try:
            new_survey(self.document, self.today())
        except EditError as fault:
            self.refused.emit(str(fault))

    def _show_survey(self) -> None:
        item = current_survey(self.document)
        if item:
            self.record_wanted.emit("surveys", item)

    def settle(self) -> str:
        """Before saving and leaving: what is half typed is given."""
        for strip in self.strips:
            strip.settle()
        return self.form.settle()
