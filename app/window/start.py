"""The one door to the window: starts Qt, opens drawings, offers what was left behind, leaves in stages."""

from __future__ import annotations

import logging
import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QFont, QFontDatabase
from PySide6.QtWidgets import QApplication

from app.settings import Settings
from app.window import crash
from app.window.comfort import anew, kept
from app.window.comfort.looks import LEAST_POINTS
from app.window.document import Document
from app.window.ending import Ending
from app.window.files import begin_new, open_drawing, same_file
from app.window.main import Window
from engine.words import _

__all__ = ["Desk", "run"]

log = logging.getLogger(__name__)


class Desk(QObject):
    """All windows of the program. It alone owns them."""

    def __init__(self, settings: Settings | None = None, *, judging: bool = True) -> None:
        super().__init__()
        self.settings = settings or Settings()
        self.judging = judging  # tests that need no findings do without the study process
        self.windows: list[Window] = []
        self._is_ended = False

    # -- opening --------------------------------------------------------------------------------------------------
    def new(self) -> Window:
        """A window with an empty drawing."""
        return self.show(begin_new(self.settings))

    def open_path(self, path: str | Path, beside: Window | None = None, _checked: bool = False) -> Window | None:
        """A window on a drawing's file; `None` where it cannot be opened, which was then told."""
        wanted = Path(path)
        for window in self.windows:
            if window.document.path is not None and not window.is_replaced and same_file(window.document.path, wanted):
                window.raise_()
                window.activateWindow()
                return window
        document = open_drawing(wanted, beside)
        if document is None:
            return None
        self.settings.used(Path(document.path or wanted).absolute())
        self.settings.save()
        window = self.show(document)
        if beside is not None and beside.document.path is None and not beside.document.is_dirty and _empty(beside):
            beside.close()  # the empty drawing one began with
        return window

    def show(self, document: Document) -> Window:
        """A window on a document."""
        window = Window(self, document)
        self.windows.append(window)
        window.show()
        window.board.fit()
        kept.restore(window)
        window.board.setFocus()
        window.after_first_paint(partial(begin_work, window))
        return window

    # -- comfort --------------------------------------------------------------------------------------------------
    def wear_look(self, _why: object = None) -> None:
        """Every window as the settings say now, or as the system does."""
        anew.wear_look(self)

    def judge_anew(self) -> None:
        """A folder of own rules or symbols is another."""
        anew.judge_anew(self)

    def speak_anew(self, first: Window) -> None:
        """Speak the language that was chosen, in every window; `first` is the one to come back to."""
        anew.speak_anew(self, first)

    # -- leaving --------------------------------------------------------------------------------------------------
    def put_away(self, window: Window) -> None:
        """A window closes: its process, its journal and its lock go first, in this order."""
        kept.keep(window)
        for printing in window.findChildren(QObject, "printing"):
            printing.stop()
        window.middle.close_pages()
        _let_go(window.document)
        if window in self.windows:
            self.windows.remove(window)
        self.settings.save()

    def end(self, _why: object = None) -> None:
        """Nobody can be asked: what is unsaved is kept for the next start, processes end, others may have the files."""
        if self._is_ended:
            return
        self._is_ended = True
        for window in self.windows:
            window.leaving = True
            self._keep(window)
            _let_go(window.document, keep=True)

    def session_ends(self, _manager: object = None) -> None:
        """The person logs out, or does not after all: what is half typed is taken, all is brought to the disk."""
        for window in self.windows:
            self._keep(window)
        self.flush()

    def _keep(self, window: Window) -> None:
        from app.window.recovering import begin_journal

        try:
            window.pages.settle()
        except Exception:
            log.exception("what is half typed is not kept")
        if window.document.is_dirty:
            begin_journal(window)  # where that has not been yet

    def leave(self) -> bool:
        """Ask every window, then close them all; `False` where the person stays."""
        from app.window.files import may_close

        for window in list(self.windows):
            window.raise_()
            if not may_close(window):
                for each in self.windows:
                    each.leaving = False
                return False
            window.leaving = True
        for window in list(self.windows):
            window.close()
        return True

    def flush(self) -> None:
        """Everything a journal holds reaches the disk: called when the program is about to die."""
        for window in self.windows:
            if window.document.journal is not None:
                window.document.journal.flush()


def _let_go(document: Document, keep: bool = False) -> None:
    if document.judge is not None:
        document.judge.close()
        document.judge = None
    if document.journal is not None:
        document.journal.close(keep=keep and document.is_dirty)
        document.journal = None
    if document.lock is not None:
        document.lock.release()
        document.lock = None


def begin_work(window: Window) -> None:
    """What waits until the sheet stands on the screen: the study process, the journal, the page shown last."""
    import shiboken6

    from app.window.recovering import begin_journal

    if not shiboken6.isValid(window) or window.leaving:
        return
    document = window.document
    begin_journal(window)
    window.tell_tool()
    if document.lock is not None and document.lock.notice:
        window.banner.tell("lock", document.lock.notice)
    if document.read_only:
        window.banner.tell("read-only", _("Open to read only: {why}").format(why=document.read_only), closable=False)
    if window.desk.judging and document.judge is None:
        from app.window.judge import Judge

        judge = Judge(window)
        judge.failed.connect(window.judge_failed)
        document.take_judge(judge)
    page = kept_page if (kept_page := kept.kept_page(window)) is not None else window.desk.settings.get("page")
    if window.pages.has(page) and not window.page:
        window.show_page(page)
        window.board.setFocus()


def _empty(window: Window) -> bool:
    return not window.document.snapshot().equipment


def set_up(application: QApplication) -> None:
    """Names, and the one font of screen and paper."""
    from engine.picture import font_file

    application.setApplicationName("linewright")
    application.setApplicationDisplayName("Linewright")
    application.setDesktopFileName("linewright")
    family = ""
    regular = font_file()
    for file in (regular, regular.with_name(regular.name.replace("Regular", "Bold"))):
        number = QFontDatabase.addApplicationFont(str(file))
        families = QFontDatabase.applicationFontFamilies(number)
        family = family or (families[0] if families else "")
    if family:
        font = QFont(family)
        font.setPointSizeF(max(LEAST_POINTS, application.font().pointSizeF()))
        application.setFont(font)


def run(paths: Sequence[str] = ()) -> int:
    """Open windows on drawings, or on an empty one, and stay until the last is closed. Returns the exit code."""
    from app.window.first.sheet import begin
    from app.window.recovering import offer_left_behind

    QApplication.setHighDpiScaleFactorRoundingPolicy(Qt.HighDpiScaleFactorRoundingPolicy.PassThrough)
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)
    set_up(application)
    desk = Desk()
    desk.wear_look()
    application.styleHints().colorSchemeChanged.connect(desk.wear_look)
    crash.install(desk)
    ending = Ending(desk)
    application.commitDataRequest.connect(desk.session_ends)
    application.setQuitOnLastWindowClosed(True)
    for path in paths:
        desk.open_path(path)
    if not desk.windows:
        begin(desk)
    QTimer.singleShot(0, desk, lambda: offer_left_behind(desk))
    code = application.exec()
    # in stages: windows first, then what was put off, then the application
    desk.end()
    for window in list(desk.windows):
        window.leaving = True
        window.close()
    desk.settings.save()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    application.processEvents()
    ending.uninstall()
    crash.uninstall()
    return code
