"""What the window and the study process say to each other about measured values. No Qt."""

from __future__ import annotations

import msgspec

from engine.installation.surveying import Reading
from engine.survey.results import ReadingResult

__all__ = ["MeasureRequest", "Measured", "question_of", "reading_of"]


class MeasureRequest(msgspec.Struct, frozen=True, tag="measure"):
    """Compare a reading that is being typed, and all that are recorded; takes the place of an earlier one."""

    number: int
    question: str  # of `question_of`


class Measured(msgspec.Struct, frozen=True, tag="measured"):
    """What the reading that is typed should be, and every recorded one; `words`: what stopped it."""

    at: int
    question: str
    typed: tuple[ReadingResult, ...] = ()
    every: tuple[ReadingResult, ...] = ()
    words: str = ""


def question_of(reading: Reading | None) -> str:
    """A reading as a question; `None`: only those that are recorded."""
    return msgspec.json.encode(reading).decode() if reading is not None else "-"


def reading_of(question: str) -> Reading | None:
    """The reading of a question. Raises `ValueError`."""
    return None if question == "-" else msgspec.json.decode(question, type=Reading)
