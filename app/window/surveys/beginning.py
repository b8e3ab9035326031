"""A survey begun, or a follow-up of one, as one edit; the standards that the drawing's own book proposes."""

from __future__ import annotations

import datetime

from app.window.deficiencies.current import choose_survey, current_survey
from app.window.document import Document
from engine.books import BookError, load
from engine.edits import Put
from engine.installation import Survey
from engine.words import _

__all__ = ["begin", "proposed_standards"]

_KEPT = ("client", "surveyor", "qualification", "standards", "grade_a", "grade_b", "grade_c")


def begin(document: Document, today: datetime.date, *, follow_up: bool = False) -> str:
    """Begin a survey of today with what stays the same from the last one; returns its id. Raises `EditError`."""
    before = current_survey(document)
    last = document.installation.tables["surveys"].get(before)
    item = document.installation.new_id("surveys")
    kept = {} if last is None else {name: getattr(last, name) for name in _KEPT}
    kept["standards"] = kept.get("standards") or proposed_standards(document)
    record = Survey(date=today.isoformat(), follows=before if follow_up else "", **kept)
    words = _("Begin a follow-up survey of {day}") if follow_up else _("Begin a survey of {day}")
    document.do(Put("surveys", item, record, words.format(day=record.date)))
    choose_survey(document, item)
    return item


def proposed_standards(document: Document) -> tuple[str, ...]:
    """The book the drawing is judged by, with its edition; nothing where it cannot be read here."""
    judgement = document.judgement
    if judgement is not None:
        result = judgement.result
        return (_("{title}, edition {edition}").format(title=_(result.title), edition=result.edition),)
    try:
        book = load(document.installation.settings.book)
    except BookError:
        return ()
    return (_("{title}, edition {edition}").format(title=_(book.title), edition=book.edition),)
