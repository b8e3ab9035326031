"""A label as it is made, before it is set: what is printed, how many, and what it belongs to."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from app.handover.labels.wanted import Kind

__all__ = ["HELD", "Label", "tidied"]

HELD = "\u00a0"  # a blank that no line is broken at while a break can be helped
_BLANKS = re.compile(r"[^\S\n\u00a0]+")


class Label(NamedTuple):
    """`lines`: what is printed, the first of them largest; none is empty. `word`: the signal word of a sign."""

    kind: Kind
    name: str  # what it belongs to, for lists
    lines: tuple[str, ...]
    quantity: int = 1
    from_end: str = ""  # a marker's own end
    to_end: str = ""  # the far end
    where: str = ""
    word: str = ""
    why: str = ""  # clause that asks for it


def tidied(lines: Iterable[str]) -> tuple[str, ...]:
    """Lines as they are printed: without what is empty, blanks joined; a line break in a text stays one."""
    made = []
    for text in lines:
        broken = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        parts = [_BLANKS.sub(" ", part).strip() for part in broken]
        if kept := "\n".join(part for part in parts if part):
            made.append(kept)
    return tuple(made)
