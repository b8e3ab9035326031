"""Where links of a drawing set lead: from a flag to its note and back, from notes that go on to where they go on.

Arrows, buses that go on and repeated symbols have their places from `sheet.py`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.picture import Primitive, Text

__all__ = ["note_anchors"]

_LEFT, _ABOVE = 5.0, 6.0  # mm from a text to the corner that a reader's window is moved to


def note_anchors(primitives: Sequence[Primitive]) -> Iterator[tuple[str, float, float]]:
    """Places at which the flags, the notes and the continued notes of a page are reached."""
    seen: set[str] = set()
    for p in primitives:
        if isinstance(p, Text) and (p.link or p.owner):
            name = _place(p)
            if name and name not in seen:
                seen.add(name)
                yield name, max(p.x - _LEFT, 0.0), max(p.y - _ABOVE, 0.0)


def _place(text: Text) -> str:
    """What a text that leads somewhere is the place of itself, "" for nothing."""
    kind, _colon, rest = text.link.partition(":")
    if kind == "note" and text.owner == f"flag:{rest}":
        return text.owner
    if text.owner in (f"note:{text.text}", f"note:-{text.text}") and text.owner != text.link:
        return text.owner  # a note that leads to a note is told elsewhere and is no place
    if kind == "sheet" and not text.owner:
        return f"rest:{rest}"
    return ""
