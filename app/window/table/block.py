"""Blocks of cells as tab separated text, to a spreadsheet and back."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from engine.files.lists.cells import Cell, join_cell

__all__ = ["block_from_text", "block_to_text", "cell_text"]


def cell_text(text: str, *, is_word: bool) -> str:
    """A cell as it is copied: nothing that a spreadsheet would take for a formula."""
    return join_cell(Cell(text)) if text or not is_word else ""


def block_to_text(rows: Sequence[Sequence[str]]) -> str:
    """Rows of cells as text, quoted where a cell holds a tab, a quote or a line end."""
    out = io.StringIO()
    csv.writer(out, dialect="excel-tab", lineterminator="\n").writerows(rows)
    return out.getvalue()


def block_from_text(text: str) -> list[list[str]]:
    """Rows of cells of a text, as a spreadsheet puts it on the clipboard. A quote inside a cell (10 ft 6") stays."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").removesuffix("\n")
    if "\t" not in text and "\n" not in text and not text.startswith('"'):
        return [[text]]
    rows = list(csv.reader(io.StringIO(text, newline=""), dialect="excel-tab"))
    return [row or [""] for row in rows]
