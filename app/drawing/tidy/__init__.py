"""Sheets laid out anew as readably as this program can, as one edit; how readable a sheet is, as numbers. Headless."""

from __future__ import annotations

from app.drawing.tidy.score import Score, score_of
from app.drawing.tidy.tidying import AlreadyTidy, Tidied, standing, tidied, tidy_sheet

__all__ = ["AlreadyTidy", "Score", "Tidied", "score_of", "standing", "tidied", "tidy_sheet"]
