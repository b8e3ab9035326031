"""Deficiencies on a sheet: numbered notes with a square in the margin, a square flag at the thing.

The numbers of their notes count below zero: note 3 is a finding, in a circle, note -3 deficiency 3, in a square. Of
one that is closed only the corners of the square are drawn, in grey, and its note says so.
"""

from __future__ import annotations

from app.drawing.squares.marking import drawn_with, spots
from app.drawing.squares.notes import heading_before, square_notes
from app.drawing.squares.sign import square_sign

__all__ = ["drawn_with", "heading_before", "spots", "square_notes", "square_sign"]
