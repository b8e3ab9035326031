"""Every installation of the corpus: its name, how it is built, the book it is judged by."""

from __future__ import annotations

from collections.abc import Callable
from types import ModuleType
from typing import NamedTuple

import ac_sources
import alongside
import banks
import books
import charging
import cranking
import direct_current
import larger
import less_usual_ac
import surveyed
import unusual

from engine.installation.model import Installation

__all__ = ["CORPUS", "Correct"]


class Correct(NamedTuple):
    """A small installation in which nothing is wrong."""

    name: str
    build: Callable[[], Installation]
    book: str


def _of(module: ModuleType) -> list[Correct]:
    made = []
    for name in module.__all__:
        build = getattr(module, name)
        made.append(Correct(f"{module.__name__}.{name}", build, build().snapshot().settings.book))
    return made


THEMES = (
    cranking,
    direct_current,
    charging,
    alongside,
    ac_sources,
    books,
    banks,
    larger,
    less_usual_ac,
    surveyed,
    unusual,
)
CORPUS: tuple[Correct, ...] = tuple(one for module in THEMES for one in _of(module))
