"""The page of facts to read: what rules lack, place by place; a value typed is one edit, and the list grows shorter."""

from __future__ import annotations

import itertools
from typing import Any

from PySide6.QtCore import QEvent, QObject, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QFormLayout,
    QFrame,
    QLabel,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.missing_report import asked, count_words, unlock_words, why
from app.text_report import WORD_NAMES
from app.window.document import Change, Document
from app.window.entries import Reading, describe
from app.window.missing.row import FactRow
from app.window.particulars.ends import led_anew
from app.window.particulars.field import FieldRow
from app.window.particulars.form import plain_fault
from app.window.particulars.lines import LineEntry, leaves_undo
from app.window.particulars.making import entry_sort
from app.window.particulars.scrolling import Inside, wrapping
from app.window.particulars.setting import Subject, set_field, set_origin
from app.window.particulars.state import Given
from app.window.small_print import cautions_line
from engine.edits import Edit, EditError
from engine.findings import WORDS
from engine.missing import Key, Missing, MissingFact, missing_facts
from engine.wanted import spec_of
from engine.words import N_, _, inward, ngettext

__all__ = ["FactsPage"]

MOST = 40  # entries at once: the rest comes up as these are filled in, or by place
HELP_LINES = 3
SOURCES = (N_("nameplate"), N_("measured"), N_("typed"), N_("assumed"))
Groups = list[tuple[str, str, str, tuple[MissingFact, ...]]]  # where they are kept, id of the place, heading, facts


class FactsPage(QWidget):
    """Follows the judgement while it is shown."""

    refused = Signal(str)  # a sentence
    reveal = Signal(str)  # id
    record_wanted = Signal(str, str)  # table, id

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.missing = Missing.nothing(document.snapshot())
        self.rows: list[FactRow] = []  # shown, from top to bottom
        self._spare: dict[Any, list[FactRow]] = {}
        self._texts: list[QLabel] = []  # headings and what has no entry
        self._places: list[str] = [""]
        self._behind = True
        self._building = False
        self.setAccessibleName(_("Facts to read"))
        self._build()
        document.judged.connect(self._judged)
        document.changed.connect(self._changed)
        document.headed.connect(self._headed)
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.connect(self._focus_moved)

    # -- making -------------------------------------------------------------------------------------------------
    def _build(self) -> None:
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        self.head = wrapping(QLabel())
        self.head.setAccessibleDescription(_("How many facts are missing"))
        box.addWidget(self.head)
        form = QFormLayout()
        form.setContentsMargins(0, 0, 0, 0)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self.place = self._choice(form, _("Where"), _("Place whose facts are shown"))
        self.word = self._choice(form, _("Rules of"), _("Only what rules of this word or a worse one lack"))
        self.word.addItems(
            [
                _("{word} or worse").format(word=inward(_(WORD_NAMES[w]))) if w != "danger" else _("danger")
                for w in WORDS
            ]
        )
        self.word.setCurrentIndex(len(WORDS) - 1)
        self.source = self._choice(form, _("Values come from"), _("Values I enter come from"))
        self.source.addItems([_(s) for s in SOURCES])
        self.source.setToolTip(_("Noted with every value you enter here; each can be changed beside its value"))
        box.addLayout(form)
        self.place.activated.connect(self._fill_anew)
        self.word.activated.connect(self._fill_anew)
        self.scroll = QScrollArea()
        self.scroll.setWidgetResizable(True)
        self.scroll.setFrameShape(QFrame.Shape.NoFrame)
        self.scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._inside = Inside()
        self._column = QVBoxLayout(self._inside)
        self._column.setContentsMargins(0, 0, 6, 0)
        self._column.setSpacing(0)
        self.scroll.setWidget(self._inside)
        box.addWidget(self.scroll, 1)
        self._help = wrapping(QLabel())
        self._help.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self._help.setFixedHeight(self._help.fontMetrics().lineSpacing() * HELP_LINES + 2)
        box.addWidget(self._help)
        box.addWidget(wrapping(cautions_line()))

    def _choice(self, form: QFormLayout, label: str, name: str) -> QComboBox:
        made = QComboBox()
        made.setAccessibleName(name)
        made.setToolTip(name)
        made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        made.setMinimumContentsLength(12)
        form.addRow(label, made)
        return made

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(300, 320)

    def begin(self) -> None:
        """Take the focus: the first entry, else the choice of places."""
        self._catch_up()
        for row in self.rows:
            if row.field.first_stop() is not None:
                row.field.take_focus()
                return
        self.place.setFocus(Qt.FocusReason.TabFocusReason)

    # -- following ----------------------------------------------------------------------------------------------
    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page does nothing; it catches up when it is shown."""
        super().showEvent(event)
        self._catch_up()

    def _judged(self, _judgement: object) -> None:
        self._behind = True
        if self.isVisible():
            self._catch_up()

    def _changed(self, _change: Change) -> None:
        if not self.isVisible():
            self._behind = True
        elif not self._building:
            self._stand()

    def _headed(self) -> None:
        for row in self.rows:
            row.field.lock(bool(self.document.read_only))

    def _catch_up(self) -> None:
        if self._behind:
            self._behind = False
            judgement = self.document.judgement
            snapshot = self.document.snapshot()
            self.missing = Missing.nothing(snapshot) if judgement is None else missing_facts(judgement.result, snapshot)
            self._fill()

    # -- filling ------------------------------------------------------------------------------------------------
    def _fill_anew(self, _index: int = 0) -> None:
        self._fill()
        self.scroll.verticalScrollBar().setValue(0)

    def _fill(self) -> None:
        """Put a row for every fact that is to be seen below one another; rows that stay keep what is typed in them."""
        if self._building:
            return
        self._building = True
        self._inside.setUpdatesEnabled(False)
        try:
            self._lay_out(self.missing.down_to(WORDS[max(self.word.currentIndex(), 0)]))
        finally:
            self._inside.setUpdatesEnabled(True)
            self._building = False
        self._order_tabs()
        focus = QApplication.focusWidget()
        if not any(row.has_keyboard(focus) for row in self.rows):
            self._help.clear()

    def _lay_out(self, missing: Missing) -> None:
        self._offer_places(missing)
        place = self._places[max(self.place.currentIndex(), 0)]
        groups = [group for group in missing.groups if place in ("", group.heading)]
        shown: Groups = []
        for group in groups:
            shown.append((group.kept, group.place, group.heading, group.first(MOST - sum(len(g[3]) for g in shown))))
        before = {row.fact.key: row for row in self.rows if row.fact is not None}
        order = [row.fact for row in self.rows if row.fact is not None]
        asked_for = {asked.key for group in groups for asked in group.loose}
        held = self._held(before, asked_for, {fact.key for group in shown for fact in group[3]})
        while (taken := self._column.takeAt(0)) is not None:
            if (widget := taken.widget()) is not None and widget in self._texts:
                widget.hide()
                widget.deleteLater()
        self._texts.clear()
        self.rows = []
        self._tell_head(missing)
        for _kept, _place, heading, facts in _with_held(shown, held, order):
            if facts:
                self._text(heading, bold=True)
            for fact in facts:
                if fact.item:
                    self._show(fact, before.pop(fact.key, None))
                else:
                    self._text(_("{fact}. For {rules}.").format(fact=asked(fact), rules=unlock_words(fact.unlocks)))
        for row in before.values():
            row.hide()
            row.fact = None
            self._spare.setdefault(row.sort, []).append(row)
        more = sum(len(group) for group in groups) - sum(len(facts) for *_group, facts in shown)
        if more > 0:
            self._text(
                ngettext(
                    "{n} more comes up as these are filled in; or choose a place above.",
                    "{n} more come up as these are filled in; or choose a place above.",
                    more,
                ).format(n=more)
            )
        if missing.unnamed and not place:
            self._text(_("Not judged, and no fact recorded would tell"), bold=True)
            for gap in missing.unnamed:
                self._text(why(gap))
        self._column.addStretch(1)

    def _held(self, before: dict[Key, FactRow], asked_for: set[Key], shown: set[Key]) -> list[MissingFact]:
        """Facts not to be shown whose rows stay all the same: someone stands or has half typed in them."""
        focus = QApplication.focusWidget()
        still = self.missing.keys()  # where a place or a word was chosen, more than is asked for here
        held = []
        for key, row in before.items():
            row.is_done = key not in still
            there = self.document.installation.get(row.subject.table, row.subject.id) is not None
            stays = row.has_keyboard(focus) and (row.is_done or key in asked_for)
            if key not in shown and there and row.fact is not None and (stays or row.field.entry.typing()):
                held.append(row.fact)
        return held

    def _show(self, fact: MissingFact, row: FactRow | None) -> None:
        """A row of a fact at the end of the column."""
        table, outer = fact.table, fact.field.partition(".")[0]
        record = self.document.installation.get(table, fact.item)
        if record is None:
            return
        spec = spec_of(type(record), outer)
        sort = entry_sort(type(record), spec)
        fresh = row is None
        if row is None:
            spare = self._spare.get((sort, spec.item))
            row = spare.pop() if spare else self._new_row(sort, spec.item)
        done = row.is_done
        row.tell(fact, Subject(table, fact.item), spec, table in ("equipment", "runs"))
        row.is_done = done
        row.stand(Reading(self.document.snapshot()), record, fresh)
        row.field.lock(bool(self.document.read_only))
        self._column.addWidget(row)
        row.show()
        self.rows.append(row)

    def _new_row(self, sort: str, item: Any) -> FactRow:
        row = FactRow(sort, self, self._inside, item)
        row.show_button.clicked.connect(lambda: self.reveal.emit(row.subject.id))
        return row

    def _text(self, text: str, *, bold: bool = False) -> None:
        label = wrapping(QLabel(text, self._inside))
        label.setContentsMargins(0, 10 if bold else 2, 0, 2)
        if bold:
            font = label.font()
            font.setBold(True)
            label.setFont(font)
        self._column.addWidget(label)
        label.show()
        self._texts.append(label)

    def _offer_places(self, missing: Missing) -> None:
        chosen = self._places[max(self.place.currentIndex(), 0)]
        self._places = ["", *(group.heading for group in missing.groups)]
        if chosen not in self._places:
            self._places.append(chosen)
        count = {group.heading: len(group) for group in missing.groups}
        with QSignalBlocker(self.place):
            self.place.clear()
            self.place.addItem(_("Everywhere ({n})").format(n=len(missing)))
            for heading in self._places[1:]:
                self.place.addItem(_("{place} ({n})").format(place=heading, n=count.get(heading, 0)))
            self.place.setCurrentIndex(self._places.index(chosen))

    def _tell_head(self, missing: Missing) -> None:
        snapshot = self.document.snapshot()
        if self.document.judgement is None:
            words = _("Not yet judged.")
        elif not snapshot.equipment and not snapshot.runs and not missing:
            words = _("Nothing is drawn, nothing was judged.")
        elif self.missing and not missing:
            words = _("Nothing is missing for rules of this word; others lack {n} facts.").format(n=len(self.missing))
        else:
            words = count_words(missing)
        self.head.setText(words)

    def _stand(self) -> None:
        """The drawing has changed: show it as it is; the judgement of it is yet to come."""
        reading = Reading(self.document.snapshot())
        for row in self.rows:
            record = self.document.installation.get(row.subject.table, row.subject.id)
            if record is None:
                self._behind = True
            else:
                row.stand(reading, record, False)
        self._catch_up()

    def set_values_from(self, origin: str) -> None:
        """Where values come from that are entered here, unless the person says otherwise; "": as it stands."""
        if origin in SOURCES:
            self.source.setCurrentIndex(SOURCES.index(origin))

    # -- a row's host -------------------------------------------------------------------------------------------
    def _row_of(self, field: FieldRow) -> FactRow | None:
        return next((row for row in self.rows if row.field is field), None)

    def row_given(self, field: FieldRow, given: Given) -> None:
        """A value was given: one edit."""
        row = self._row_of(field)
        if row is None or row.spec is None:
            return
        snapshot, last_id = self.document.snapshot(), self.document.installation.last_id
        source = given.origin or SOURCES[max(self.source.currentIndex(), 0)]
        edit: Edit = set_field(snapshot, last_id, (row.subject,), row.spec, given.value, source)
        if row.spec.shape == "record" and row.subject.table == "runs":
            edit = led_anew(snapshot, last_id, row.subject.id, row.spec.name, given.value, edit)
        self._do(field, edit)

    def row_sourced(self, field: FieldRow, origin: str) -> None:
        """It was said where a value comes from: one edit."""
        row = self._row_of(field)
        if row is not None and row.spec is not None:
            self._do(field, set_origin(self.document.snapshot(), (row.subject,), row.spec, origin))

    def _do(self, field: FieldRow, edit: Edit) -> None:
        if self.document.read_only:
            return
        try:
            self.document.do(edit)
        except EditError as fault:
            field.tell_fault(plain_fault(str(fault)))
            self.refused.emit(plain_fault(str(fault)))

    def row_done(self, field: FieldRow) -> None:
        """Enter goes to the next entry."""
        row = self._row_of(field)
        at = self.rows.index(row) + 1 if row is not None else 0
        for other in self.rows[at:]:
            if other.field.first_stop() is not None:
                other.field.take_focus()
                return
        self.place.setFocus(Qt.FocusReason.TabFocusReason)

    def row_wants(self, table: str, item: str) -> None:
        """Someone wants to see what is named."""
        self.record_wanted.emit(table, item)

    def row_remade(self) -> None:
        """A row has other widgets than before."""
        self._order_tabs()

    # -- the frame ----------------------------------------------------------------------------------------------
    def settle(self) -> str:
        """Before saving and leaving: what is half typed is given. A sentence about what could not be taken, else ""."""
        for row in list(self.rows):
            row.field.finish()
        left = [row.field.label for row in self.rows if row.field.entry.typing()]
        return _("What was typed for {field} could not be taken.").format(field=", ".join(left)) if left else ""

    def _order_tabs(self) -> None:
        if self._building or not self.isVisible():
            return
        order: list[QWidget] = [self.place, self.word, self.source, *(s for row in self.rows for s in row.stops())]
        for before, after in itertools.pairwise(order):
            QWidget.setTabOrder(before, after)

    def _focus_moved(self, old: QWidget | None, now: QWidget | None) -> None:
        if isinstance(old, LineEntry):
            old.removeEventFilter(self)
        if self._building or not self.isVisible() or QApplication.activePopupWidget() is not None:
            return
        row = next((row for row in self.rows if row.has_keyboard(now)), None)
        if row is not None:
            if isinstance(now, LineEntry):
                now.installEventFilter(self)
            told = describe(row.spec) if row.spec is not None else ""
            self._help.setText(told)
            self._help.setToolTip(told)
            self.scroll.ensureWidgetVisible(row, 0, 20)
        if any(r.is_done and r is not row and not r.field.entry.typing() for r in self.rows):
            self._fill()  # what was left behind filled in goes

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """While nothing is typed in the line that has the keyboard, undo and redo belong to the drawing."""
        if leaves_undo(watched, event):
            event.ignore()
            return True
        return bool(super().eventFilter(watched, event))


def _with_held(groups: Groups, held: list[MissingFact], order: list[MissingFact]) -> Groups:
    """The groups with facts that stay though they are not to be shown any more, each where it stood."""
    made = {(kept, place): (heading, list(facts)) for kept, place, heading, facts in groups}
    for fact in held:
        group = made.setdefault((fact.kept, fact.place), (fact.place_name or _("Recorded"), []))[1]
        ahead = {each.key for each in order[: order.index(fact)]}
        at = max((n + 1 for n, each in enumerate(group) if each.key in ahead), default=0)
        group.insert(at, fact)
    return [(*place, heading, tuple(facts)) for place, (heading, facts) in made.items()]
