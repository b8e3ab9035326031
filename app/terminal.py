"""What a terminal is sent is text only: what would move its cursor, colour it or turn a line about is spelled out.

A drawing comes from anybody, and its texts are printed. A control character goes out as it would stand in a string of
JSON (backslash, u, four digits), so that JSON that is printed says the same as before.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

__all__ = ["Plain", "spelled_out", "unbroken"]

_ENDS = re.compile(r"\s*[\r\n]+\s*")
# control characters but tab and ends of lines, separators of lines, controls of direction (Unicode, annex 9),
# noncharacters
_ODD = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ufdd0-\ufdef\ufffe\uffff]|\r(?!\n)")


def spelled_out(text: str) -> str:
    """`text` with every character that a terminal would obey in place of showing it as backslash, u, four digits."""
    return _ODD.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def unbroken(text: str) -> str:
    """`text` on one line: a name may hold ends of lines, and must not say a line of its own in a report."""
    return _ENDS.sub(" ", text)


class Plain:
    """A stream of text that spells out what is no text; everything else is that of the stream itself."""

    def __init__(self, stream: Any) -> None:
        self.stream = stream

    def __getattr__(self, name: str) -> Any:
        return getattr(self.stream, name)

    def write(self, text: str) -> int:
        """Write it; returns how many characters were given."""
        self.stream.write(spelled_out(text))
        return len(text)

    def writelines(self, lines: Iterable[str]) -> None:
        """Write them all."""
        for line in lines:
            self.write(line)
