"""The page of revisions: what was issued and when, the one in hand, what has changed since the last."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QFormLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPlainTextEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.window.document import Document
from app.window.enter_key import keeps_enter
from app.window.particulars.scrolling import wrapping
from app.window.titling.fields import Line
from engine.edits import Edit, EditError, SetFields
from engine.edits.issuing import begin, begun, in_order, is_date, issue, next_index
from engine.edits.locking import locked_by
from engine.files.drawing import load, save
from engine.files.errors import FileError, reason
from engine.words import _

__all__ = ["RevisionsPage", "copy_path"]


def copy_path(path: Path, index: str) -> Path:
    """Where the copy of a drawing as it was issued is kept: beside it, with the index in its name."""
    safe = "".join(c if c.isalnum() or c in "-_." else "-" for c in index) or "-"
    return path.with_name(f"{path.stem} revision {safe}{path.suffix}")


class RevisionsPage(QWidget):
    """All revisions, oldest first; the newest is the one that is worked on or that locks."""

    refused = Signal(str)
    said = Signal(str)
    file_wanted = Signal()  # the drawing as last issued is to be named by the person

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
        self.text = _Text(_("What changed"))
        self.text.setObjectName("revision_text")
        for line, field in ((self.index, "index"), (self.by, "by"), (self.day, "date")):
            line.given.connect(partial(self._given, field))
        self.text.given.connect(partial(self._given, "text"))
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
        self.keep = QCheckBox()
        self.keep.setAccessibleName(_("Keep a copy of what is issued beside the drawing"))
        self.keep.setChecked(True)
        kept = wrapping(QLabel(self.keep.accessibleName()))  # a tick box does not break its line
        kept.setBuddy(self.keep)
        keeping = QHBoxLayout()
        keeping.addWidget(self.keep, 0, Qt.AlignmentFlag.AlignTop)
        keeping.addWidget(kept, 1)
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
        box.addLayout(form)
        box.addWidget(self.since, 0, Qt.AlignmentFlag.AlignLeft)
        box.addLayout(keeping)
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
            told = [how, record.date, record.by]
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
        self.keep.setVisible(lock is None)
        self.keep.setEnabled(self.document.path is not None)
        self._shown()

    def here(self) -> str:
        """The revision that is chosen in the list."""
        row = self.list.currentItem()
        return "" if row is None else str(row.data(Qt.ItemDataRole.UserRole))

    def _is_open(self) -> bool:
        """Whether what the fields show may be written: the one in hand, or the first of all."""
        snapshot = self.document.snapshot()
        return not self._ids or self.here() == begun(snapshot) != ""

    def _shown(self, _row: int = 0) -> None:
        snapshot = self.document.snapshot()
        record = snapshot.revisions.get(self.here())
        writable = self._is_open() and not self.document.read_only
        block = snapshot.title_block
        first_index = block.revision.strip() or next_index(snapshot)
        self.index.stand(record.index if record is not None else first_index)
        if record is not None:
            self.by.stand(record.by)
            self.day.stand(record.date)
            self.text.stand(record.text)
        for line in (self.index, self.by, self.day):
            line.setReadOnly(not writable)
        self.text.setReadOnly(not writable)
        self.today.setEnabled(writable)
        self.since.setEnabled(writable)
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
        document = self.document
        self.settle()
        snapshot = document.snapshot()
        by = self.by.text().strip() or self.by.placeholderText().strip()
        day = self.day.text().strip() or _today()
        text = self.text.toPlainText()
        open_one = begun(snapshot)
        index = "" if open_one else self.index.text()
        if not self._do(lambda: issue(snapshot, document.installation.last_id, by=by, day=day, text=text, index=index)):
            return
        if self.keep.isChecked() and document.path is not None:
            self._keep(document.path)

    def _keep(self, path: Path) -> None:
        record = in_order(self.document.snapshot())[-1][1]
        target = copy_path(path, record.index)
        if target.exists():
            self._say(_("{name} is there already and stays as it is; no copy was kept.").format(name=target.name))
            return
        try:
            save(self.document.installation, target)
        except (OSError, FileError) as fault:
            why = reason(fault) if isinstance(fault, OSError) else str(fault)
            self._say(_("No copy was kept: {why}").format(why=why))
            return
        self._say(_("A copy is kept as {name}.").format(name=target.name))

    def _ask_changes(self) -> None:
        """From the copy kept at the last issue, else from the file the person names."""
        path = self.document.path
        issued = [record for _item, record in in_order(self.document.snapshot()) if record.issued]
        if path is not None and issued and (kept := copy_path(path, issued[-1].index)).exists():
            self.write_changes(kept)
        else:
            self.file_wanted.emit()

    def write_changes(self, path: Path) -> None:
        """Write down what has changed since the drawing in a file."""
        from app.drawing.whole.changed_words import changed_words

        try:
            before = load(path).installation.snapshot()
        except (OSError, FileError) as fault:
            self._say(str(fault))
            return
        told = changed_words(before, self.document.snapshot())
        if not told:
            self._say(_("No equipment and no run differs from {name}.").format(name=path.name))
            return
        had = self.text.toPlainText().strip()
        self.text.setPlainText(f"{had} {told}".strip())
        self.text.give()
        self._say(_("Compared with {name}.").format(name=path.name))

    def _do(self, make: Callable[[], Edit]) -> bool:
        try:
            self.document.do(make())
        except EditError as fault:
            self._say(str(fault))
            self.refused.emit(str(fault))
            return False
        self.told.setText("")
        return True

    def _say(self, text: str) -> None:
        self.told.setText(text)
        self.said.emit(text)


class _List(QListWidget):
    """Enter is for it."""

    def event(self, event: QEvent) -> bool:
        """Qt's own name."""
        return keeps_enter(event) or super().event(event)


class _Text(QPlainTextEdit):
    """Several lines that are given when they are left."""

    given = Signal(str)

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setTabChangesFocus(True)
        self.setMaximumHeight(self.fontMetrics().lineSpacing() * 6 + 12)
        self._stands = ""

    def stand(self, text: str) -> None:
        """What is recorded; what is half typed stays."""
        typing = self.hasFocus() and self.toPlainText() != self._stands
        self._stands = text
        if not typing and self.toPlainText() != text:
            self.setPlainText(text)

    def give(self) -> None:
        """Give what is typed, if it differs."""
        text = self.toPlainText().strip()
        if text != self._stands:
            self._stands = text
            self.given.emit(text)

    def focusOutEvent(self, event: object) -> None:
        """Qt's own name."""
        super().focusOutEvent(event)  # type: ignore[arg-type]  # handed on as it came
        self.give()


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
