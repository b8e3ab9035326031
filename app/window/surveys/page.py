"""The page of surveys: which one is under way, its particulars, its report looked at or written."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QSize, Qt, QUrl, Signal
from PySide6.QtGui import QDesktopServices, QShowEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.handover.documents import Maker, maker_of
from app.window.comfort.looks import is_still
from app.window.deficiencies.current import choose_survey, current_survey, surveys_in_order
from app.window.document import Document
from app.window.handover.asking import arguments_for
from app.window.handover.writing import Writing
from app.window.particulars.scrolling import Inside, wrapping
from app.window.small_print import cautions_line
from app.window.surveys.beginning import begin
from app.window.surveys.form import SurveyForm
from engine.deficiencies import GRADES, grade_name, in_order, is_open
from engine.edits import EditError
from engine.naming import title_of
from engine.words import _

__all__ = ["SurveysPage"]


class SurveysPage(QWidget):
    """Follows the drawing and the survey that is chosen in its window."""

    refused = Signal(str)
    noted = Signal(str)
    look_wanted = Signal(dict)  # what is asked of the report

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.today: Callable[[], datetime.date] = datetime.date.today
        self.settles: Callable[[], str] = self.settle
        self.maker: Maker = maker_of("survey")
        self.setAccessibleName(_("Survey"))
        self.choice = QComboBox()
        self.choice.setAccessibleName(_("Survey"))
        self.choice.setToolTip(_("The survey that deficiencies, the walk and readings belong to."))
        self.choice.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.choice.activated.connect(self._chosen)
        self.new = _button(_("Begin a survey"), _("Begin a survey of today."), lambda: self._begin(False))
        self.follow = _button(
            _("Begin a follow-up"),
            _("Begin a survey that tells what has become of the deficiencies of the chosen one."),
            lambda: self._begin(True),
        )
        self.counts = wrapping(QLabel())
        self.counts.setAccessibleDescription(_("Deficiencies of this survey"))
        self.form = SurveyForm(document)
        self.form.refused.connect(self.refused)
        self.as_follow_up = QCheckBox(_("As a follow-up of the survey before"))
        self.as_follow_up.setToolTip(
            _("Tell what was closed, what is still open, in hand, not agreed, and what is new.")
        )
        self.look = _button(_("Look at the report"), _("Show it as it prints, in place of the sheet."), self._look)
        self.write = _button(_("Write it…"), _("Write the report to a file, PDF or DOCX."), self._write)
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.bar.setAccessibleName(_("How far it is"))
        self.writing = Writing(self)  # type: ignore[arg-type]  # it asks of a page what this one has too
        self.stop = _button(_("Stop"), _("Stop writing; what stood there stays"), self.writing.give_up)
        self.said = wrapping(QLabel())
        self.open = _button(_("Open it"), _("Open what was written with the system's own program"), self._open)
        self._opens: Path | None = None
        self.writing.noted.connect(self._written)
        self.writing.refused.connect(self._not_written)
        self._arrange()
        document.changed.connect(self._follow)
        document.surveyed.connect(self._follow)
        self._ended("")
        self._follow()

    def _arrange(self) -> None:
        begin_row, report_row, going = QHBoxLayout(), QHBoxLayout(), QHBoxLayout()
        for row, parts in ((begin_row, (self.new, self.follow)), (report_row, (self.look, self.write))):
            for part in parts:
                row.addWidget(part, 1)
        going.addWidget(self.bar, 1)
        going.addWidget(self.stop)
        inside = Inside()
        below = QVBoxLayout(inside)
        below.setContentsMargins(0, 0, 0, 0)
        below.addWidget(self.form)
        below.addWidget(cautions_line())
        below.addStretch(1)
        self.area = area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setAccessibleName(_("Particulars of the survey"))
        area.setWidget(inside)
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addWidget(self.choice)
        box.addLayout(begin_row)
        box.addWidget(self.counts)
        box.addWidget(area, 1)
        box.addWidget(self.as_follow_up)
        box.addLayout(report_row)
        box.addLayout(going)
        box.addWidget(self.said)
        box.addWidget(self.open, 0, Qt.AlignmentFlag.AlignRight)

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 320)

    def begin(self) -> None:
        """The keyboard goes to the particulars, or to where a survey is begun."""
        if self.form.item:
            self.form.begin()
        else:
            self.new.setFocus(Qt.FocusReason.TabFocusReason)

    def settle(self) -> str:
        """What is half typed is given."""
        return self.form.settle()

    def showEvent(self, event: QShowEvent) -> None:
        """Qt's own name."""
        super().showEvent(event)
        self._follow()

    # -- following the drawing --------------------------------------------------------------------------------------
    def _follow(self, _what: object = None) -> None:
        snapshot, now = self.document.snapshot(), current_survey(self.document)
        wanted = [(item, _title(snapshot.surveys[item], title_of(snapshot, "surveys", item)))
                  for item in surveys_in_order(self.document)]  # fmt: skip
        if [(self.choice.itemData(n), self.choice.itemText(n)) for n in range(self.choice.count())] != wanted:
            self.choice.clear()
            for item, words in wanted:
                self.choice.addItem(words, item)
        self.choice.setCurrentIndex(self.choice.findData(now))
        self.choice.setEnabled(bool(wanted))
        if self.form.item != now:
            self.as_follow_up.setChecked(bool(now) and bool(snapshot.surveys[now].follows))
        self.form.show_item(now)
        has = bool(now)
        self.as_follow_up.setEnabled(has and snapshot.surveys[now].follows in snapshot.surveys)
        if not self.as_follow_up.isEnabled():
            self.as_follow_up.setChecked(False)
        self.look.setEnabled(has)
        self.write.setEnabled(has and not self.writing.is_going)
        self.new.setEnabled(not self.document.read_only)
        self.follow.setEnabled(has and not self.document.read_only)
        self.counts.setText(self._counted(now))

    def _counted(self, survey: str) -> str:
        if not survey:
            return _("No survey is recorded in this drawing. Begin one: what is marked then belongs to it.")
        snapshot = self.document.snapshot()  # what is of no survey stands in every report
        some = [d for _i, d in in_order(snapshot) if d.survey == survey or d.survey not in snapshot.surveys]
        by_grade = ", ".join(
            _("{grade}: {n}").format(grade=grade_name(grade), n=n)
            for grade in (*GRADES, "")
            if (n := sum(d.grade == grade for d in some)) or grade
        )
        told = _("Deficiencies of this survey: {by_grade}; not closed: {n}.")
        return told.format(by_grade=by_grade, n=sum(map(is_open, some)))

    def _chosen(self, row: int) -> None:
        self.settle()
        choose_survey(self.document, self.choice.itemData(row))

    def _begin(self, follow_up: bool) -> None:
        told = self.settles()
        if told:
            self.refused.emit(told)
            return
        try:
            begin(self.document, self.today(), follow_up=follow_up)
        except EditError as fault:
            self.refused.emit(str(fault))
            return
        self.begin()

    # -- the report -------------------------------------------------------------------------------------------------
    @property
    def values(self) -> dict[str, str]:
        """What is asked of the report."""
        made = {"survey": current_survey(self.document)}
        return made | {"follow_up": "yes"} if self.as_follow_up.isChecked() else made

    def arguments(self, names: list[str]) -> tuple[str, ...] | None:
        """What the command line is told; `None`, and why, where something cannot be taken."""
        told = self.settles()
        if told:
            self.refused.emit(told)
            return None
        return arguments_for(names, self.values)

    @property
    def folder_of(self) -> Path:
        """Where to write to, unless the person says otherwise: beside the drawing."""
        path = self.document.path
        return Path.home() if path is None else path.absolute().parent

    @property
    def stem(self) -> str:
        """What files are called after."""
        return "drawing" if self.document.path is None else self.document.path.stem

    def _look(self) -> None:
        told = self.settles()
        if told:
            self.refused.emit(told)
            return
        self.look_wanted.emit(self.values)

    def _write(self) -> None:
        if self.writing.write_one(self.maker):
            self.bar.setRange(0, 1 if is_still() else 0)  # 0, 0: a bar that runs to and fro
            for part in (self.bar, self.stop, self.said):
                part.show()
            self.said.setText(_("Being judged and made…"))
            self.open.hide()
            self.write.setEnabled(False)

    def _written(self, where: Path | None, said: list[str]) -> None:
        head = _("Stopped; nothing was written.") if where is None else _("Written: {path}").format(path=where)
        self._opens = where
        self._ended("\n".join((head, *said)))
        self.open.setVisible(where is not None)
        self.noted.emit(head)

    def _not_written(self, why: str, said: list[str]) -> None:
        self._ended("\n".join((why, *said)))
        self.refused.emit(why)

    def _ended(self, told: str) -> None:
        for part in (self.bar, self.stop, self.open):
            part.hide()
        self.said.setText(told)
        self.said.setVisible(bool(told))
        self.write.setEnabled(bool(current_survey(self.document)))

    def _open(self) -> None:
        if self._opens is not None and not QDesktopServices.openUrl(QUrl.fromLocalFile(str(self._opens))):
            self.refused.emit(_("The system opens nothing for {path}.").format(path=self._opens))


def _title(survey: object, title: str) -> str:
    date = getattr(survey, "date", "")
    return f"{title}, {date}" if date and date != title else title


def _button(text: str, tip: str, call: Callable[[], object]) -> QPushButton:
    made = QPushButton(text)
    made.setToolTip(tip)
    made.setAutoDefault(False)
    made.clicked.connect(lambda _on: call())
    return made
