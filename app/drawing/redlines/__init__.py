"""Two drawings compared, on the sheet: clouds round what is new or other, what is gone drawn where it stood.

`entries` numbers what differs, `Redlines` draws it sheet by sheet. Headless; what is judged is said elsewhere.
"""

from __future__ import annotations

from app.drawing.redlines.entries import Entry, entries_of, entry_words, matched_words
from app.drawing.redlines.sheets import Redlined, Redlines
from app.drawing.redlines.signs import forms, sign_text, tag

__all__ = ["Entry", "Redlined", "Redlines", "entries_of", "entry_words", "forms", "matched_words", "sign_text", "tag"]
