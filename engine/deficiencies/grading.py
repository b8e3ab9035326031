"""Classes of deficiencies and their wording: common practice, no source; a survey may word them its own way."""

from __future__ import annotations

from engine.installation.surveying import Grade, Survey
from engine.words import N_, _

__all__ = ["GRADES", "grade_name", "grade_words"]

GRADES: tuple[Grade, ...] = ("A", "B", "C")
# common practice, no source
_WORDS = {
    "A": N_("to be put right before further use"),
    "B": N_("to be put right soon"),
    "C": N_("to be seen to with the usual upkeep"),
}


def grade_words(survey: Survey | None, grade: str) -> str:
    """What a class means: as the survey words it, else the common wording; "" for no class."""
    own = "" if survey is None or grade not in GRADES else getattr(survey, f"grade_{grade.lower()}")
    if own.strip():
        return str(own).strip()
    return _(_WORDS[grade]) if grade in _WORDS else ""


def grade_name(grade: str) -> str:
    """*Class A*; *Without class* where none was given."""
    return _("Class {grade}").format(grade=grade) if grade else _("Without class")
