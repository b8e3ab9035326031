"""The page of notes: a summary, the rows, the whole of the one chosen, and at the foot what binds and the cautions."""

from __future__ import annotations

import datetime

from PySide6.QtCore import QModelIndex, QSize, Qt, QUrl, Signal
from PySide6.QtGui import QAccessible, QAccessibleEvent, QShowEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QSplitter,
    QStackedWidget,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from app.help.page import LINK
from app.judgement import Judgement
from app.window.document import Change, Document
from app.window.notes.form import WaiverForm
from app.window.notes.lines import Line, lines_of, summary
from app.window.notes.list import NotesList
from app.window.notes.mending import MendButton
from app.window.notes.model import NotesModel
from app.window.notes.waiving import Answers, Lacking, can_waive, take_back, waive, waivers_of
from app.window.notes.whole import finding_of, whole_note
from app.window.sizing.offers import sizable
from app.window.small_print import make_small
from engine.cautions import CAUTIONS
from engine.edits import EditError
from engine.findings import Finding
from engine.judged_by import edition_note, standing_of_book
from engine.words import _

__all__ = ["NotesPage"]


class NotesPage(QWidget):
    """What was found and what could not be judged, always together."""

    reveal = Signal(str)  # key of a finding (or of what was not judged): show what it speaks of
    field_wanted = Signal(str, str)  # id, field
    back = Signal()
    size_wanted = Signal(str)  # id of a run or of equipment
    rule_wanted = Signal(str)  # name of a rule: its page
    refused = Signal(str)  # a sentence
    state_wanted = Signal(str)  # key of a finding: show the sheet in the state in which it is true

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.rows = NotesModel()
        self.today = datetime.date.today
        self._behind = False  # something has happened while the page was hidden
        self._shown = ""  # the name of the row whose whole is shown
        self._build()
        self.notes.selectionModel().currentChanged.connect(self._current_changed)
        self.notes.taken.connect(self._take)
        self.show_button.clicked.connect(self._take_current)
        self.back_button.clicked.connect(self.back)
        self.waive_button.clicked.connect(self._begin_waiver)
        self.size_button.clicked.connect(self._size)
        self.unwaive_button.clicked.connect(self._take_waiver_back)
        self.state_button.clicked.connect(self._show_state)
        self.mend_button.refused.connect(self.refused)
        self.mend_button.mended.connect(self.begin)
        self.form.given.connect(self._waive)
        self.form.dropped.connect(self._end_waiver)
        self.whole.anchorClicked.connect(self._follow)
        document.changed.connect(self._changed)
        document.judged.connect(self._judged)
        self._fill()

    def _build(self) -> None:
        self.setAccessibleName(_("Notes"))
        self.summary_line = _text_line(_("Summary of the judgement"))
        bold = self.summary_line.font()
        bold.setBold(True)
        self.summary_line.setFont(bold)
        self.notes = NotesList(self.rows)
        self.whole = QTextBrowser()
        self.whole.setAccessibleName(_("The whole note"))
        self.whole.setOpenLinks(False)
        self.whole.setTabChangesFocus(True)
        self.whole.setFrameShape(QTextBrowser.Shape.NoFrame)
        self.show_button = QPushButton(_("Show"))
        self.show_button.setToolTip(_("Go to what the note speaks of"))
        self.back_button = QPushButton(_("Back"))
        self.back_button.setToolTip(_("To where one was before a note led elsewhere"))
        self.waive_button = QPushButton(_("Waive…"))
        self.waive_button.setToolTip(_("Accept this finding, with a reason"))
        self.size_button = QPushButton(_("Size it"))
        self.size_button.setToolTip(_("What it needs, what decides, and the edit that fits it"))
        self.unwaive_button = QPushButton(_("Take back the waiver"))
        buttons = QHBoxLayout()
        for button in (self.show_button, self.back_button, self.size_button, self.waive_button, self.unwaive_button):
            button.setAccessibleName(button.text().rstrip("…"))
            button.setAccessibleDescription(button.toolTip())
            button.setAutoDefault(False)
            buttons.addWidget(button)
        buttons.addStretch(1)
        one = QWidget()
        inside = QVBoxLayout(one)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.addWidget(self.whole, 1)
        self.mend_button = MendButton(self.document)
        self.state_button = QPushButton(_("Show me"))
        self.state_button.setToolTip(_("Show the sheet with the switches as they stand where this is true"))
        self.state_button.setAccessibleDescription(self.state_button.toolTip())
        self.state_button.setAutoDefault(False)
        self.state_button.hide()
        mending = QHBoxLayout()
        mending.addWidget(self.state_button)
        mending.addWidget(self.mend_button)
        mending.addStretch(1)
        inside.addLayout(mending)
        inside.addLayout(buttons)
        self.form = WaiverForm()
        self.below = QStackedWidget()
        self.below.addWidget(one)
        self.below.addWidget(self.form)
        self.below.currentChanged.connect(self._give_room)
        self._give_room(0)
        self.split = QSplitter(Qt.Orientation.Vertical)
        self.split.setChildrenCollapsible(False)
        self.split.addWidget(self.notes)
        self.split.addWidget(self.below)
        self.split.setStretchFactor(0, 3)
        self.split.setStretchFactor(1, 2)
        self.binds_line = _text_line(_("Whom the book binds"), small=True)
        self.caution_line = _text_line(_("Cautions"), small=True)
        self.caution_line.setText(" ".join(_(text) for text in CAUTIONS))
        whole = QVBoxLayout(self)
        whole.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)
        whole.setContentsMargins(8, 8, 8, 8)
        whole.setSpacing(6)
        whole.addWidget(self.summary_line)
        whole.addWidget(self.split, 1)
        whole.addWidget(self.binds_line)
        whole.addWidget(self.caution_line)

    def _give_room(self, _shown: int) -> None:
        """The form of a waiver takes its room while it is shown, and none from the list before."""
        shown = self.below.currentWidget() is self.form
        high = QSizePolicy.Policy.Preferred if shown else QSizePolicy.Policy.Ignored
        self.form.setSizePolicy(QSizePolicy.Policy.Preferred, high)
        self.below.updateGeometry()

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 320)

    def begin(self) -> None:
        """Take the focus."""
        self.notes.setFocus(Qt.FocusReason.TabFocusReason)

    # -- what is shown ------------------------------------------------------------------------------------------
    def _changed(self, _change: Change) -> None:
        self.rows.set_stale(self.document.judgement is not None)
        if self.isVisible():
            self._head()
            self._show_whole()
        else:
            self._behind = True

    def _judged(self, _judgement: Judgement) -> None:
        self.rows.set_stale(False)
        if self.isVisible():
            self._fill()
        else:
            self._behind = True

    def catch_up(self) -> None:
        """Take over what happened while the page was hidden."""
        if self._behind:
            self._fill()

    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page costs nothing; it catches up when it is shown."""
        self.catch_up()
        super().showEvent(event)

    def _fill(self) -> None:
        self._behind = False
        judgement = self.document.judgement
        current = self.current_line()
        lines = [] if judgement is None else lines_of(judgement, self.document.snapshot())
        if lines != self.rows.lines:
            self.rows.show(lines)
            number = self.rows.number_of(current.name) if current is not None else -1
            if number >= 0:
                self.notes.go_to_row(number)
        self._head()
        self._show_whole()
        if judgement is not None:
            result = judgement.result
            told = (_(result.title), standing_of_book(result), edition_note(result))
            self.binds_line.setText(" ".join(text for text in (f"{told[0]}.", *told[1:]) if text))
        self.binds_line.setVisible(judgement is not None)

    def _head(self) -> None:
        judgement = self.document.judgement
        told = summary(judgement)
        if judgement is None and self.document.judge is not None:
            told = _("Being judged…")
        if self.rows.stale:
            told = _("Being judged… Before the last change: {summary}").format(summary=told)
        self.summary_line.setText(told)
        finding = self._finding()
        line = self.current_line()
        writable = not self.document.read_only
        self.show_button.setEnabled(line is not None and bool(line.key))
        self.waive_button.setVisible(not (finding is not None and bool(waivers_of(finding, self.document.snapshot()))))
        self.waive_button.setEnabled(writable and can_waive(finding))
        held = finding is not None and bool(waivers_of(finding, self.document.snapshot()))
        self.unwaive_button.setVisible(held)
        self.unwaive_button.setEnabled(writable)
        self.state_button.setVisible(finding is not None and bool(finding.positions))
        self.mend_button.show_for(finding, stale=self.rows.stale)
        self.size_button.setVisible(bool(sizable(finding, self.document.snapshot())))

    def current_line(self) -> Line | None:
        """The row one is in."""
        number = self.notes.currentIndex().row()
        return self.rows.lines[number] if 0 <= number < len(self.rows.lines) else None

    def _finding(self) -> Finding | None:
        line = self.current_line()
        return finding_of(self.document.judgement, line.key) if line is not None and line.key else None

    def _current_changed(self, _now: QModelIndex, _before: QModelIndex) -> None:
        self._head()
        self._show_whole()

    def _show_whole(self) -> None:
        line = self.current_line()
        text = "" if line is None else whole_note(line, self.document.judgement, self.rows.stale)
        if text != self._shown:
            self._shown = text
            self.whole.setHtml(text)

    def show_finding(self, key: str) -> None:
        """Be in the row of a finding."""
        self.catch_up()
        number = next((n for n, line in enumerate(self.rows.lines) if line.key == key), -1)
        if number >= 0:
            self._end_waiver()
            self.notes.go_to_row(number)

    # -- what one does ------------------------------------------------------------------------------------------
    def _take_current(self) -> None:
        self._take(self.notes.currentIndex().row())

    def _take(self, number: int) -> None:
        """A row was clicked or entered: lead to the field that is missing, or to the thing."""
        if not 0 <= number < len(self.rows.lines):
            return
        line = self.rows.lines[number]
        if line.field:
            self.field_wanted.emit(line.item, line.field)
        elif line.key and (line.gap is None or line.gap.ids):
            self.reveal.emit(line.key)

    def _follow(self, link: QUrl) -> None:
        """The way to the page of the rule."""
        if link.toString().startswith(LINK):
            self.rule_wanted.emit(link.toString().removeprefix(LINK))

    def _size(self) -> None:
        """What the finding speaks of is too small, or its device too large: on to what it needs."""
        item = sizable(self._finding(), self.document.snapshot())
        if item:
            self.size_wanted.emit(item)

    def _show_state(self) -> None:
        """The state of the switches in which the finding is true."""
        finding = self._finding()
        if finding is not None and finding.positions:
            self.state_wanted.emit(finding.key)

    def current_key(self) -> str:
        """The finding one is in, "" for none."""
        finding = self._finding()
        return "" if finding is None else finding.key

    def settle(self) -> str:
        """Before leaving: a sentence about a waiver that was begun and not given, else ""."""
        is_begun = self.below.currentWidget() is self.form and bool(self.form.reason.toPlainText().strip())
        return _("The waiver that was begun is not given yet.") if is_begun else ""

    # -- waivers ------------------------------------------------------------------------------------------------
    def _begin_waiver(self) -> None:
        finding = self._finding()
        if finding is not None and can_waive(finding):
            self.below.setCurrentWidget(self.form)
            self.form.begin(finding, self.today())

    def _end_waiver(self) -> None:
        if self.below.currentWidget() is self.form:
            self.below.setCurrentIndex(0)
            self.notes.setFocus(Qt.FocusReason.OtherFocusReason)

    def _waive(self, answers: Answers) -> None:
        finding = self.form.finding
        assert finding is not None
        item = self.document.installation.new_id("waivers")
        try:
            self.document.do(waive(finding, answers, self.document.snapshot(), item, self.today()))
        except Lacking as lacking:
            self.form.tell_lacking(lacking.field, str(lacking))
            QAccessible.updateAccessibility(QAccessibleEvent(self.form.lacking, QAccessible.Event.Alert))
            return
        except EditError as fault:
            self.form.tell_lacking("", str(fault))
            return
        self._end_waiver()

    def _take_waiver_back(self) -> None:
        finding = self._finding()
        edit = take_back(finding, self.document.snapshot()) if finding is not None else None
        if edit is None:
            return
        try:
            self.document.do(edit)
        except EditError as fault:
            self.refused.emit(str(fault))


def _text_line(name: str, *, small: bool = False) -> QLabel:
    """A text that breaks into lines; `small`: nine tenths as high, never below 8 points."""
    line = QLabel()
    line.setWordWrap(True)
    line.setTextFormat(Qt.TextFormat.PlainText)
    line.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    line.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
    line.setAccessibleDescription(name)
    if small:
        make_small(line)
    return line
