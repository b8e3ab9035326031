"""What a template asks before it is placed: a figure with its unit and range, one of a few words, or what to join."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from typing import Literal, NamedTuple

from engine.edits.edit import EditError
from engine.units import UnitError, number, read, show
from engine.words import _

__all__ = ["Answers", "Joins", "Question", "answers", "shown"]

Joins = Literal["", "bank", "dc", "ac", "engine"]


class Question(NamedTuple):
    """One question. `metric` is the default where the book's conductors are metric and it differs.

    With `choices` the answer is one of them. With `joins` it is the designation of something on the drawing (a terminal
    may be named: `X1.bar`) and empty where the template is to bring its own; `figure` questions have a range.
    """

    name: str
    text: str
    unit: str = ""
    default: float | str = ""
    low: float | None = None
    high: float | None = None
    metric: float | str | None = None
    choices: tuple[str, ...] = ()
    joins: Joins = ""
    whole: bool = False  # counts pieces

    def usual(self, *, is_metric: bool) -> float | str:
        """The answer where none is given."""
        return self.metric if is_metric and self.metric is not None else self.default


class Answers(dict[str, float | str]):
    """Answers by the name of the question, each converted."""

    def figure(self, name: str) -> float:
        """A figure in the unit of its question."""
        value = self[name]
        assert not isinstance(value, str), f"{name} is no figure"
        return value

    def word(self, name: str) -> str:
        """A word: one of the choices, or what is joined (`""`: nothing)."""
        return str(self[name])


def answers(questions: tuple[Question, ...], given: Mapping[str, float | str], *, is_metric: bool) -> Answers:
    """Every answer, the usual one where none is given. Raises `EditError` in one sentence."""
    names = {question.name for question in questions}
    for name in given:
        if name not in names:
            near = difflib.get_close_matches(name, names, 1)
            told = _("there is no question {name!r}; it asks for {names}").format(
                name=name, names=", ".join(q.name for q in questions)
            )
            raise EditError(told + (_("; did you mean {near!r}?").format(near=near[0]) if near else ""))
    return Answers({q.name: _answer(q, given.get(q.name, q.usual(is_metric=is_metric))) for q in questions})


def shown(question: Question, value: float | str) -> str:
    """An answer as a person writes it."""
    return value if isinstance(value, str) else show(value, question.unit) if question.unit else number(value, 6)


def _answer(question: Question, value: float | str) -> float | str:
    if question.joins:
        return str(value).strip()
    if question.choices:
        word = str(value).strip()
        if word not in question.choices:
            raise EditError(
                _("{name}: it is one of {choices}, found {found!r}").format(
                    name=question.name, choices=", ".join(question.choices), found=word
                )
            )
        return word
    figure = _figure(question, value)
    low, high = question.low, question.high
    if not (low is None or figure >= low) or not (high is None or figure <= high):
        raise EditError(
            _("{name}: it lies between {low} and {high}, found {found}").format(
                name=question.name,
                low=shown(question, low if low is not None else 0.0),
                high=shown(question, high if high is not None else 0.0),
                found=shown(question, figure),
            )
        )
    if question.whole and figure != int(figure):
        raise EditError(
            _("{name}: it is a whole number, found {found}").format(name=question.name, found=number(figure, 6))
        )
    return figure


def _figure(question: Question, value: float | str) -> float:
    if not isinstance(value, str):
        return float(value)
    try:
        return read(value, question.unit, question.unit)
    except UnitError as fault:
        raise EditError(f"{question.name}: {fault}") from None
