"""What a person typed, made safe for the place it goes to. Nothing is dropped silently: what cannot stand is shown."""

from __future__ import annotations

import unicodedata

__all__ = ["csv_cell", "visible"]

_SHOWN = "\ufffd"  # the replacement character: something stood here
_TURNS = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
_FORMULA = ("=", "+", "-", "@")


def visible(text: str, keep: str = "") -> str:
    """`text` with what is no letter or turns others about replaced by a visible sign, those in `keep` excepted.

    Control characters, halves of characters, noncharacters (no XML 1.0 can hold U+FFFE), separators of lines, and the
    controls of direction of Unicode's annex 9 that make a text read otherwise than it is stored.
    """
    if text.isprintable():
        return text
    return "".join(_SHOWN if _is_odd(c) and c not in keep else c for c in text)


def _is_odd(letter: str) -> bool:
    code = ord(letter)
    return (
        unicodedata.category(letter) in ("Cc", "Cs", "Zl", "Zp")
        or code & 0xFFFE == 0xFFFE
        or 0xFDD0 <= code <= 0xFDEF
        or letter in _TURNS
    )


def csv_cell(text: str) -> str:
    """A text no spreadsheet takes for a formula: an apostrophe before `= + - @`, also behind leading blanks."""
    text = visible(text.replace("\r\n", "\n").replace("\r", "\n"), keep="\n\t")
    return f"'{text}" if text.lstrip().startswith(_FORMULA) else text
