"""Work that a stopped program left behind: kept while one works, offered at the next start."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.window.ask import Answer, Question, ask
from app.window.document import Document
from app.window.files import same_file
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.window.main import Window
    from app.window.start import Desk
    from engine.files.lock import Lock
    from engine.files.recovery import Left

__all__ = ["LeftBehind", "begin_journal", "folder", "offer_left_behind", "open_left"]

log = logging.getLogger(__name__)


def folder() -> Path:
    """Where journals stand: the system's place for a person's program data."""
    import platformdirs

    return Path(platformdirs.user_data_dir("linewright", appauthor=False)) / "recovery"


def begin_journal(window: Window, edits: int = 0, words: tuple[str, ...] = (), takes_over: str = "") -> None:
    """From now on every edit is kept until it is saved. Where that cannot be, the person is told once.

    `edits` and `words` are those of a recovery, which the drawing's file does not hold; `takes_over` is the journal it
    came from, where all of that is in the new one.
    """
    from engine.files.journal import Journal

    document = window.document
    if document.read_only or document.journal is not None:
        return
    installation = document.installation
    document.journal = Journal.begin(
        folder(),
        installation,
        installation.last_id,
        document.path,
        document.sha256,
        edits=max(edits, int(document.is_dirty)),
        words=words,
        takes_over=takes_over,
    )
    tell_fault_of_journal(window)


def tell_fault_of_journal(window: Window) -> None:
    """Say, once, that unsaved work is not being kept, and why; take it back when it is again."""
    journal = window.document.journal
    if journal is None:
        return
    if journal.fault:
        if "journal" not in window.banner.told():
            window.banner.tell("journal", _("{fault} Save often.").format(fault=journal.fault))
    else:
        window.banner.drop("journal")


def offer_left_behind(desk: Desk) -> None:
    """At the start: what was found, and what may be done with it."""
    from engine.files.recovery import left_behind

    found = list(left_behind(folder()))
    if found:
        dialog = LeftBehind(desk, found, desk.windows[0] if desk.windows else None)
        dialog.exec()
        dialog.deleteLater()
        for left in found:
            left.close()
        for window in [window for window in desk.windows if window.is_replaced]:
            window.close()


def _taken_over(desk: Desk, path: Path) -> Lock | None:
    """The lock of a window of ours that shows the file as it is: the recovered work stands in its place."""
    for window in desk.windows:
        document = window.document
        here = document.path is not None and document.lock is not None and same_file(document.path, path)
        if here and not window.pages.settle() and not document.is_dirty:
            lock, document.lock = document.lock, None
            document.read_only = _("what was recovered of it is open in another window.")
            document.headed.emit()
            window.is_replaced = True
            return lock
    return None


def open_left(desk: Desk, left: Left) -> bool:
    """A window on recovered work, unsaved. Its journal goes once the new one holds the work. `False`: it was told."""
    from app.window.files import tell_fault
    from engine.files.drawing import FileError
    from engine.files.lock import Held, take

    try:
        found = left.recover()
    except FileError as fault:
        tell_fault(None, _("This work cannot be recovered"), str(fault))
        return False
    path = found.path
    document = Document(found.installation, path, found.base_sha256)
    if path is not None and path.is_file():
        taken = _taken_over(desk, path) or take(path)
        if isinstance(taken, Held):  # it is saved elsewhere then; nothing of it is lost
            document.path, document.sha256 = None, ""
        else:
            document.lock = taken
    document.recovered()
    window = desk.show(document)
    is_whole = not (found.missing or found.damaged)
    begin_journal(window, found.edits, found.words, left.file.name if is_whole else "")
    if document.journal is not None:
        document.journal.flush()
    if document.journal is not None and not document.journal.fault and is_whole:
        left.discard()
    else:
        left.close()  # not all of it is kept elsewhere: it stays for another start
    told = [_("Recovered, not saved yet: {n} changes after the last save.").format(n=found.edits)]
    if found.damaged:
        told.append(_("What was kept is damaged; changes after that place are not among them."))
    elif found.torn:
        told.append(_("The change in flight when the program stopped is not among them."))
    if found.other_version:
        told.append(_("Another version of the program wrote it: only its last whole copy could be taken."))
    if found.missing:
        told.append(_("{n} later changes could not be read.").format(n=found.missing))
    if found.base_gone:
        told.append(_("Its file is gone; saving writes it anew."))
    elif found.base_changed:
        told.append(_("The file on disk has changed since; saving will ask."))
    told.extend(found.notices)
    if path is not None and document.path is None:
        told.append(_("{name} is open elsewhere, so this is a drawing of its own.").format(name=path.name))
    window.banner.tell("recovered", " ".join(told))
    return True


class LeftBehind(QDialog):
    """The list of what was left behind, and what to do with each."""

    def __init__(self, desk: Desk, found: list[Left], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.found = found
        self.setWindowTitle(_("Unsaved work was found"))
        self.setMinimumWidth(560)
        text = QLabel(
            _(
                "The program stopped before this work was saved. Recover it and look, or leave it for the next start; "
                "nothing is thrown away unless you say so."
            )
        )
        text.setWordWrap(True)
        self.list = QListWidget()
        self.list.setAccessibleName(_("Work left behind"))
        self.list.setWordWrap(True)
        for left in found:
            self.list.addItem(self._row(left))
        self.list.setCurrentRow(0)
        self.list.itemActivated.connect(self._recover)
        self.recover = QPushButton(_("Recover"))
        self.discard = QPushButton(_("Throw away…"))
        buttons = QDialogButtonBox()
        self.later = buttons.addButton(_("Leave the rest for later"), QDialogButtonBox.ButtonRole.RejectRole)
        self.recover.clicked.connect(self._recover)
        self.discard.clicked.connect(self._discard)
        buttons.rejected.connect(self.reject)
        for button in (self.recover, self.discard, self.later):
            button.setAccessibleName(button.text())
        self.recover.setDefault(True)
        row = QHBoxLayout()
        row.addWidget(self.recover)
        row.addWidget(self.discard)
        row.addStretch(1)
        row.addWidget(buttons)
        box = QVBoxLayout(self)
        box.addWidget(text)
        box.addWidget(self.list, 1)
        box.addLayout(row)

    def _row(self, left: Left) -> QListWidgetItem:
        told = tell_left(left)
        item = QListWidgetItem(told)
        item.setData(0x0100 + 11, told)  # Qt's accessible text
        return item

    def _chosen(self) -> int:
        return self.list.currentRow()

    def _recover(self, *_args: object) -> None:
        at = self._chosen()
        if at >= 0 and open_left(self.desk, self.found[at]):
            self._gone(at)

    def _discard(self, _checked: bool = False) -> None:
        at = self._chosen()
        if at < 0:
            return
        question = Question(
            _("Throw away unsaved work"),
            _("This work is in no file; thrown away, it is gone."),
            (Answer("stay", _("Keep it")), Answer("drop", _("Throw it away"), loses=True)),
            "stay",
            self.list.item(at).text(),
        )
        if ask(self, question) == "drop":
            self.found[at].discard()
            self._gone(at)

    def _gone(self, at: int) -> None:
        self.list.takeItem(at)
        del self.found[at]
        if not self.found:
            self.accept()


def tell_left(left: Left) -> str:
    """What a journal holds, in a few lines."""
    name = str(left.path) if left.path else left.name or _("a drawing without a name")
    if left.why:
        return _("{name}: {why}").format(name=name, why=left.why)
    what = ngettext("{n} change", "{n} changes", left.edits).format(n=left.edits)
    lines = [_("{name}: {what}, the last at {when}").format(name=name, what=what, when=f"{left.when:%Y-%m-%d %H:%M}")]
    lines.extend(f"– {words}" for words in left.words[-3:])
    return "\n".join(lines)
