"""The preview one prints from: what is seen is the PDF itself, byte by byte what is written or printed."""

from __future__ import annotations

import logging
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QCheckBox, QComboBox, QFileDialog, QHBoxLayout, QLabel, QPushButton, QWidget

from app.drawing.frame import SIZES
from app.window.files import may_write_over
from app.window.handover.making import Making
from app.window.handover.pdf_pages import PdfPages, Unreadable
from app.window.handover.preview import Preview
from engine.files.atomic import write_bytes
from engine.files.errors import reason
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window
    from app.window.print_view.printer import PaperJob

__all__ = ["PrintView"]

TILES = ("A4", "A3", "Letter", "Tabloid")
ENDING = ".pdf"
TICK_MS = 1_000
log = logging.getLogger(__name__)


class PrintView(Preview):
    """The drawing set, made by the command line in a process; options above it, and what to do with it."""

    def __init__(self, window: Window) -> None:
        super().__init__()
        self.setObjectName("print_view")
        self.window_of = window
        self.data = b""  # the PDF shown
        self.job: PaperJob | None = None
        self._shown: tuple[object, tuple[str, ...]] | None = None  # (state of the drawing, options) of it
        self._asked: tuple[object, tuple[str, ...]] | None = None
        self._making: Making | None = None
        self._then: Callable[[], None] | None = None
        self._seconds = 0
        self._said: list[str] = []
        self._tick = QTimer(self)
        self._tick.setInterval(TICK_MS)
        self._tick.timeout.connect(self._count)
        self.size_of = self._choice([("", _("each sheet's own")), *((s, s) for s in SIZES)])
        self.tile = self._choice([("", _("nothing")), *((t, t) for t in TILES)])
        self.mono = QCheckBox(_("Black and grey"))
        self.mono.toggled.connect(self._asked_anew)
        self.write = QPushButton(_("Write PDF…"))
        self.write.setToolTip(_("Write what is seen to a file."))
        self.write.clicked.connect(self._write)
        self.print_button = QPushButton(_("Print…"))
        self.print_button.setToolTip(_("Send what is seen to a printer, at true size."))
        self.print_button.clicked.connect(self._print)
        row = QHBoxLayout()
        row.setContentsMargins(6, 0, 6, 4)
        for text, field in ((_("Paper"), self.size_of), (_("Cut larger sheets into"), self.tile)):
            label = QLabel(text)
            label.setBuddy(field)
            field.setAccessibleName(text)
            row.addWidget(label)
            row.addWidget(field)
            row.addSpacing(6)
        row.addWidget(self.mono)
        row.addStretch(1)
        row.addWidget(self.write)
        row.addWidget(self.print_button)
        self.row = QWidget()
        self.row.setLayout(row)
        whole = self.layout()
        assert whole is not None
        whole.insertWidget(1, self.row)  # type: ignore[attr-defined]  # a QVBoxLayout
        self.anew_wanted.connect(self.make)
        self.stop_wanted.connect(self.give_up)
        window.document.changed.connect(self._look_at_age)
        self._say()

    def _choice(self, offers: list[tuple[str, str]]) -> QComboBox:
        made = QComboBox()
        for value, text in offers:
            made.addItem(text, value)
        made.currentIndexChanged.connect(self._asked_anew)
        return made

    # -- making ---------------------------------------------------------------------------------------------------
    @property
    def options(self) -> tuple[str, ...]:
        """What is asked of the command line."""
        made: list[str] = []
        if self.size_of.currentData():
            made += ["--size", self.size_of.currentData()]
        if self.tile.currentData():
            made += ["--tile", self.tile.currentData()]
        return (*made, "--mono") if self.mono.isChecked() else tuple(made)

    @property
    def is_older(self) -> bool:
        """Whether the drawing, or what is asked, is another than what is shown."""
        return self._shown is not None and (
            self._shown[0] is not self.window_of.document.history.mark or self._shown[1] != self.options
        )

    @property
    def is_going(self) -> bool:
        """Whether something is being made or printed."""
        return self._making is not None or self.job is not None

    def show_set(self) -> None:
        """The set as the drawing is now; made where it is not there."""
        if self._shown is None or self.is_older:
            self.make()
        self._say()

    def make(self, then: Callable[[], None] | None = None) -> None:
        """Make it, whatever is shown, which stays until the new one is there; then go on to something."""
        self._drop()
        self.window_of.pages.settle()
        document = self.window_of.document
        if self._shown is None:
            self.clear(_("Drawing set"))
        self._then = then
        self._asked = (document.history.mark, self.options)
        self._making = making = Making(self.window_of, document)
        making.made.connect(self._made)
        making.failed.connect(self._failed)
        self._seconds = 0
        self._tick.start()
        self._say()
        making.start(("print",), f"set{ENDING}", self.options)

    def give_up(self) -> None:
        """What is being made or printed is not wanted any more."""
        if self.job is not None:
            self.job.give_up()
            return
        self._drop()
        self._say()
        if self._shown is None:
            self.tell(_("Stopped."), anew=True)

    def _drop(self) -> None:
        making, self._making = self._making, None
        self._then = None
        self._tick.stop()
        if making is not None:
            making.disconnect(self)
            making.stop()

    def _made(self, said: list[str]) -> None:
        making, self._making = self._making, None
        self._tick.stop()
        if making is None:
            return
        try:
            data = making.files()[0].read_bytes()
            pages = PdfPages(data)
        except OSError as fault:
            self._refuse(reason(fault))
        except Unreadable as fault:
            self._refuse(str(fault))
        else:
            self.data, self._shown, self._said = data, self._asked, said
            self.show_pdf(_("Drawing set"), pages)
            then, self._then = self._then, None
            self._say()
            if then is not None:
                then()
        finally:
            making.put_away()

    def _failed(self, why: str) -> None:
        making, self._making = self._making, None
        self._tick.stop()
        if making is not None:
            making.put_away()
        self._refuse(why)

    def _refuse(self, why: str) -> None:
        told = _("The drawing set cannot be shown: {why}").format(why=why)
        self.tell(told, anew=True)
        self._enable_row()
        self.window_of.foot.refuse(told)

    # -- telling --------------------------------------------------------------------------------------------------
    def _say(self) -> None:
        self._enable_row()
        if self.job is not None:
            self.tell(self.job.words, stop=True)
        elif self._making is not None:
            words = (
                _("The drawing set is being made ({n} s)…") if self._seconds else _("The drawing set is being made…")
            )
            self.tell(words.format(n=self._seconds), stop=True)
        elif self.is_older:
            self.tell(_("This is older than the drawing, or something else is asked now."), anew=True)
        else:
            said = [line for line in self._said if line]
            self.tell(" ".join(said[:2]), "\n".join(said))

    def _enable_row(self) -> None:
        for part in (self.write, self.print_button):
            part.setEnabled(bool(self.data) and not self.is_going)
        for field in (self.size_of, self.tile, self.mono):
            field.setEnabled(self.job is None)

    def _count(self) -> None:
        self._seconds += 1
        if self._making is not None:
            self._say()

    def _look_at_age(self, _change: object) -> None:
        if self._shown is not None and not self.is_going and self.isVisible():
            self._say()

    def _asked_anew(self, _what: object = None) -> None:
        if self.isVisible():
            self.make()

    # -- what is done with it -------------------------------------------------------------------------------------
    def _write(self) -> None:
        """Ask where; what is older than the drawing is made anew first."""
        if self.is_older:
            self.make(self._write)
            return
        window = self.window_of
        path = window.document.path
        name = path.with_suffix(ENDING) if path is not None else Path.home() / f"drawing{ENDING}"
        title = _("Write the drawing set as PDF")
        text, _kind = QFileDialog.getSaveFileName(window, title, str(name), "PDF (*.pdf)")
        if not text:
            return
        target = Path(text)
        if target.suffix.lower() != ENDING:  # never over a drawing, whatever was typed
            target = target.with_name(target.name + ENDING)
            if target.exists() and not may_write_over(window, target):
                return
        try:
            write_bytes(target, self.data)
        except OSError as fault:
            window.foot.refuse(_("{name} is not written: {why}").format(name=target.name, why=reason(fault)))
            return
        window.foot.say(_("Written: {path}").format(path=target))

    def _print(self) -> None:
        """Choose a printer, then print page by page; what is older than the drawing is made anew first."""
        from app.window.print_view import printer

        if self.is_older:
            self.make(self._print)
            return
        job = printer.begin(self)
        if job is None:
            return
        self.job = job
        job.went.connect(self._say)
        job.ended.connect(self._printed)
        self._say()
        job.start()

    def _printed(self, told: str, done: bool) -> None:
        self.job = None
        self._say()
        if done:
            self.window_of.foot.say(told)
        else:
            self.window_of.foot.refuse(told)
        self.view.setFocus(Qt.FocusReason.OtherFocusReason)

    def clear(self, title: str = "") -> None:
        """Show nothing."""
        self.data, self._shown = b"", None
        super().clear(title)
