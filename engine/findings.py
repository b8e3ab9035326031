"""What a rule says: a finding, or that something could not be judged."""

from __future__ import annotations

from typing import Literal, TypeAlias

import msgspec

__all__ = ["WORDS", "Figure", "Finding", "NotJudged", "Remark", "Word", "worse"]

Word: TypeAlias = Literal["danger", "warning", "caution", "notice"]
WORDS: tuple[Word, ...] = ("danger", "warning", "caution", "notice")  # signal words of ANSI Z535, worst first


class Figure(msgspec.Struct, frozen=True):
    """A number in a finding, in the unit it is stored in. `None`: without limit."""

    name: str
    value: float | None
    unit: str = ""


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    """Something wrong. The first sentence of `message` stands alone."""

    rule: str
    word: Word
    designations: tuple[str, ...]
    ids: tuple[str, ...]  # equipment or run ids, the one it speaks of first
    message: str
    condition: str = ""  # switch positions and operating condition that make it true, in words
    positions: tuple[tuple[str, str], ...] = ()  # the witness: (equipment id, position)
    figures: tuple[Figure, ...] = ()
    arithmetic: str = ""
    fixes: tuple[str, ...] = ()
    undecided: bool = False  # the search was stopped before it could tell
    detail: str = ""  # tells apart several findings of one rule on one thing ("from end, L1")
    beyond_clause: bool = False  # the book's clause for the rule does not speak of this: good practice
    # filled in by engine.check from the book
    clause: str = ""
    confirmed: bool = False
    law_here: bool | None = None
    waived: str = ""  # id of the waiver
    waiver_note: str = ""  # why a waiver that names this finding no longer holds

    @property
    def key(self) -> str:
        """Stable over moves and rewording: rule, what it speaks of, which of several."""
        return "|".join((self.rule, ",".join(self.ids), self.detail))


class NotJudged(msgspec.Struct, frozen=True, kw_only=True):
    """A rule that could not tell: on what, which fields are missing, the word it would carry."""

    rule: str
    would_be: Word
    designations: tuple[str, ...]
    ids: tuple[str, ...]
    missing: tuple[str, ...]  # "F3.rating_a", "W12.length_m"
    why: str = ""
    detail: str = ""


Remark: TypeAlias = Finding | NotJudged


def worse(a: Word, b: Word) -> Word:
    """The worse of two signal words."""
    return min(a, b, key=WORDS.index)
