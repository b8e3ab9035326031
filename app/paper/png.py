"""A PDF as PNG, one file a page: what is seen is what prints.

The page is rasterised in strips, so that memory does not grow with its size. No date and no text is stored: the same
PDF gives the same bytes. Form: PNG, third edition (W3C, 2025), colour type 2, chunk pHYs (from memory, not confirmed).
"""

from __future__ import annotations

import ctypes
import struct
import zlib
from collections.abc import Iterator
from typing import Any

from engine.words import _

__all__ = ["LEAST_DPI", "MOST_DOTS", "MOST_DPI", "TooManyDots", "png_pages"]

LEAST_DPI, MOST_DPI = 20, 1200
MOST_DOTS = 300_000_000  # of one page: A1 at 600 dpi
_STRIP_DOTS = 4_000_000
_POINT = 72.0


class TooManyDots(ValueError):
    """A resolution that gives no picture anyone can open; the message is for the person."""


def png_pages(pdf: bytes, dpi: int) -> Iterator[bytes]:
    """The pages of a PDF as PNG, `dpi` dots per inch, each made when it is asked for.

    Raises `TooManyDots` at once, before the first page, when a page would be too large.
    """
    import pypdfium2 as pdfium

    if not LEAST_DPI <= dpi <= MOST_DPI:
        raise TooManyDots(
            _("{dpi} dpi is outside {least} to {most} dpi").format(dpi=dpi, least=LEAST_DPI, most=MOST_DPI)
        )
    book = pdfium.PdfDocument(pdf)
    try:
        sizes = [book.get_page_size(n) for n in range(len(book))]
        for n, (width, height) in enumerate(sizes, 1):
            across, down = _dots(width, dpi), _dots(height, dpi)
            if across * down > MOST_DOTS:
                fits = int(dpi * (MOST_DOTS / (across * down)) ** 0.5)
                raise TooManyDots(
                    _("page {n} would be {across} by {down} dots at {dpi} dpi; at most {fits} dpi fit").format(
                        n=n, across=across, down=down, dpi=dpi, fits=fits
                    )
                )
    except BaseException:
        book.close()
        raise
    return _pages(book, sizes, dpi)


def _dots(points: float, dpi: int) -> int:
    return max(1, round(points / _POINT * dpi))


def _pages(book: Any, sizes: list[tuple[float, float]], dpi: int) -> Iterator[bytes]:
    try:
        for n, (width, height) in enumerate(sizes):
            page = book[n]
            try:
                yield _png(page, _dots(width, dpi), _dots(height, dpi), dpi)
            finally:
                page.close()
    finally:
        book.close()


def _png(page: Any, across: int, down: int, dpi: int) -> bytes:
    packer = zlib.compressobj(6)
    packed = [packer.compress(rows) for rows in _rows(page, across, down)]
    per_metre = round(dpi / 0.0254)
    return b"".join(
        (
            b"\x89PNG\r\n\x1a\n",
            _chunk(b"IHDR", struct.pack(">IIBBBBB", across, down, 8, 2, 0, 0, 0)),
            _chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1)),
            _chunk(b"IDAT", b"".join((*packed, packer.flush()))),
            _chunk(b"IEND", b""),
        )
    )


def _chunk(name: bytes, data: bytes) -> bytes:
    return b"".join((struct.pack(">I", len(data)), name, data, struct.pack(">I", zlib.crc32(data, zlib.crc32(name)))))


def _rows(page: Any, across: int, down: int) -> Iterator[bytes]:
    """The page from above, some rows at a time, each behind the byte that says it is not filtered."""
    import pypdfium2.raw as raw

    high = max(1, min(down, _STRIP_DOTS // across))
    stride = across * 3
    room = (ctypes.c_ubyte * (stride * high))()
    bitmap = raw.FPDFBitmap_CreateEx(across, high, raw.FPDFBitmap_BGR, room, stride)
    flags = raw.FPDF_ANNOT | raw.FPDF_REVERSE_BYTE_ORDER
    try:
        for top in range(0, down, high):
            raw.FPDFBitmap_FillRect(bitmap, 0, 0, across, high, 0xFFFFFFFF)
            raw.FPDF_RenderPageBitmap(bitmap, page, 0, -top, across, down, 0, flags)
            seen = memoryview(room).cast("B")
            count = min(high, down - top)
            yield b"".join(part for row in range(count) for part in (b"\0", seen[row * stride : (row + 1) * stride]))
    finally:
        raw.FPDFBitmap_Destroy(bitmap)
