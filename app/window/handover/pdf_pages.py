"""A PDF open to be looked at: its pages, pieces of them as pictures, where its links lead."""

from __future__ import annotations

import ctypes
import logging
from collections import OrderedDict
from typing import Any, NamedTuple

from PySide6.QtCore import QRect
from PySide6.QtGui import QImage

from engine.words import _

__all__ = ["PdfPages", "Unreadable"]

_MOST_OPEN = 4  # pages kept open; to open one takes 2 to 5 ms
_DEEPEST = 60  # of an outline
log = logging.getLogger(__name__)


class Unreadable(ValueError):
    """A file that cannot be shown; the message is for the person."""


class Link(NamedTuple):
    """Where a link leads: a page, or an address."""

    page: int  # -1: to no page of this file
    address: str = ""


class PdfPages:
    """Sizes in points (1/72 inch). Everything is read from memory: the file may go. `close` it in the end."""

    def __init__(self, data: bytes) -> None:
        import pypdfium2
        import pypdfium2.raw

        self._raw: Any = pypdfium2.raw
        try:
            self._pdf: Any = pypdfium2.PdfDocument(data)
            self.sizes: tuple[tuple[float, float], ...] = tuple(
                self._pdf.get_page_size(n) for n in range(len(self._pdf))
            )
        except pypdfium2.PdfiumError as fault:
            raise Unreadable(_("what was made cannot be shown ({fault})").format(fault=fault)) from None
        self._open: OrderedDict[int, Any] = OrderedDict()
        self.titles = self._read_titles()

    def __len__(self) -> int:
        return len(self.sizes)

    def close(self) -> None:
        """Give everything back."""
        while self._open:
            self._open.popitem()[1].close()
        if self._pdf is not None:
            self._pdf.close()
            self._pdf = None

    def picture(self, page: int, width: int, height: int, piece: QRect) -> QImage:
        """A piece of a page that were `width` by `height` pixels large in all."""
        raw = self._raw
        made = QImage(piece.size(), QImage.Format.Format_RGB32)
        made.fill(0xFFFFFFFF)
        bits = made.bits()
        first = ctypes.c_ubyte.from_buffer(bits)
        bitmap = raw.FPDFBitmap_CreateEx(
            piece.width(), piece.height(), raw.FPDFBitmap_BGRx, ctypes.addressof(first), made.bytesPerLine()
        )
        if bitmap:
            raw.FPDF_RenderPageBitmap(
                bitmap, self._page(page), -piece.x(), -piece.y(), width, height, 0, raw.FPDF_ANNOT
            )
            raw.FPDFBitmap_Destroy(bitmap)
        return made

    def link_at(self, page: int, x: float, y: float) -> Link | None:
        """The link at a place, points from the upper left corner."""
        raw = self._raw
        found = raw.FPDFLink_GetLinkAtPoint(self._page(page), x, self.sizes[page][1] - y)
        if not found:
            return None
        where = raw.FPDFLink_GetDest(self._pdf, found)
        action = raw.FPDFLink_GetAction(found)
        if not where and action:
            kind = raw.FPDFAction_GetType(action)
            if kind == raw.PDFACTION_GOTO:
                where = raw.FPDFAction_GetDest(self._pdf, action)
            elif kind == raw.PDFACTION_URI:
                long = raw.FPDFAction_GetURIPath(self._pdf, action, None, 0)
                text = ctypes.create_string_buffer(long)
                raw.FPDFAction_GetURIPath(self._pdf, action, text, long)
                return Link(-1, text.value.decode("ascii", "replace"))
        number = raw.FPDFDest_GetDestPageIndex(self._pdf, where) if where else -1
        return Link(number) if 0 <= number < len(self) else None

    def text(self, page: int) -> str:
        """All words of a page, for those who cannot see it."""
        text = self._page(page).get_textpage()
        try:
            return str(text.get_text_bounded())
        finally:
            text.close()

    def _page(self, page: int) -> Any:
        found = self._open.pop(page, None)
        if found is None:
            found = self._pdf[page]
            while len(self._open) >= _MOST_OPEN:
                self._open.popitem(last=False)[1].close()
        self._open[page] = found
        return found

    def _read_titles(self) -> dict[int, str]:
        """What the outline calls pages: the first name of each."""
        named: dict[int, str] = {}
        try:
            for entry in self._pdf.get_toc(max_depth=_DEEPEST):
                where = entry.get_dest()
                page = None if where is None else where.get_index()
                if page is not None:
                    named.setdefault(page, entry.get_title())
        except Exception:  # an outline is a help, the pages are what matters
            log.info("the outline cannot be read", exc_info=True)
        return named
