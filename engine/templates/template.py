"""What a template is: one file in `assemblies/`, found by reading the folder; and placing one, as a single edit.

A module holds

    NAME = "solar"                       # as commands write it
    TITLE = N_("Solar with controller")
    PURPOSE = N_("One sentence: what it is for.")
    QUESTIONS = (Question(...), ...)
    def build(m: Making, a: Answers) -> None: ...

`build` adds equipment, runs, interlocks and conditions through `Making`; it raises `EditError` for what cannot be.
"""

from __future__ import annotations

import difflib
import functools
import importlib
import pkgutil
from collections.abc import Callable, Mapping
from typing import NamedTuple

from engine.books import Book
from engine.edits.edit import EditError, Several
from engine.installation import Snapshot
from engine.templates.making import ALIKE, Making, Spot
from engine.templates.question import Answers, Question, answers
from engine.words import _

__all__ = ["Fitted", "Template", "fit", "template_named", "templates", "uses_metric"]


class Template(NamedTuple):
    """A template as the rest of the program sees it."""

    name: str
    title: str
    purpose: str
    questions: tuple[Question, ...]
    build: Callable[[Making, Answers], None]


class Fitted(NamedTuple):
    """One edit, the ids of the equipment it makes, and the number of the last id it takes."""

    edit: Several
    items: tuple[str, ...]
    last_id: int


@functools.cache
def templates() -> dict[str, Template]:
    """Every template by name, sorted."""
    package = importlib.import_module("engine.templates.assemblies")
    found: dict[str, Template] = {}
    for info in sorted(pkgutil.iter_modules(package.__path__), key=lambda i: i.name):
        if not info.name.startswith("_"):
            module = importlib.import_module(f"{package.__name__}.{info.name}")
            assert info.name.replace("_", "-") == module.NAME, f"{info.name} calls itself {module.NAME}"
            found[module.NAME] = Template(module.NAME, module.TITLE, module.PURPOSE, module.QUESTIONS, module.build)
    return found


def template_named(name: str) -> Template:
    """The template called `name`. Raises `EditError` where there is none."""
    every = templates()
    if name not in every:
        near = difflib.get_close_matches(name, every, 1)
        told = _("there is no template {name!r}; there are: {names}").format(name=name, names=", ".join(every))
        raise EditError(told + (_("; did you mean {near!r}?").format(near=near[0]) if near else ""))
    return every[name]


def uses_metric(book: Book) -> bool:
    """Whether the conductors of a book are metric."""
    return any(size.endswith("mm2") for size in book.ampacity.rows)


def fit(snapshot: Snapshot, last_id: int, template: Template, given: Mapping[str, float | str], book: Book) -> Fitted:
    """A template over a drawing, not yet drawn on a sheet. Raises `EditError` in one sentence.

    Where the system voltage is not answered it is that of what the template joins.
    """
    making = Making(snapshot, last_id, book, is_metric=uses_metric(book))
    known = _volts_there(making, template, given)
    template.build(making, answers(template.questions, known, is_metric=making.is_metric))
    return Fitted(making.done(_(template.title)), tuple(making.items), making.draft.last_id)


def _volts_there(m: Making, template: Template, given: Mapping[str, float | str]) -> Mapping[str, float | str]:
    volts = next((q for q in template.questions if q.name == "volts"), None)
    if volts is None or "volts" in given:
        return given
    for question in template.questions:
        asked = str(given.get(question.name, "")).strip()
        if question.joins in ("dc", "bank") and asked:
            if question.joins == "bank":
                spot = Spot(m.found(asked, question.name), "pos")
            else:
                spot = m.joined(asked, question.name, ("+",))
            nominal = m.nominal_at(spot, "+")
            for choice in volts.choices:
                if nominal and all(abs(have / float(choice) - 1) <= ALIKE for have in nominal):
                    return {**given, "volts": choice}
    return given
