"""The page of revisions: what was issued and when, the one in hand, what has changed since the last."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QFormLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.window.document import Document
from app.window.enter_key import keeps_enter
from app.window.particulars.scrolling import wrapping
from app.window.titling.asking import IssueQuestion, ask_whole, ask_words
from app.window.titling.fields import Line, Text
from app.window.titling.proposing import Proposing, copy_path, kept_copy
from engine.edits import Edit, EditError, SetFields
from engine.edits.issuing import begin, begun, in_order, is_date, next_index
from engine.edits.locking import locked_by
from engine.files.errors import FileError
from engine.files.issues import copy_of, issue_with_copy
from engine.installation.records import Revision
from engine.words import N_, _

__all__ = ["RevisionsPage", "copy_path"]

_STATES = {  # of the copy of an issue, in words
    "there": "",
    "unknown": "",
    "no copy": N_("no copy kept"),
    "missing": N_("its copy is MISSING"),
    "altered": N_("its copy was ALTERED since"),
}


class RevisionsPage(QWidget):
    """All revisions, oldest first; the newest is the one that is worked on or that locks."""

    refused = Signal(str)
    said = Signal(str)
    file_wanted = Signal()  # the drawing as last issued is to be named by the person
    open_wanted = Signal(object)  # Path of an issue
    compare_wanted = Signal(object)  # Path of an issue

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.setAccessibleName(_("Revisions"))
        self.state = wrapping(QLabel())
        font = self.state.font()
        font.setBold(True)
        self.state.setFont(font)
        self.list = _List()
        self.list.setAccessibleName(_("Revisions, oldest first"))
        self.list.setWordWrap(True)
        self.list.setSpacing(2)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.currentRowChanged.connect(self._shown)
        self.index, self.by, self.day = Line(_("Index")), Line(_("Issued by")), Line(_("Day of issue, YYYY-MM-DD"))
        self.index.setObjectName("revision_index")
        self.by.setObjectName("revision_by")
        self.day.setObjectName("revision_date")
        self.text = Text(_("What changed"))
        self.text.setObjectName("revision_text")
        for line, field in ((self.index, "index"), (self.by, "by"), (self.day, "date")):
            line.given.connect(partial(self._given, field))
        self.text.given.connect(partial(self._given, "text"))
        self.open_it = _button(_("Open this issue"), self._open, _("In a window of its own, to read only"))
        self.compare_it = _button(
            _("Compare with it"), self._compare, _("What differs between this drawing and that issue, on the sheets")
        )
        of_issue = QHBoxLayout()
        of_issue.addWidget(self.open_it)
        of_issue.addWidget(self.compare_it)
        of_issue.addStretch(1)
        form = QFormLayout()
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        form.addRow(_("Index"), self.index)
        form.addRow(_("Issued by"), self.by)
        today = QHBoxLayout()
        self.today = _button(_("Today"), self._today, _("Put today's date there"))
        today.addWidget(self.day, 1)
        today.addWidget(self.today)
        form.addRow(_("Day of issue, YYYY-MM-DD"), today)
        form.addRow(_("What changed"), self.text)
        self.since = _button(
            _("What has changed"),
            self._ask_changes,
            _("Write down what was added, taken out and changed since the drawing was last issued"),
        )
        self.begin_it = _button(_("Begin a new revision"), self._begin, _("Designations may be changed again"))
        self.issue_it = _button(_("Issue it"), self._issue, _("From then on designations are locked"))
        buttons = QVBoxLayout()
        buttons.addWidget(self.begin_it, 0, Qt.AlignmentFlag.AlignLeft)
        buttons.addWidget(self.issue_it, 0, Qt.AlignmentFlag.AlignLeft)
        self.told = wrapping(QLabel())
        inside = QWidget()
        box = QVBoxLayout(inside)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addWidget(self.state)
        box.addWidget(self.list, 1)
        box.addLayout(of_issue)
        box.addLayout(form)
        box.addWidget(self.since, 0, Qt.AlignmentFlag.AlignLeft)
        box.addLayout(buttons)
        box.addWidget(self.told)
        sight = QScrollArea()  # large type on a low screen: the window does not grow beyond it
        sight.setWidgetResizable(True)
        sight.setFrameShape(QFrame.Shape.NoFrame)
        sight.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        sight.setWidget(inside)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(sight)
        document.changed.connect(self._follow)
        document.headed.connect(self._follow)
        self._ids: list[str] = []
        self._last = ""  # the newest revision as shown
        self._whole: dict[tuple[str, str, int, int], bool] = {}  # copies looked at: file, checksum, when and how long
        self._looking: IssueQuestion | None = None
        self._words: IssueQuestion | None = None
        self.proposing = Proposing(document, self.text, self._is_writable)
        self.proposing.told.connect(self._say)
        self._follow()

    def begin(self) -> None:
        """The keyboard goes to what is to be filled in, else to the list."""
        if self._is_open() and not self.document.read_only:
            self.text.setFocus(Qt.FocusReason.TabFocusReason)
        elif self.begin_it.isEnabled():
            self.begin_it.setFocus(Qt.FocusReason.TabFocusReason)
        else:
            self.list.setFocus(Qt.FocusReason.TabFocusReason)

    def settle(self) -> str:
        """What is half typed is given."""
        for line in (self.index, self.by, self.day):
            if line.is_typed:
                line.give()
        self.text.give()
        return ""

    # -- showing ------------------------------------------------------------------------------------------------
    def _follow(self, _what: object = None) -> None:
        snapshot = self.document.snapshot()
        made = in_order(snapshot)
        here = self.here()
        self._ids = [item for item, _record in made]
        newest = self._ids[-1] if self._ids else ""
        if newest != self._last:
            here, self._last = newest, newest
        self.list.blockSignals(True)
        self.list.clear()
        for item, record in made:
            how = _("issued") if record.issued else _("in hand, not issued")
            state = self._state(record)
            told = [how, record.date, record.by, _(_STATES[state]) if _STATES.get(state) else ""]
            row = QListWidgetItem(
                _("{index}: {what}").format(index=record.index or "?", what=", ".join(part for part in told if part))
                + ("\n" + record.text if record.text else "")
            )
            row.setData(Qt.ItemDataRole.UserRole, item)
            self.list.addItem(row)
        if self._ids:
            self.list.setCurrentRow(self._ids.index(here) if here in self._ids else len(self._ids) - 1)
        self.list.blockSignals(False)
        lock, open_one = locked_by(snapshot), begun(snapshot)
        if open_one:
            told_state = _("Revision {index} is in hand: designations may be changed.").format(
                index=snapshot.revisions[open_one].index
            )
        elif lock is not None:
            told_state = _("Revision {index} is issued: designations are locked.").format(index=lock.index or "?")
        else:
            told_state = _("This drawing was never issued. Fill in who issues it and what it shows, and issue it.")
        self.state.setText(told_state)
        locked = bool(self.document.read_only)
        self.begin_it.setEnabled(not locked and not open_one)
        self.begin_it.setText(_("Begin revision {index}").format(index=next_index(snapshot)))
        self.begin_it.setAccessibleName(self.begin_it.text())
        self.issue_it.setEnabled(not locked and lock is None)
        self.issue_it.setText(
            _("Issue revision {index}").format(index=snapshot.revisions[open_one].index) if open_one else _("Issue it")
        )
        self.issue_it.setAccessibleName(self.issue_it.text())
        self._shown()
        if self.isVisible():
            self._look()

    def showEvent(self, event: QShowEvent) -> None:
        """Qt's own name. What takes long is looked up when somebody looks."""
        super().showEvent(event)
        self._follow()
        self.proposing.propose()

    # -- copies of issues -----------------------------------------------------------------------------------------
    def _state(self, record: Revision) -> str:
        """Of the copy of an issue: "unknown" while nobody has read it."""
        if not record.issued:
            return "not issued"
        if not record.copy:
            return "there" if kept_copy(self.document, record) else "no copy"
        key = self._key(record)
        if key is None:
            return "missing"
        return {True: "there", False: "altered"}.get(self._whole.get(key), "unknown")  # type: ignore[arg-type]

    def _key(self, record: Revision) -> tuple[str, str, int, int] | None:
        path = copy_of(self.document.folder, record)
        try:
            found = None if path is None else path.stat()
        except OSError:
            return None
        return None if found is None else (str(path), record.sha256, found.st_mtime_ns, found.st_size)

    def _look(self) -> None:
        """Have copies read that nobody has."""
        records = self.document.snapshot().revisions.values()
        keys = [key for key in (self._key(r) for r in records if r.issued and r.copy) if key and key not in self._whole]
        if not keys or self._looking is not None:
            return

        def answered(whole: list[bool]) -> None:
            self._looking = None
            self._whole.update(zip(keys, whole, strict=False))
            if len(whole) == len(keys):
                self._follow()

        self._looking = ask_whole(self, [(Path(key[0]), key[1]) for key in keys], answered)

    def _chosen_copy(self) -> Path | None:
        record = self.document.snapshot().revisions.get(self.here())
        return None if record is None or not record.issued else kept_copy(self.document, record)

    def _open(self) -> None:
        path = self._chosen_copy()
        if path is not None:
            self.open_wanted.emit(path)

    def _compare(self) -> None:
        path = self._chosen_copy()
        if path is not None:
            self.compare_wanted.emit(path)

    def here(self) -> str:
        """The revision that is chosen in the list."""
        row = self.list.currentItem()
        return "" if row is None else str(row.data(Qt.ItemDataRole.UserRole))

    def _is_open(self) -> bool:
        """Whether what the fields show may be written: the one in hand, or the first of all."""
        snapshot = self.document.snapshot()
        return not self._ids or self.here() == begun(snapshot) != ""

    def _is_writable(self) -> bool:
        return self._is_open() and not self.document.read_only

    def _shown(self, _row: int = 0) -> None:
        snapshot = self.document.snapshot()
        record = snapshot.revisions.get(self.here())
        writable = self._is_writable()
        block = snapshot.title_block
        first_index = block.revision.strip() or next_index(snapshot)
        self.index.stand(record.index if record is not None else first_index)
        if record is not None:
            self.by.stand(record.by)
            self.day.stand(record.date)
            self.text.stand(record.text)
            self.proposing.show_again()
        for line in (self.index, self.by, self.day):
            line.setReadOnly(not writable)
        self.text.setReadOnly(not writable)
        self.today.setEnabled(writable)
        self.since.setEnabled(writable)
        for button in (self.open_it, self.compare_it):
            button.setVisible(record is not None and record.issued)
            button.setEnabled(self._chosen_copy() is not None)
        if writable:  # offered, not recorded
            self.day.setPlaceholderText(_("{day}, if nothing else is written").format(day=_today()))
            self.by.setPlaceholderText(block.creator)
        else:
            self.day.setPlaceholderText("")
            self.by.setPlaceholderText("")

    # -- doing --------------------------------------------------------------------------------------------------
    def _today(self) -> None:
        self.day.setText(_today())
        self.day.give()

    def _given(self, field: str, text: str) -> None:
        item = begun(self.document.snapshot())
        if not item or item != self.here():
            return  # of the first, which is recorded when it is issued
        if field == "date" and text and not is_date(text):
            self._say(_("“{text}” is no day written YYYY-MM-DD.").format(text=text))
            return
        index = self.document.snapshot().revisions[item].index
        what = {"index": _("index"), "by": _("by whom"), "date": _("day"), "text": _("what changed")}[field]
        words = _("Revision {index}: {what}").format(index=index, what=what)
        self._do(lambda: SetFields("revisions", item, ((field, text),), words))

    def _begin(self) -> None:
        document = self.document
        if self._do(lambda: begin(document.snapshot(), document.installation.last_id)):
            self.begin()

    def _issue(self) -> None:
        if self.document.path is None:
            self._refuse(_("Save the drawing first: a copy of what is issued is kept beside its file."))
            return
        self.settle()
        self.proposing.then(self._issue_now)

    def _issue_now(self) -> None:
        document = self.document
        if document.path is None:
            return
        path, snapshot = document.path, document.snapshot()
        by = self.by.text().strip() or self.by.placeholderText().strip()
        day = self.day.text().strip() or _today()
        text = self.text.toPlainText()
        index = "" if begun(snapshot) else self.index.text()
        installation = document.installation
        if self._do(lambda: issue_with_copy(installation, path, by=by, day=day, text=text, index=index)):
            self.text.forget()
            self._follow()
            record = in_order(document.snapshot())[-1][1]
            self._say(_("A copy is kept as {name}.").format(name=record.copy))

    def _ask_changes(self) -> None:
        """From the copy kept at the last issue, else from the file the person names."""
        older = self.proposing.older
        if older is not None:
            self.write_changes(older)
        else:
            self.file_wanted.emit()

    def write_changes(self, path: Path) -> None:
        """Write down what has changed since the drawing in a file."""

        def answered(words: str, why: str) -> None:
            self._words = None
            if why or not words:
                self._say(why or _("Nothing differs from {name}.").format(name=path.name))
                return
            had = "" if self.text.is_free else self.text.toPlainText().strip()
            self.text.forget()
            self.text.setPlainText(f"{had} {words}".strip())
            self.text.give()
            self._say(_("Compared with {name}.").format(name=path.name))

        if self._words is not None:
            self._words.stop()
        self._words = ask_words(self, path, self.document, answered)

    def _do(self, make: Callable[[], Edit]) -> bool:
        try:
            self.document.do(make())
        except (EditError, FileError) as fault:
            self._refuse(str(fault))
            return False
        self.told.setText("")
        return True

    def _refuse(self, why: str) -> None:
        self._say(why)
        self.refused.emit(why)

    def _say(self, text: str) -> None:
        self.told.setText(text)
        self.said.emit(text)


class _List(QListWidget):
    """Enter is for it."""

    def event(self, event: QEvent) -> bool:
        """Qt's own name."""
        return keeps_enter(event) or super().event(event)


def _today() -> str:
    return date.today().isoformat()  # the day where the person is


def _button(text: str, call: Callable[[], None], tip: str) -> QPushButton:
    made = QPushButton(text)
    made.setAccessibleName(text)
    made.setAccessibleDescription(tip)
    made.setToolTip(tip)
    made.clicked.connect(partial(_pressed, call))
    return made


def _pressed(call: Callable[[], None], _on: bool = False) -> None:
    call()
