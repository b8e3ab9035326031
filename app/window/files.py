"""Drawings and their files, as a person meets them: open, save, save as, leave. Nothing is lost on the way."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog, QWidget

from app.window.ask import Answer, Question, ask
from app.window.document import Document
from app.window.photographs.keeping import carry, moved_from
from app.window.underlay.saving import name_pictures
from engine.books import book_names
from engine.edits import Put, SetFields, apply
from engine.files.atomic import parted
from engine.files.drawing import FileError, Overtaken, load, sha256_at
from engine.files.drawing import save as write
from engine.files.issues import as_issued, is_copy
from engine.installation import Sheet
from engine.installation.model import Installation
from engine.installation.records import Settings as DrawingSettings
from engine.record import field_specs
from engine.words import _

if TYPE_CHECKING:
    from app.settings import Settings
    from app.window.main import Window

__all__ = [
    "ENDING",
    "begin_new",
    "choose_and_open",
    "may_close",
    "may_write_over",
    "open_drawing",
    "open_sample",
    "same_file",
    "save",
    "save_as",
]

ENDING = ".linewright"
NEW = {  # settings of the person -> of a new drawing
    "new_book": "book",
    "new_units": "units",
    "new_symbols": "symbols",
    "new_sheet_size": "sheet_size",
}


def _filter() -> str:
    return _("Drawings (*{ending});;All files (*)").format(ending=ENDING)


# -- opening ----------------------------------------------------------------------------------------------------------
def begin_new(settings: Settings | None = None) -> Document:
    """An empty drawing with one sheet, begun as the person's settings say."""
    installation = Installation()
    for name, of in () if settings is None else NEW.items():
        wanted, spec = settings.get(name), next(s for s in field_specs(DrawingSettings) if s.name == of)
        if wanted and (wanted in book_names() if of == "book" else wanted in spec.choices):
            apply(installation, SetFields("settings", "settings", ((of, wanted),)))
    size = installation.settings.sheet_size
    apply(
        installation,
        Put("sheets", installation.new_id("sheets"), Sheet(title=_("Main diagram"), number=1, size=size)),
    )
    return Document(installation)


def open_drawing(path: Path, parent: QWidget | None = None) -> Document | None:
    """A drawing from its file, held by a lock while it is open. What hinders is told; then `None`."""
    from engine.files.lock import Held, take

    held = None
    lock = None
    if path.is_file() and not is_copy(path):
        taken = take(path)
        if isinstance(taken, Held):
            held = taken
        else:
            lock = taken
    try:
        opened = load(path)
    except FileError as fault:
        if lock is not None:
            lock.release()
        tell_fault(parent, _("{name} cannot be opened").format(name=path.name), str(fault))
        return None
    document = Document(opened.installation, path.absolute(), opened.sha256)
    document.lock = lock
    if held is not None:
        document.read_only = held.sentence
    issue, is_whole = as_issued(path, opened)
    if issue:
        document.read_only = issue
        if not is_whole:
            tell_fault(parent, _("{name} was altered").format(name=path.name), issue)
    return document


def tell_fault(parent: QWidget | None, title: str, text: str) -> None:
    """Say what went wrong; a long list of faults is cut after some lines, the rest counted."""
    lines = text.splitlines() or [text]
    shown = lines[:12]
    if len(lines) > len(shown):
        shown.append(_("... and {n} more.").format(n=len(lines) - len(shown)))
    ask(parent, Question(title, "\n".join(shown), (Answer("close", _("Close")),), "close"))


def choose_and_open(window: Window) -> None:
    """Ask for files and open them."""
    start = window.document.path.parent if window.document.path is not None else _home(window)
    paths, _kind = QFileDialog.getOpenFileNames(window, _("Open a drawing"), str(start), _filter())
    for path in paths:
        window.desk.open_path(path, window)


def _home(window: Window) -> Path:
    recent = window.desk.settings.recent()
    return Path(recent[0]).parent if recent else Path.home()


def open_sample(window: Window) -> None:
    """A drawing of its own, begun as the sample ketch: the sample itself stays as it is."""
    from app.commands.demo import SAMPLE, samples_folder
    from app.commands.opening import CommandError

    try:
        opened = load(samples_folder() / SAMPLE / f"{SAMPLE}{ENDING}")
    except (CommandError, FileError) as fault:
        tell_fault(window, _("The sample cannot be opened"), str(fault))
        return
    window.desk.show(Document(opened.installation))


# -- saving -----------------------------------------------------------------------------------------------------------
def save(window: Window) -> bool:
    """Write the drawing to its file; ask where, when it has none. `True` when it is saved."""
    document = window.document
    window.pages.settle()
    if document.read_only:
        window.foot.refuse(_("The drawing is open to read only: {why}").format(why=document.read_only))
        return False
    if document.path is None:
        return save_as(window)
    return _write(window, document.path)


def _ask_about_change(window: Window, path: Path, there: str) -> str:
    """What to do with a file that another has written since it was opened: "over" where it may be written.

    `there`: the SHA-256 of what stands there now.
    """
    if there in (window.document.sha256, ""):
        return "over"
    question = Question(
        _("The file has changed"),
        _("{name} on disk is not what was opened: somebody else has saved it since.").format(name=path.name),
        (
            Answer("as", _("Save as another file…")),
            Answer("over", _("Write over it"), loses=True),
            Answer("stay", _("Do not save")),
        ),
        "stay",
        _("Written over, their changes are lost. Saved as another file, both are kept."),
    )
    return ask(window, question)


def save_as(window: Window) -> bool:
    """Ask for a file, write the drawing there and go on with it. `True` when it is saved."""
    document = window.document
    window.pages.settle()
    suggestion = document.path or _home(window) / f"{_file_name(document)}{ENDING}"
    text, _kind = QFileDialog.getSaveFileName(window, _("Save the drawing as"), str(suggestion), _filter())
    if not text:
        return False
    path = Path(text)
    there = sha256_at(path)  # that it may go has just been asked
    if path.suffix != ENDING and not path.exists():  # "Heron 2.1" has an ending only to the machine
        path = path.with_name(path.name + ENDING)
        there = sha256_at(path)
        if path.exists() and not may_write_over(window, path):
            return False
    return _write(window, path.absolute(), there)


def may_write_over(window: Window, path: Path) -> bool:
    """Ask whether a file that stands there already may go."""
    question = Question(
        _("The file exists"),
        _("{name} exists already.").format(name=path.name),
        (Answer("over", _("Write over it"), loses=True), Answer("stay", _("Do not save"))),
        "stay",
    )
    return ask(window, question) == "over"


def _file_name(document: Document) -> str:
    name = document.installation.vessel.name or document.installation.title_block.title or _("drawing")
    return "".join(c if c.isalnum() or c in " -_" else "-" for c in name).strip() or "drawing"


def _write(window: Window, path: Path, there: str = "") -> bool:
    """`there`: the SHA-256 of what another file may be written over. What is saved there meanwhile stays."""
    from app.window.recovering import begin_journal
    from engine.files.lock import Held, take

    document = window.document
    moved = document.path is None or not same_file(document.path, path)
    lock = None
    # its folder was taken away and came back, or could not be written to until now
    if document.lock is not None and (document.lock.is_lost() or not document.lock.advisory):
        document.lock.release()
        document.lock = None
    if moved or document.lock is None:  # somebody else's until now, whatever its name was
        taken = take(path)
        if isinstance(taken, Held):
            tell_fault(window, _("{name} is in use").format(name=path.name), taken.sentence)
            return False
        lock = taken
    if moved:
        name_pictures(document, path)
        moved_from(document, path)
    parted()  # what was told of other files
    while True:
        if not moved:
            there = sha256_at(path)
            key = _ask_about_change(window, path, there)
            if key != "over":
                if lock is not None:
                    lock.release()
                return save_as(window) if key == "as" else False
        try:
            sha256 = write(document.installation, path, there)
            break
        except Overtaken as fault:
            if not moved:  # while that was asked, or written
                continue
            told = str(fault)
        except FileError as fault:
            told = str(fault)
        if lock is not None:
            lock.release()
        tell_fault(window, _("The drawing is not saved"), told)
        return False
    if lock is not None:
        if document.lock is not None:
            document.lock.release()
        document.lock = lock
        if document.read_only and not document.installation.read_only:
            document.read_only = ""  # it was somebody else's file that might only be read; this one is our own
            window.banner.drop("read-only")
    document.saved_as(path, sha256)
    if document.journal is None:
        begin_journal(window)
    else:
        document.journal.rebase(path, sha256, document.snapshot(), document.installation.last_id)
    window.desk.settings.used(path)
    window.desk.settings.save()
    window.foot.say("; ".join((_("Saved: {path}").format(path=path), *parted())))
    carry(window)
    return True


def same_file(a: Path, b: Path) -> bool:
    """Whether two names are one file, through links too."""
    try:
        return a.samefile(b)
    except OSError:
        return os.path.abspath(a) == os.path.abspath(b)


# -- leaving ----------------------------------------------------------------------------------------------------------
def may_close(window: Window) -> bool:
    """Whether a window may close: what is unsaved is saved, left or the person stays."""
    document = window.document
    half = window.pages.settle()
    if document.read_only:
        return True
    if half:
        question = Question(
            _("Half typed"),
            half,
            (Answer("stay", _("Stay here")), Answer("drop", _("Leave without it"), loses=True)),
            "stay",
        )
        if ask(window, question) != "drop":
            return False
    if not document.is_dirty:
        return True
    last = document.history.undo_words
    key = ask(
        window,
        Question(
            _("Unsaved changes"),
            _("{name} has changes that are in no file.").format(name=document.name or _("This drawing")),
            (
                Answer("save", _("Save")),
                Answer("drop", _("Leave without saving"), loses=True),
                Answer("stay", _("Stay here")),
            ),
            "stay",
            _("The last one: {words}").format(words=last) if last else "",
        ),
    )
    if key == "save":
        return save(window)
    return key == "drop"
