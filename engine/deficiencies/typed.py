"""A deficiency typed in one line: *b burnt lug; fire; renew lug and torque*.

Parts are separated by semicolons: what was seen, what it may bring, what to do, by when. A class may stand in front,
one letter by itself. Nothing but the first part is needed.
"""

from __future__ import annotations

import datetime
from typing import NamedTuple

from engine.installation.surveying import Deficiency, Grade
from engine.words import _

__all__ = ["Typed", "read_day", "read_typed"]

_PARTS = 4


class Typed(NamedTuple):
    """What a line says; "" for what it leaves out. `why`: what cannot be taken, "" where all can."""

    grade: Grade = ""
    observation: str = ""
    risk: str = ""
    recommendation: str = ""
    due: str = ""
    why: str = ""

    def onto(self, deficiency: Deficiency) -> dict[str, str]:
        """The fields it gives; what it leaves out stays as `deficiency` has it."""
        told = {name: getattr(self, name) for name in ("grade", "observation", "risk", "recommendation", "due")}
        return {name: value for name, value in told.items() if value and value != getattr(deficiency, name)}


def read_typed(text: str) -> Typed:
    """Read a line. A single letter a, b or c before a space or a stop is the class, whatever its case.

    In English a sentence may begin with the article *a*: "a burnt lug" is read as class A, and what is understood is
    shown before it is taken; "the" or a capital word in front says otherwise.
    """
    head = text.strip()
    grade: Grade = ""
    first, rest = head[:1], head[1:]
    letter = first.upper()
    if letter in ("A", "B", "C") and (not rest or rest[0] in " .:,)"):
        grade = "A" if letter == "A" else "B" if letter == "B" else "C"
        head = rest.lstrip(" .:,)")
    parts = [" ".join(part.split()) for part in head.split(";")]
    while len(parts) > 1 and not parts[-1]:
        parts.pop()
    if len(parts) > _PARTS:
        why = _("Found {n} parts; a deficiency has four: what was seen; what it may bring; what to do; by when.")
        return Typed(grade, why=why.format(n=len(parts)))
    seen, risk, advice, due = (*parts, *("",) * (_PARTS - len(parts)))
    why = ""
    if not seen:
        why = _("What was seen is needed.")
    elif due:
        try:
            due = read_day(due)
        except ValueError as fault:
            why = str(fault)
    return Typed(grade, seen, risk, advice, due, why)


def read_day(text: str) -> str:
    """A day as YYYY-MM-DD. Raises `ValueError` with a sentence for anything else."""
    try:
        return datetime.date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        raise ValueError(_("A date is written like 2026-03-31, found {text!r}.").format(text=text)) from None
