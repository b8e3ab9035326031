"""Counts in a typed line: "4x", "2p" of a breaker, "2s4p" of a bank; designations."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from engine.phrases.atoms import Atom
from engine.phrases.vocabulary import Vocabulary

__all__ = ["LETTERED", "counts_at"]

LETTERED = re.compile(r"([a-z])(\d[\d.,]*)", re.IGNORECASE)
_COUNT = re.compile(r"(?:(\d{1,4})[x×]|[x×](\d{1,4}))", re.IGNORECASE)
_POLES = re.compile(r"(\d)-?(?:p|pole|poles|polig)", re.IGNORECASE)
_STRINGS = re.compile(r"(?:(\d{1,3})s)?(?:(\d{1,3})p)?", re.IGNORECASE)
_NAME = re.compile(r"[^\W\d_]{1,3}\d{1,5}[a-z]?", re.IGNORECASE)
# what a device of so many poles opens, by what it stands in
_POLE_SETS: dict[int, tuple[tuple[str, ...], ...]] = {
    1: (("+",), ("L1",)),
    2: (("+", "-"), ("L1", "N"), ("L1", "L2")),
    3: (("L1", "L2", "L3"), ("L1", "L2", "N")),
    4: (("L1", "L2", "L3", "N"),),
}
_Values = tuple[tuple[str, Any], ...]


def counts_at(words: Vocabulary, atoms: Sequence[Atom], at: int) -> Iterator[tuple[int, float, _Values]]:
    """What may be counted from an atom on: the atom after it, what it costs, fields with their values."""
    text, end = atoms[at].text, at + 1
    after = atoms[end].text if end < len(atoms) and atoms[end].sort == "word" else ""
    count, end_of_count = text, end
    if text.isdecimal() and after.casefold() in ("x", "×", "off"):
        count, end_of_count = f"{text}x", end + 1
    if found := _COUNT.fullmatch(count):
        n = int(found[1] or found[2])
        for k, field in enumerate(_counted(words)):
            yield end_of_count, 0.1 * k, ((field, n),)
        return
    poles = _POLES.fullmatch(text)
    if poles is None and text.isdecimal() and (poles := _POLES.fullmatch(text + after)) is not None:
        end += 1
    if poles and "poles" in words.specs:
        for k, names in enumerate(_POLE_SETS.get(int(poles[1]), ())):
            yield end, 0.1 * k, (("poles", names),)
    elif "series" in words.specs and (strings := _STRINGS.fullmatch(text)) and any(strings.groups()):
        side = "parallel" if "parallel" in words.specs else "strings"
        yield end, 0, tuple((f, int(n)) for n, f in ((strings[1], "series"), (strings[2], side)) if n)
    if _NAME.fullmatch(text) and "designation" in words.specs:
        letters = getattr(words.cls, "LETTERS", ("W",))
        if any(text.upper().startswith(letter) for letter in letters):
            yield at + 1, 0.3, (("designation", text.upper()),)


def _counted(words: Vocabulary) -> list[str]:
    """The fields that so many of a thing may mean."""
    if "size" in words.specs:
        return ["parallel"]
    return [f for f in ("parallel", "strings", "series") if f in words.specs] or ["quantity"]
