"""A small PDF with an outline and links, and programs that stand in for the command line."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

A4_PT = (595.2756, 841.8898)  # 210 x 297 mm, ISO 216:2007


def pdf_of(pages: int) -> bytes:
    """A4 pages with a black square of 10 mm in the upper left corner; page 1 links to the last and to an address."""
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=A4_PT, invariant=1)
    for n in range(pages):
        canvas.bookmarkPage(f"p{n}")
        canvas.addOutlineEntry(f"Sheet {n + 1}", f"p{n}", 0)
        canvas.rect(0, A4_PT[1] - 10 / 25.4 * 72, 10 / 25.4 * 72, 10 / 25.4 * 72, stroke=0, fill=1)
        canvas.drawString(100, 400, f"page {n + 1}")
        if n == 0:
            canvas.linkAbsolute("last", f"p{pages - 1}", (100, 700, 200, 720))
            canvas.linkURL("https://example.org/a", (100, 600, 200, 620))
        canvas.showPage()
    canvas.save()
    return out.getvalue()


@pytest.fixture(scope="session")
def three_pages() -> bytes:
    return pdf_of(3)


@pytest.fixture
def stand_in(tmp_path: Path, three_pages: bytes, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], Path]:
    """`stand_in(does)`: shell lines in place of the command line; `$out` is where to write, `$pdf` a PDF.

    Returns the file its arguments are noted in, one a line.
    """
    pdf, noted = tmp_path / "there.pdf", tmp_path / "asked.txt"
    pdf.write_bytes(three_pages)

    def make(does: str) -> Path:
        program = tmp_path / "program"
        head = f'#!/bin/sh\npdf="{pdf}"\nprintf "%s\\n" "$@" > "{noted}"\n'
        find = 'while [ $# -gt 0 ]; do [ "$1" = -o ] && out="$2"; shift; done\n'
        program.write_text(head + find + does + "\n")
        program.chmod(0o755)
        monkeypatch.setattr(sys, "executable", str(program))
        return noted

    return make
