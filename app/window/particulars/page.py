"""The particulars page: stands at the side of the sheet and shows every field of what is chosen."""

from __future__ import annotations

import itertools

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QFocusEvent, QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.window.document import Change, Document
from app.window.entries import title_of
from app.window.particulars.field import FieldRow
from app.window.particulars.form import Form
from app.window.particulars.lines import LineEntry, leaves_undo
from app.window.particulars.scrolling import Inside, wrapping
from app.window.particulars.setting import Subject
from app.window.particulars.told import FindingStrip, findings_of, needed_fields
from app.window.particulars.whole import LISTS, SECTIONS, WholeDrawing
from app.window.symbols.drawn_as import DrawnAs
from engine.installation.model import LONE
from engine.words import N_, _, ngettext

__all__ = ["Particulars"]

SOURCES = ("typed", "nameplate", "measured", "assumed")
LONG = 9  # fields from which on a way to find one is shown
HELP_LINES = 3


class Particulars(QWidget):
    """Follows the document's selection. With nothing chosen it shows the drawing itself."""

    refused = Signal(str)  # why an edit could not be done
    wanted = Signal(str, str)  # (table, id): the person wants to see a record that is referred to
    noted = Signal(str)  # Finding.key: a finding was chosen

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.setAccessibleName(_("Particulars"))
        self._visited: list[Subject] = []  # records opened from here, the newest last
        self._drafts: dict[Subject, dict[str, str]] = {}
        self._stale = True
        self._showing = self._keeping = False
        self._build()
        document.changed.connect(self._changed)
        document.selected.connect(self._selected)
        document.judged.connect(self._judged)
        document.headed.connect(self._headed)
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.connect(self._focus_moved)

    # -- building -----------------------------------------------------------------------------------------------
    def _build(self) -> None:
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(5)
        head = QHBoxLayout()
        self.back = QPushButton(_("Back"))
        self.back.setToolTip(_("Back to what was shown before"))
        self.back.clicked.connect(self._go_back)
        self.back.hide()
        self._title = wrapping(QLabel())
        font = self._title.font()
        font.setBold(True)
        font.setPointSizeF(font.pointSizeF() * 1.2)
        self._title.setFont(font)
        head.addWidget(self._title, 1)
        head.addWidget(self.back, 0, Qt.AlignmentFlag.AlignTop)
        box.addLayout(head)
        self._kind = wrapping(QLabel())
        box.addWidget(self._kind)
        self._locked = wrapping(QLabel())
        bold = self._locked.font()
        bold.setBold(True)
        self._locked.setFont(bold)
        box.addWidget(self._locked)
        self._finder = QWidget()
        finder = QVBoxLayout(self._finder)
        finder.setContentsMargins(0, 0, 0, 0)
        finder.setSpacing(3)
        self.find = QLineEdit()
        self.find.setPlaceholderText(_("find a field"))
        self.find.setAccessibleName(_("Find a field"))
        self.find.setClearButtonEnabled(True)
        self.find.textChanged.connect(self._filtered)
        self.only_open = QCheckBox(_("only what is not recorded"))
        self.only_open.setAccessibleName(_("Only what is not recorded"))
        self.only_open.toggled.connect(self._filtered)
        finder.addWidget(self.find)
        finder.addWidget(self.only_open)
        box.addWidget(self._finder)

        self._scroll = QScrollArea()
        self._scroll.setWidgetResizable(True)
        self._scroll.setFrameShape(QFrame.Shape.NoFrame)
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        inside = Inside()
        self._inside = QVBoxLayout(inside)
        self._inside.setContentsMargins(0, 0, 6, 0)
        self._inside.setSpacing(0)
        self.findings = FindingStrip()
        self.findings.noted.connect(self.noted)
        self.drawn_as = DrawnAs(self.document)
        self.drawn_as.refused.connect(self.refused)
        self.form = Form(self.document)
        self.whole = WholeDrawing(self.document)
        for part in (self.findings, self.drawn_as, self.form, self.whole):
            self._inside.addWidget(part)
        self._inside.addStretch(1)
        for source in (self.form, self.whole):
            source.refused.connect(self.refused)
            source.wanted.connect(self._wanted)
            source.reordered.connect(self._order_tabs)
        self.whole.chosen.connect(self.show_record)
        self.whole.made.connect(self._made)
        self.whole.reordered.connect(self._settle)
        self._scroll.setWidget(inside)
        box.addWidget(self._scroll, 1)

        self._foot = QWidget()
        foot = QHBoxLayout(self._foot)
        foot.setContentsMargins(0, 0, 0, 0)
        said = QLabel(_("Values I enter come from:"))
        said.setWordWrap(True)
        self.source = QComboBox()
        self.source.addItems([_(s) for s in (N_("typed"), N_("nameplate"), N_("measured"), N_("assumed"))])
        self.source.setAccessibleName(_("Values I enter come from"))
        self.source.setToolTip(_("Noted with every value you enter here; each can be changed beside its value"))
        said.setBuddy(self.source)
        self.source.currentIndexChanged.connect(self._source_chosen)
        foot.addWidget(said, 1)
        foot.addWidget(self.source)
        box.addWidget(self._foot)
        self._help = wrapping(QLabel())
        self._help.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self._help.setFixedHeight(self._help.fontMetrics().lineSpacing() * HELP_LINES + 2)
        box.addWidget(self._help)
        self.setMinimumWidth(300)

    # -- what is shown --------------------------------------------------------------------------------------------
    @property
    def shown(self) -> tuple[Subject, ...]:
        """The records whose fields are shown; none: the drawing itself."""
        if self._visited:
            last = self._visited[-1]
            return () if last.table in LONE else (last,)
        found = []
        for item in self.document.selection:
            there = self.document.find(item)
            if there is not None:
                found.append(Subject(there[0], item))
        return tuple(found)

    def show_record(self, table: str, item: str) -> None:
        """Show any record, or one of those there is one of ("vessel", "title_block", "settings")."""
        if table not in LONE and self.document.installation.get(table, item) is None:
            return
        subject = Subject(table, table if table in LONE else item)
        if self.shown == (subject,) and not self._visited:
            return
        if not self._visited or self._visited[-1] != subject:
            self._visited.append(subject)
        self._turn()
        if table in LONE:
            section = self.whole.open_section(table)
            self._settle()
            if section is not None:
                section.head.setFocus()
                self._scroll.verticalScrollBar().setValue(section.y() + self.whole.y())

    def go_to_field(self, item: str, field_name: str) -> None:
        """Show the record with that id (or the name of one there is one of) and put the keyboard into a field."""
        name = field_name.split(".")[0].split("[")[0]
        self.find.clear()
        self.only_open.setChecked(False)
        if item in LONE:
            self.show_record(item, item)
            form = self.whole.forms[item]
        else:
            there = self.document.find(item)
            if there is None:
                return
            if there[0] in ("equipment", "runs"):
                self._visited.clear()
                self.document.select(item)
                self._turn()
            else:
                self.show_record(there[0], item)
            form = self.form
        self._settle()
        if form.go_to(name):
            self._settle()
            self._scroll.ensureWidgetVisible(form.rows[name], 0, 30)

    def settle(self) -> str:
        """Before saving and leaving: what is half typed is given. A sentence about what could not be taken, else ""."""
        forms = [*self.whole.forms.values(), *((self.form,) if self.form.subjects else ())]
        for form in forms:
            form.finish()
        left = [row.label for form in forms for row in form.rows.values() if row.entry.typing()]
        left += [name for drafts in self._drafts.values() for name in drafts]
        return _("What was typed for {field} could not be taken.").format(field=", ".join(left)) if left else ""

    def _settle(self) -> None:
        """Sizes are known only once the layout has run."""
        for _n in range(2):  # a size that changes asks for another round
            QApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest.value)
            self._scroll.widget().updateGeometry()
        QApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest.value)

    def _go_back(self) -> None:
        self._keep_drafts()
        if self._visited:
            self._visited.pop()
        self._turn()

    def _turn(self) -> None:
        """Show something else."""
        self._keep_drafts()
        self._stale = True
        if self.isVisible():
            self._show()

    def _show(self) -> None:
        subjects = self.shown
        while self._visited and not self._is_there(self._visited[-1]):
            self._visited.pop()
            subjects = self.shown
        self._stale = False
        another = subjects != self.form.subjects or (not subjects) != self.whole.isVisibleTo(self)
        self.setUpdatesEnabled(False)
        self._showing = True
        try:
            self._head(subjects)
            if another:
                self.form.hide()  # while it is hidden, its rows come and go without a thought of the layout
            self.whole.setVisible(not subjects)
            self.drawn_as.show_subjects(subjects)
            if subjects:
                self.form.show_subjects(subjects)
                self.form.take_up(self._drafts.pop(subjects[0], {}) if len(subjects) == 1 else {})
            else:
                self.form.subjects = ()
                self.whole.refresh()
            is_long = len(self.form.rows) >= LONG and bool(subjects)
            self._finder.setVisible(is_long)
            if not is_long and (self.find.text() or self.only_open.isChecked()):
                self.find.clear()
                self.only_open.setChecked(False)
            self._tell()
            self.form.setVisible(bool(subjects))
        finally:
            self._showing = False
            self.setUpdatesEnabled(True)
        if another:
            self._scroll.verticalScrollBar().setValue(0)
            self._help.clear()
        self._order_tabs()

    def _is_there(self, subject: Subject) -> bool:
        return subject.table in LONE or self.document.installation.get(*subject) is not None

    def _head(self, subjects: tuple[Subject, ...]) -> None:
        snapshot = self.document.snapshot()
        if not subjects:
            title, kind = _("The drawing"), snapshot.vessel.name
        elif len(subjects) > 1:
            title = ngettext("{n} things", "{n} things", len(subjects)).format(n=len(subjects))
            names = ", ".join(title_of(snapshot, *s) for s in subjects[:6])
            kind = _("{names} and more").format(names=names) if len(subjects) > 6 else names
        else:
            (subject,) = subjects
            title = title_of(snapshot, *subject)
            title = title[:1].upper() + title[1:]
            record = self.document.installation.get(*subject)
            if subject.table == "equipment":
                kind = _(record.NAME)
            elif subject.table == "runs":
                start, end = (
                    f"{title_of(snapshot, 'equipment', e.equipment)}.{e.terminal}"
                    for e in (record.from_end, record.to_end)
                )
                kind = _("Run from {start} to {end}").format(start=start, end=end)
            else:
                noun = _(LISTS[subject.table][1]) if subject.table in LISTS else subject.table
                kind = noun[:1].upper() + noun[1:]
        self._title.setText(title)
        self._kind.setText(kind)
        self._kind.setVisible(bool(kind))
        reason = self.document.read_only
        self._locked.setText(_("Nothing can be changed here: {reason}").format(reason=reason) if reason else "")
        self._locked.setVisible(bool(reason))
        self._foot.setVisible(not reason)
        self.back.setVisible(bool(self._visited))
        if self._visited:
            before = self._visited[-2] if len(self._visited) > 1 else None
            told = title_of(snapshot, *before) if before is not None else self._selection_name()
            self.back.setAccessibleName(_("Back to {name}").format(name=told))

    def _selection_name(self) -> str:
        snapshot = self.document.snapshot()
        there = [self.document.find(item) for item in self.document.selection[:1]]
        return title_of(snapshot, there[0][0], self.document.selection[0]) if there and there[0] else _("the drawing")

    # -- following the document -------------------------------------------------------------------------------------
    def _changed(self, change: Change) -> None:
        if self._keeping:
            return
        if not self.isVisible():
            self._stale = True
        elif self.shown != self.form.subjects or any(not self._is_there(v) for v in self._visited):
            self._turn()
        else:
            self._head(self.shown)
            if self.shown:
                self.form.refresh()
            else:
                self.whole.refresh()
            self._tell()

    def _selected(self) -> None:
        self._keep_drafts()
        self._visited.clear()
        self._turn()

    def _judged(self, _judgement: object) -> None:
        if self.isVisible():
            self._tell()
            self._order_tabs()

    def _headed(self) -> None:
        if self.isVisible() and bool(self.document.read_only) != (not self._foot.isVisibleTo(self)):
            self._turn()

    def _tell(self) -> None:
        subjects, judgement = self.shown, self.document.judgement
        self.findings.tell(judgement, findings_of(judgement, subjects) if subjects else ())
        if len(subjects) == 1:
            self.form.need(needed_fields(judgement, self.document.snapshot(), subjects))
        elif subjects:
            self.form.need({})
        else:
            self.whole.judged()

    def _keep_drafts(self) -> None:
        """What is half typed is given; what cannot be read waits for the person to come back."""
        if self.form.subjects and self.form.isVisibleTo(self) and not self._keeping:
            self._keeping = True  # an edit that comes of it changes nothing about what is shown next
            try:
                self.form.finish()
            finally:
                self._keeping = False
            drafts = self.form.drafts()
            if drafts and len(self.form.subjects) == 1 and self._is_there(self.form.subjects[0]):
                self._drafts[self.form.subjects[0]] = drafts

    def _wanted(self, table: str, item: str) -> None:
        self.show_record(table, item)
        self.wanted.emit(table, item)

    def _made(self, table: str, item: str) -> None:
        self.show_record(table, item)
        rows = list(self.form.rows.values())
        if rows:
            rows[0].take_focus()

    # -- the frame of the page ----------------------------------------------------------------------------------------
    def _filtered(self, *_anything: object) -> None:
        self.form.filter(self.find.text(), self.only_open.isChecked())

    @property
    def typed_from(self) -> str:
        """Where values that are entered come from."""
        return SOURCES[max(self.source.currentIndex(), 0)]

    def _source_chosen(self, index: int) -> None:
        for form in (self.form, *self.whole.forms.values()):
            form.source = SOURCES[index]

    def _order_tabs(self) -> None:
        """The Tab key goes from top to bottom, whichever row was made first."""
        if self._stale or self._showing or not self.isVisible():
            return
        middle = [*self.drawn_as.stops(), *self.form.stops()] if self.shown else self.whole.stops()
        order: list[QWidget] = [self.back, self.find, self.only_open, *self.findings.stops(), *middle, self.source]
        for before, after in itertools.pairwise(order):
            QWidget.setTabOrder(before, after)

    def _focus_moved(self, old: QWidget | None, now: QWidget | None) -> None:
        if isinstance(old, LineEntry):
            old.removeEventFilter(self)
        widget = now
        while widget is not None and widget is not self:
            if isinstance(widget, FieldRow):
                if self.isAncestorOf(widget):
                    if isinstance(now, LineEntry):
                        now.installEventFilter(self)
                    self._help.setText(widget.help())
                    self._help.setToolTip(widget.help())
                    self._scroll.ensureWidgetVisible(widget, 0, 20)
                return
            widget = widget.parentWidget()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """While nothing is typed in the line that has the keyboard, undo and redo belong to the drawing."""
        if leaves_undo(watched, event):
            event.ignore()
            return True
        return False

    def focusInEvent(self, event: QFocusEvent) -> None:
        """The page itself has nothing to type into: its first entry has."""
        super().focusInEvent(event)
        if self.shown and self.form.rows:
            next(iter(self.form.rows.values())).take_focus()
        elif self.whole.sections:
            next(iter(self.whole.sections.values())).head.setFocus()

    def showEvent(self, event: QShowEvent) -> None:
        """What changed while the page was away is shown now."""
        super().showEvent(event)
        if self._stale:
            self._show()


assert SECTIONS.keys() == LONE.keys()
