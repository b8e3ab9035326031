"""What a rule says: a finding, that something could not be judged, or (when it is asked to prove) what passed."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal, TypeAlias

import msgspec

__all__ = ["WORDS", "Figure", "Finding", "NotJudged", "Passed", "Remark", "Word", "least", "worse"]

ROUNDING = 5e-4  # share: what arithmetic, and the last decimal of a book's value, make of a figure just at its limit

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
        """Stable over moves, rewording, other labels and another order: rule, what it speaks of, which of several."""
        return "|".join((self.rule, ",".join(sorted(self.ids)), self.detail))


class NotJudged(msgspec.Struct, frozen=True, kw_only=True):
    """A rule that could not tell: on what, which fields are missing, the word it would carry."""

    rule: str
    would_be: Word
    designations: tuple[str, ...]
    ids: tuple[str, ...]
    missing: tuple[str, ...]  # "F3.rating_a", "W12.length_m"
    why: str = ""
    detail: str = ""
    everywhere: bool = False  # it stops the rule for everything, not only for what it names

    @property
    def key(self) -> str:
        """Stable as that of a finding is; a gap and the finding it may turn into have the same."""
        return "|".join((self.rule, ",".join(sorted(self.ids)), self.detail))


class Passed(msgspec.Struct, frozen=True, kw_only=True):
    """What a rule looked at and found in order, with what margin. Said only where `Study.proving`.

    `found` and `limit` are in one unit; `at_least`: the limit is one to be reached, not one to be kept below. Where the
    rule compares no figures, `message` says in a sentence why it is in order.
    """

    rule: str
    designations: tuple[str, ...]
    ids: tuple[str, ...]
    found: Figure | None = None
    limit: Figure | None = None
    at_least: bool = False
    message: str = ""
    arithmetic: str = ""
    condition: str = ""
    detail: str = ""

    @property
    def margin(self) -> float | None:
        """Share of the limit that is left: 0 just at it; `None` where there are no figures or no limit."""
        if self.found is None or self.limit is None or self.found.value is None or not self.limit.value:
            return None
        share = self.found.value / self.limit.value
        margin = share - 1 if self.at_least else 1 - share
        return 0.0 if abs(margin) < ROUNDING else margin


Remark: TypeAlias = Finding | NotJudged | Passed


def least(passed: Iterable[Passed], told: Iterable[Finding | NotJudged] = ()) -> tuple[Passed, ...]:
    """Of what one rule says of one place, what passed with the least margin; nothing where it says something else.

    A place is what a remark speaks of first, and its detail; of a question left open for several, each of them.
    """
    taken: set[tuple[str, str]] = set()
    for remark in told:
        ids = remark.ids if isinstance(remark, NotJudged) else remark.ids[:1]
        taken.update((item, remark.detail) for item in ids)
    kept: dict[tuple[str, str], Passed] = {}
    for one in passed:
        place = one.ids[0] if one.ids else "", one.detail
        if place not in taken and (place not in kept or _margin(one) < _margin(kept[place])):
            kept[place] = one
    return tuple(kept.values())


def _margin(passed: Passed) -> float:
    return math.inf if passed.margin is None else passed.margin


def worse(a: Word, b: Word) -> Word:
    """The worse of two signal words."""
    return min(a, b, key=WORDS.index)
