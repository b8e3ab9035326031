"""What may be written in a cell besides its value.

* A leading apostrophe says "this is text": it is taken off, and what follows is neither trimmed nor understood in any
  other way. What is exported and would begin with ``= + - @`` gets one, so that no spreadsheet takes it for a formula.
  A lone apostrophe is an explicit nothing, where an empty cell would mean the field's default.
* A mark at the end, ``~measured ~nameplate ~typed ~assumed``, says where the value comes from ("250 A ~nameplate").
  ``~unsaid`` is no mark of its own: it protects a text that happens to end like one.
* Several things in one cell stand between semicolons; double quotes hold together what contains one.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from engine.record import ORIGINS
from engine.words import _

__all__ = ["Cell", "CellError", "join_cell", "quoted", "split_cell", "split_items", "unquoted"]

_MARK = re.compile(rf"(.*?)\s?~({'|'.join(ORIGINS)}|unsaid)", re.DOTALL)
_TAKEN = tuple("=+-@'\t\r")


class CellError(ValueError):
    """A cell that cannot be understood; the message is for the person."""


class Cell(NamedTuple):
    """A cell's text, whether it was marked as text, and where its value comes from ("" where nobody said)."""

    text: str
    literal: bool = False
    origin: str = ""


def split_cell(raw: str) -> Cell:
    """A cell as it was written, taken apart."""
    text, origin = raw.strip(), ""
    found = _MARK.fullmatch(text)
    if found:
        text, origin = found[1], found[2] if found[2] != "unsaid" else ""
    if text.startswith("'"):
        return Cell(text[1:], True, origin)
    return Cell(text.strip(), False, origin)


def join_cell(cell: Cell) -> str:
    """A cell as it is written, so that `split_cell` gives it back and no spreadsheet takes text for a formula."""
    text = cell.text
    if cell.literal or text.startswith(_TAKEN) or text != text.strip():
        text = f"'{text}"
    if cell.origin:
        return f"{text} ~{cell.origin}" if text else f"~{cell.origin}"
    return f"{text} ~unsaid" if _MARK.fullmatch(text) or text[-1:].isspace() else text


# -- several in one cell -----------------------------------------------------------------------------------------
def split_items(text: str, separators: str = ";") -> list[str]:
    """The items of a cell, quotes still around them; empty ones are left out. Raises `CellError`."""
    items, item, inside = [], "", False
    for character in text:
        if character == '"':
            inside = not inside
        if character in separators and not inside:
            items.append(item)
            item = ""
        else:
            item += character
    if inside:
        raise CellError(_("a quotation mark is never closed in {text!r}").format(text=text))
    items.append(item)
    return [item.strip() for item in items if item.strip()]


def quoted(text: str) -> str:
    """`text` between double quotes."""
    doubled = text.replace('"', '""')
    return f'"{doubled}"'


def unquoted(text: str) -> str:
    """`text` without the double quotes around it, where there are any. Raises `CellError`."""
    if not text.startswith('"'):
        return text
    if not re.fullmatch(r'"(?:[^"]|"")*+"', text):
        raise CellError(_("a quotation mark stands in the middle of {text!r}").format(text=text))
    return text[1:-1].replace('""', '"')
