"""The page of notes: what was found, what could not be judged and which field would tell, what was waived."""

from __future__ import annotations

from app.window.notes.page import NotesPage

__all__ = ["NotesPage"]
