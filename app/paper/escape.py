"""What a person typed, made safe for the place it goes to. Nothing is dropped silently: what cannot stand is shown."""

from __future__ import annotations

import unicodedata

__all__ = ["csv_cell", "visible"]

_SHOWN = "\ufffd"  # the replacement character: something stood here
_FORMULA = ("=", "+", "-", "@")


def visible(text: str, keep: str = "") -> str:
    """`text` with control characters and halves of characters replaced by a visible sign, those in `keep` excepted."""
    if text.isprintable():
        return text
    return "".join(_SHOWN if unicodedata.category(c) in ("Cc", "Cs") and c not in keep else c for c in text)


def csv_cell(text: str) -> str:
    """A text no spreadsheet takes for a formula: an apostrophe before `= + - @`, also behind leading blanks."""
    text = visible(text.replace("\r\n", "\n").replace("\r", "\n"), keep="\n\t")
    return f"'{text}" if text.lstrip().startswith(_FORMULA) else text
