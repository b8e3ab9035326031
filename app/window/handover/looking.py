"""A document made to be looked at, in place of the sheet; it knows when the drawing has become another."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from app.window.handover.making import Making
from app.window.handover.middle import Middle
from app.window.handover.pdf_pages import PdfPages, Unreadable
from engine.files.errors import reason
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.handover.documents import Maker
    from app.window.handover.page import HandoverPage

__all__ = ["Looking"]

TICK_MS = 1_000
MOST = 2  # sentences above the pages; all of them in the tip
log = logging.getLogger(__name__)


class Looking(QObject):
    """One preview: what is shown, of which drawing, and what is being made."""

    refused = Signal(str)  # a sentence

    def __init__(self, page: HandoverPage, middle: Middle) -> None:
        super().__init__(page)
        self.page = page
        self.middle = middle
        self._making: Making | None = None
        self._maker: Maker | None = None  # what is shown or being made
        self._asked: tuple[object, tuple[str, ...]] | None = None  # the drawing and options being made
        self._shown: tuple[Maker, object, tuple[str, ...]] | None = None
        self._said: list[str] = []
        self._seconds = 0
        self._is_connected = False
        self._tick = QTimer(self)
        self._tick.setInterval(TICK_MS)
        self._tick.timeout.connect(self._count)

    @property
    def is_going(self) -> bool:
        """Whether something is being made."""
        return self._making is not None

    @property
    def is_older(self) -> bool:
        """Whether the drawing, or what is asked, is another than what is shown."""
        if self._shown is None:
            return False
        maker, mark, asked = self._shown
        return mark is not self.page.document.history.mark or asked != self._now(maker)

    def show(self, maker: Maker) -> None:
        """Show a document as it prints; made first where it is not there as the drawing is now."""
        self._connect()
        if self._shown is not None and self._shown[0] is maker and not self.is_older:
            if self._making is not None:  # another was to come
                self._drop()
            self._tell()
        elif not self.make(maker):
            return
        self.middle.show_paper()
        self.middle.preview.view.setFocus(Qt.FocusReason.OtherFocusReason)

    def make(self, maker: Maker) -> bool:
        """Make it, whatever is shown, which stays until the new one is there; whether that has begun."""
        asked = self.page.arguments([maker.name])
        if asked is None:
            return False
        self._drop()
        preview = self.middle.preview
        if self._shown is None or self._shown[0] is not maker:
            self._shown = None
            preview.clear(_(maker.title))
        document = self.page.document
        self._maker, self._asked = maker, (document.history.mark, asked)
        self._making = making = Making(self.page, document)
        making.made.connect(self._made)
        making.failed.connect(self._failed)
        self._seconds = 0
        self._tick.start()
        self._tell()
        making.start(("paper", maker.name), f"{maker.name}.pdf", asked)
        return True

    def look_at_age(self, _what: object = None) -> None:
        """The drawing, or what is asked, is another; or as before again."""
        if self._shown is not None and self._making is None:
            self._tell()

    def _now(self, maker: Maker) -> tuple[str, ...] | None:
        """What would be asked now; `None` where something typed cannot be taken (yet)."""
        from app.window.handover.asking import arguments_for

        try:
            return arguments_for((maker.name,), self.page.values)
        except ValueError:
            return None

    def _connect(self) -> None:
        if not self._is_connected:
            self._is_connected = True
            self.middle.preview.anew_wanted.connect(self._anew)
            self.middle.preview.stop_wanted.connect(self._stop)

    def _anew(self) -> None:
        if self._maker is not None and self.make(self._maker):
            self.middle.preview.view.setFocus(Qt.FocusReason.OtherFocusReason)

    def _stop(self) -> None:
        self._drop()
        self._tell()
        if self._shown is None:
            self.middle.preview.tell(_("Stopped."), anew=True)

    def _drop(self) -> None:
        """What is being made is not wanted any more."""
        making, self._making = self._making, None
        self._tick.stop()
        if making is not None:
            making.disconnect(self)
            making.stop()

    # -- telling --------------------------------------------------------------------------------------------------
    def _tell(self) -> None:
        preview = self.middle.preview
        if self._making is not None:
            words = _("{title} is being made ({n} s)…") if self._seconds else _("{title} is being made…")
            title = _(self._maker.title) if self._maker is not None else ""
            preview.tell(words.format(title=title, n=self._seconds), stop=True)
        elif self.is_older:
            mark = None if self._shown is None else self._shown[1]
            if mark is not self.page.document.history.mark:
                preview.tell(_("This is older than the drawing."), anew=True)
            else:
                preview.tell(_("Something else is asked now than when this was made."), anew=True)
        else:
            preview.tell(*_in_short(self._said))

    def _count(self) -> None:
        self._seconds += 1
        if self._making is not None:
            self._tell()

    def _made(self, said: list[str]) -> None:
        making, self._making = self._making, None
        self._tick.stop()
        if making is None or self._maker is None or self._asked is None:
            return
        try:
            pages = PdfPages(making.files()[0].read_bytes())
        except OSError as fault:
            self._refuse(reason(fault))
        except Unreadable as fault:
            self._refuse(str(fault))
        else:
            self._said = [line.replace(str(making.out) + "/", "") for line in said]
            self._shown = (self._maker, *self._asked)
            self.middle.preview.show_pdf(_(self._maker.title), pages)
            self._tell()
        finally:
            making.put_away()

    def _failed(self, why: str) -> None:
        making, self._making = self._making, None
        self._tick.stop()
        if making is not None:
            making.put_away()
        self._refuse(why)

    def _refuse(self, why: str) -> None:
        title = _(self._maker.title) if self._maker is not None else ""
        told = _("{title} cannot be shown: {why}").format(title=title, why=why)
        self.middle.preview.tell(told, anew=True)
        self.refused.emit(told)


def _in_short(said: list[str]) -> tuple[str, str]:
    """What fits above the pages, and all of it."""
    shown = said if len(said) <= MOST + 1 else said[:MOST]
    words = " ".join(shown)
    if len(said) > len(shown):
        more = ngettext("{n} more was told.", "{n} more were told.", len(said) - len(shown))
        words += " " + more.format(n=len(said) - len(shown))
    return words, "\n".join(said)
