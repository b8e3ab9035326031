"""Blocks of cells as tab separated text, to a spreadsheet and back."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from engine.files.lists.cells import Cell, join_cell
from engine.words import _

__all__ = ["BlockFault", "block_from_text", "block_to_text", "cell_text"]

_MOST_CHARACTERS = 2_000_000  # of a block; to take it apart takes some 30 ms
_MOST_ROWS = 5_000


class BlockFault(ValueError):
    """A text that is no block of cells; the message is for the person."""


def cell_text(text: str, *, is_word: bool) -> str:
    """A cell as it is copied: nothing that a spreadsheet would take for a formula."""
    return join_cell(Cell(text)) if text or not is_word else ""


def block_to_text(rows: Sequence[Sequence[str]]) -> str:
    """Rows of cells as text, quoted where a cell holds a tab, a quote or a line end."""
    out = io.StringIO()
    csv.writer(out, dialect="excel-tab", lineterminator="\n").writerows(rows)
    return out.getvalue()


def block_from_text(text: str) -> list[list[str]]:
    """Rows of cells of a text, as a spreadsheet puts it on the clipboard. A quote inside a cell (10 ft 6") stays.

    Raises `BlockFault` for what is far too much of it.
    """
    if len(text) > _MOST_CHARACTERS or text.count("\n") > _MOST_ROWS:
        raise BlockFault(_too_much())
    text = text.replace("\r\n", "\n").replace("\r", "\n").removesuffix("\n")
    if "\t" not in text and "\n" not in text and not text.startswith('"'):
        return [[text]]
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), dialect="excel-tab"))
    except csv.Error:  # a cell of more than 131 072 characters
        raise BlockFault(_too_much()) from None
    return [row or [""] for row in rows]


def _too_much() -> str:
    return _("What is on the clipboard is more than can be pasted at once; nothing was changed.")
