"""The page of the walk: a place at a time, one key an answer, on to the next; each answer is one step to take back."""

from __future__ import annotations

import datetime
from collections.abc import Callable

from PySide6.QtCore import QModelIndex, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.window.deficiencies.current import current_survey, new_survey
from app.window.document import Change, Document
from app.window.particulars.scrolling import wrapping
from app.window.small_print import cautions_line
from app.window.titling.fields import Line
from app.window.walk.rows import Row, RowsModel, WalkList, answer_of
from engine.edits import Edit, EditError
from engine.naming import title_of
from engine.survey.aboard import System
from engine.survey.answers import ENERGISED, SEEN, Counts, State, answered, system_answered
from engine.survey.checklist import Point, Walk
from engine.words import N_, _, ngettext

__all__ = ["WalkPage"]

_ABOARD = ("equipment", "runs", "places", "enclosures", "settings")  # what the walk is made from
_ANSWERS = ("inspections", "surveys", "placements", "routes", "sheets")  # what else shows on the page
_SYSTEMS = "systems"  # among the places
_FILTERS = (N_("everything"), N_("what is open"), N_("what was not seen, or not accessible"))
_LINES = 6  # of what to look at
_LEAST = 3  # rows of the list


class WalkPage(QWidget):
    """Follows the drawing and the survey while it is shown."""

    refused = Signal(str)  # a sentence
    reveal = Signal(str)  # id of equipment or a run

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.today: Callable[[], datetime.date] = datetime.date.today
        self.walk = Walk(document.snapshot())
        self.said = State(document.snapshot(), "")
        self.counts = Counts()
        self._places: list[str] = []
        self._behind = self._walk_behind = True
        self.setAccessibleName(_("Walk aboard"))
        self._build()
        document.changed.connect(self._changed)
        document.surveyed.connect(self._surveyed)
        document.headed.connect(self._stand)

    # -- making -----------------------------------------------------------------------------------------------------
    def _build(self) -> None:
        self.head = wrapping(QLabel())
        self.head.setAccessibleDescription(_("The survey, and how much of it is done"))
        self.new_button = self._button(_("New survey"), _("Begin a survey of today; what is answered belongs to it."))
        self.new_button.clicked.connect(self._new_survey)
        first = QHBoxLayout()
        first.addWidget(self.head, 1)
        first.addWidget(self.new_button, 0, Qt.AlignmentFlag.AlignTop)
        self.place = self._choice(_("Place that is walked"))
        self.place.activated.connect(self._place_chosen)
        self.filter = self._choice(_("What is listed"))
        self.filter.addItems([_(words) for words in _FILTERS])
        self.filter.activated.connect(self._filtered)
        self.model = RowsModel()
        self.list = WalkList()
        self.list.setModel(self.model)
        self.list.setUniformItemSizes(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setAccessibleName(_("Things to look at"))
        keys = _(
            "1, 2, 3 answer and go on, 0 takes the answer away; with Alt all that is open in the place. Enter writes "
            "a note, the space bar shows the thing, the arrows left and right turn to another place."
        )
        self.list.setAccessibleDescription(keys)
        self.list.setToolTip(keys)
        self.list.setMinimumHeight(self.list.fontMetrics().lineSpacing() * _LEAST)
        self.list.selectionModel().currentChanged.connect(self._row_changed)
        self.list.answered.connect(self.answer)
        self.list.rest_answered.connect(self.answer_rest)
        self.list.noting.connect(self._into_note)
        self.list.wanted.connect(self._show_thing)
        self.list.place_turned.connect(self._turn)
        self.list.clicked.connect(lambda _index: self._show_thing())
        self.look = wrapping(QLabel())
        self.look.setAccessibleName(_("What to look at"))
        self.look.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        looking = QScrollArea()
        looking.setWidgetResizable(True)
        looking.setFrameShape(QFrame.Shape.NoFrame)
        looking.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        looking.setAccessibleName(self.look.accessibleName())
        looking.setMinimumHeight(self.look.fontMetrics().lineSpacing() * 2)
        looking.setMaximumHeight(self.look.fontMetrics().lineSpacing() * _LINES)
        looking.setWidget(self.look)
        self.buttons = [self._button("", "") for _n in range(3)]
        self.rest_buttons = [self._button("", "") for _n in range(3)]
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(3)
        grid.setColumnStretch(0, 1)
        for n in range(3):
            grid.addWidget(self.buttons[n], n, 0)
            grid.addWidget(self.rest_buttons[n], n, 1)
            self.buttons[n].clicked.connect(lambda _checked=False, n=n: self.answer(n + 1))
            self.rest_buttons[n].clicked.connect(lambda _checked=False, n=n: self.answer_rest(n + 1))
        self.note = Line(_("Note"))
        self.note.setPlaceholderText(_("Note (Enter in the list leads here)"))
        self.note.given.connect(self._noted)
        whole = QVBoxLayout(self)
        whole.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)
        whole.setContentsMargins(8, 8, 8, 8)
        whole.setSpacing(6)
        whole.addLayout(first)
        whole.addWidget(self.place)
        whole.addWidget(self.filter)
        whole.addWidget(self.list, 1)
        whole.addWidget(looking)
        whole.addLayout(grid)
        whole.addWidget(self.note)
        whole.addWidget(cautions_line())
        self.setTabOrder(self.list, self.buttons[0])
        self.setTabOrder(self.note, self.list)

    def _button(self, text: str, tip: str) -> QPushButton:
        made = QPushButton(text)
        made.setAutoDefault(False)
        self._name(made, text, tip)
        return made

    def _name(self, button: QPushButton, text: str, tip: str) -> None:
        button.setText(text)
        button.setAccessibleName(text)
        button.setToolTip(tip)
        button.setAccessibleDescription(tip)

    def _choice(self, name: str) -> QComboBox:
        made = QComboBox()
        made.setAccessibleName(name)
        made.setToolTip(name)
        made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        made.setMinimumContentsLength(8)
        return made

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(300, 320)

    def begin(self) -> None:
        """Take the focus: the list, or the button that begins a survey where there is none."""
        if not current_survey(self.document) and not self.document.read_only:
            self.new_button.setFocus(Qt.FocusReason.TabFocusReason)
        else:
            self.list.setFocus(Qt.FocusReason.TabFocusReason)

    # -- following --------------------------------------------------------------------------------------------------
    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page does nothing; it catches up when it is shown."""
        super().showEvent(event)
        if self._behind:
            self._fill()

    def _changed(self, change: Change) -> None:
        tables = {table for table, _item in change.items}
        self._walk_behind = self._walk_behind or not tables.isdisjoint(_ABOARD)
        if self._walk_behind or not tables.isdisjoint(_ANSWERS):
            self._surveyed()

    def _surveyed(self) -> None:
        self._behind = True
        if self.isVisible():
            self._fill()

    def _fill(self) -> None:
        snapshot = self.document.snapshot()
        if self._walk_behind:
            self.walk = Walk(snapshot)
        else:
            self.walk.redrawn(snapshot)
        self._behind = self._walk_behind = False
        self.said = State(snapshot, current_survey(self.document))
        chosen = self.chosen_place()
        self._places = [group.place for group in self.walk.groups] + ([_SYSTEMS] if self.walk.systems else [])
        counts = [self.said.counts(group.loose) for group in self.walk.groups]
        self.counts = Counts(*(sum(n) for n in zip(Counts(), *counts, strict=True)))
        with QSignalBlocker(self.place):
            self.place.clear()
            for group, count in zip(self.walk.groups, counts, strict=True):
                self.place.addItem(_open_of(group.heading, count.open, count.all))
            if self.walk.systems:
                left = sum(not self.said.energised(system) for system in self.walk.systems)
                self.place.addItem(_open_of(_("Systems of voltage"), left, len(self.walk.systems)))
            self.place.setCurrentIndex(self._places.index(chosen) if chosen in self._places else 0)
        self._stand()
        self._list_rows()

    def _stand(self) -> None:
        survey, writable = current_survey(self.document), not self.document.read_only
        snapshot = self.document.snapshot()
        if not survey:
            words = _("No survey is begun: answers need one.")
        else:
            words = _("Survey {survey}: {counts}.").format(
                survey=title_of(snapshot, "surveys", survey), counts=self.counts.words
            )
        self.head.setText(words)
        self.new_button.setVisible(not survey)
        self.new_button.setEnabled(writable)
        for button in (*self.buttons, *self.rest_buttons, self.note):
            button.setEnabled(writable and bool(survey))

    def chosen_place(self) -> str:
        """Id of the place that is walked, "" for things without one."""
        index = self.place.currentIndex()
        return self._places[index] if 0 <= index < len(self._places) else ""

    def _list_rows(self) -> None:
        place, before, row = self.chosen_place(), self.current(), self.list.currentIndex().row()
        every: tuple[Row, ...] = ()
        if place == _SYSTEMS:
            every = self.walk.systems
        else:
            every = next((group.points for group in self.walk.groups if group.place == place), ())
        kept = tuple(each for each in every if self._is_listed(each))
        self.model.fill(self.walk, self.said, kept)
        at = kept.index(before) if before in kept else min(max(row, 0), len(kept) - 1)
        if at >= 0:
            self.list.setCurrentIndex(self.model.index(at))
        self._name_buttons(place == _SYSTEMS, sum(not answer_of(self.said, each) for each in every))
        self._tell_row()

    def _is_listed(self, row: Row) -> bool:
        answer = answer_of(self.said, row)
        if self.filter.currentIndex() == 1:
            return not answer
        return self.filter.currentIndex() != 2 or answer in (*SEEN[1:], *ENERGISED[1:])

    def _name_buttons(self, is_systems: bool, left: int) -> None:
        answers = ENERGISED if is_systems else SEEN
        tip = _("Answer so and go on to the next.")
        for n, (button, rest, answer) in enumerate(zip(self.buttons, self.rest_buttons, answers, strict=True), 1):
            self._name(button, _("{n} {answer}").format(n=n, answer=_(answer)), tip)
            words = ngettext("{n} open: {answer}", "All {n} open: {answer}", left).format(n=left, answer=_(answer))
            self._name(rest, _("All {n}").format(n=left), words)
            rest.setAccessibleName(words)
            rest.setToolTip(_("{words} (Alt+{n})").format(words=words, n=n))
            rest.setEnabled(button.isEnabled() and left > 0)

    # -- one row ----------------------------------------------------------------------------------------------------
    def current(self) -> Row | None:
        """The row one stands on."""
        row = self.list.currentIndex().row()
        return self.model.rows[row] if 0 <= row < len(self.model.rows) else None

    def _row_changed(self, _now: QModelIndex, _before: QModelIndex) -> None:
        self._tell_row()
        self._show_thing(only_drawn=True)

    def _tell_row(self) -> None:
        row = self.current()
        self.note.stand("" if row is None else self.said.note(row))
        if row is None:
            self.look.setText(_("Nothing is listed here.") if not self.model.rows else "")
        elif isinstance(row, System):
            self.look.setText(_("Whether it was seen energised."))
        else:
            told = list(self.walk.item(row).look)
            if not self.walk.item(row).drawn:
                told.append(_("no sheet shows it"))
            self.look.setText("; ".join(told))

    def _show_thing(self, only_drawn: bool = False) -> None:
        row = self.current()
        if not isinstance(row, Point) or not self.isVisible() or row.table not in ("equipment", "runs"):
            return
        if only_drawn and not self.list.hasFocus():
            return
        self.document.select(row.item)
        self.reveal.emit(row.item)

    # -- answering --------------------------------------------------------------------------------------------------
    def answer(self, n: int) -> None:
        """Say `n` (1 to 3; 0 nothing) of the row and go on to the next."""
        row = self.current()
        if row is None:
            return
        at = self.list.currentIndex().row()
        if self._do(self._edit((row,), n)) and n:
            rows = self.model.rows
            after = at + 1 if at < len(rows) and rows[at] == row else at
            self.list.setCurrentIndex(self.model.index(min(after, len(rows) - 1)))
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def answer_rest(self, n: int) -> None:
        """Say `n` of all that is open in this place."""
        place = self.chosen_place()
        if place == _SYSTEMS:
            for system in self.walk.systems:
                if not self.said.energised(system):
                    self._do(self._edit((system,), n))
            return
        group = next((group for group in self.walk.groups if group.place == place), None)
        left = () if group is None else tuple(point for point in group.points if not self.said.seen(point))
        if left:
            self._do(self._edit(left, n))
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _edit(self, rows: tuple[Row, ...], n: int, note: str | None = None) -> Edit:
        document = self.document
        snapshot, last, survey = document.snapshot(), document.installation.last_id, current_survey(document)
        record = snapshot.surveys.get(survey)
        who = "" if record is None else record.surveyor
        day = self.today().isoformat()
        first = rows[0]
        if isinstance(first, System):
            said = None if note is not None else ENERGISED[n - 1] if n else ""
            return system_answered(snapshot, last, survey, first, energised=said, note=note, who=who, date=day)
        points = tuple(row for row in rows if isinstance(row, Point))
        seen = None if note is not None else SEEN[n - 1] if n else ""
        return answered(snapshot, last, survey, points, seen=seen, note=note, who=who, date=day)

    def _do(self, edit: Edit) -> bool:
        if not current_survey(self.document):
            self.refused.emit(_("No survey is begun: answers need one."))
            return False
        try:
            self.document.do(edit)
        except EditError as fault:
            self.refused.emit(str(fault))
            return False
        return True

    def _noted(self, text: str) -> None:
        row = self.current()
        if row is not None and text != self.said.note(row):
            self._do(self._edit((row,), 0, text))

    def _into_note(self) -> None:
        self.note.setFocus(Qt.FocusReason.OtherFocusReason)
        self.note.selectAll()

    def settle(self) -> str:
        """Before saving and leaving: a note that is half typed is given."""
        self.note.give()
        return ""

    def _new_survey(self) -> None:
        try:
            new_survey(self.document, self.today())
        except EditError as fault:
            self.refused.emit(str(fault))
            return
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    # -- places -----------------------------------------------------------------------------------------------------
    def _place_chosen(self, _index: int) -> None:
        self.list.setCurrentIndex(QModelIndex())
        self._list_rows()
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _filtered(self, _index: int) -> None:
        self._list_rows()

    def _turn(self, step: int) -> None:
        at = self.place.currentIndex() + step
        if 0 <= at < len(self._places):
            self.note.give()
            self.place.setCurrentIndex(at)
            self._place_chosen(at)


def _open_of(heading: str, left: int, every: int) -> str:
    if not left:
        return _("{place} (done)").format(place=heading)
    return _("{place} ({left} of {n} open)").format(place=heading, left=left, n=every)
