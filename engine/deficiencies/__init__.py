"""Deficiencies of a survey: numbers and order, classes, on what each rests, marking and closing, words typed in one go.

A number is given once: the next is one above the highest there is, and a numbered deficiency is closed, never taken
out. Nothing is told as a breach of a standard younger than the vessel (`basing.py`).
"""

from __future__ import annotations

from engine.deficiencies.basing import BASES, basis_words, edition_year, is_breach, standing_words, younger_editions
from engine.deficiencies.grading import GRADES, grade_name, grade_words
from engine.deficiencies.marking import from_finding, proposed_grade
from engine.deficiencies.noting import Lacking, change, close, mark, not_agreed, reopen, with_photographs
from engine.deficiencies.ordering import STATUSES, in_order, is_open, next_number, place_of, status_words, told_at
from engine.deficiencies.proposing import Proposed, proposals
from engine.deficiencies.typed import Typed, read_typed

__all__ = [
    "BASES",
    "GRADES",
    "STATUSES",
    "Lacking",
    "Proposed",
    "Typed",
    "basis_words",
    "change",
    "close",
    "edition_year",
    "from_finding",
    "grade_name",
    "grade_words",
    "in_order",
    "is_breach",
    "is_open",
    "mark",
    "next_number",
    "not_agreed",
    "place_of",
    "proposals",
    "proposed_grade",
    "read_typed",
    "reopen",
    "standing_words",
    "status_words",
    "told_at",
    "with_photographs",
    "younger_editions",
]
