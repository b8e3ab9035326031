"""Typed phrases: "class t 300" is a fuse of that class and rating, "2/0 3m" the size and length of a run. No Qt.

What is typed is read by the records' own annotations: units, choices, names of fields. A figure that fits two fields
makes two proposals; a word that nothing explains makes none, and is told.
"""

from __future__ import annotations

from engine.phrases.assemblies import template_phrases
from engine.phrases.giving import has_origin, record_with, run_with, set_edit
from engine.phrases.kinds import FAMILY_NAMES, Entry, entries, matching
from engine.phrases.reading import (
    Given,
    Proposal,
    Read,
    joined_phrases,
    place_phrases,
    run_phrases,
    set_phrases,
    split_run,
)

__all__ = [
    "FAMILY_NAMES",
    "Entry",
    "Given",
    "Proposal",
    "Read",
    "entries",
    "has_origin",
    "joined_phrases",
    "matching",
    "place_phrases",
    "record_with",
    "run_phrases",
    "run_with",
    "set_edit",
    "set_phrases",
    "split_run",
    "template_phrases",
]
