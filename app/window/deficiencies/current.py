"""The survey that is under way in a window: what is marked, walked and measured belongs to it."""

from __future__ import annotations

import datetime

from app.window.document import Document
from engine.edits import Put
from engine.installation import Survey
from engine.words import _

__all__ = ["choose_survey", "current_survey", "new_survey", "surveys_in_order"]


def surveys_in_order(document: Document) -> list[str]:
    """Ids of the surveys, the newest first: by their date, then as they were made."""
    every = document.installation.tables["surveys"]
    return sorted(
        every, key=lambda item: (every[item].date, int(item[1:]) if item[1:].isdecimal() else 0), reverse=True
    )


def current_survey(document: Document) -> str:
    """The survey chosen in this window, else the newest; "" where the drawing has none."""
    every = document.installation.tables["surveys"]
    if document.survey in every:
        return document.survey
    return next(iter(surveys_in_order(document)), "")


def choose_survey(document: Document, survey: str) -> None:
    """Go on with another survey."""
    if survey != document.survey:
        document.survey = survey
        document.surveyed.emit()


def new_survey(document: Document, today: datetime.date) -> str:
    """Begin a survey of today, by whoever made the last one; returns its id. Raises `EditError`."""
    before = document.installation.tables["surveys"].get(current_survey(document))
    item = document.installation.new_id("surveys")
    who = "" if before is None else before.surveyor
    follows = "" if before is None else current_survey(document)
    record = Survey(
        date=today.isoformat(),
        surveyor=who,
        qualification="" if before is None else before.qualification,
        client="" if before is None else before.client,
        follows=follows,
    )
    document.do(Put("surveys", item, record, _("Begin a survey of {day}").format(day=record.date)))
    choose_survey(document, item)
    return item
