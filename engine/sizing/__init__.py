"""What conductor, what device, what bank: the arithmetic of the rules run backwards.

Who only passes answers on (the window, messages) loads none of the arithmetic.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from engine.sizing.results import Answer
    from engine.study import Study

__all__ = ["size", "sizes"]


def size(study: Study, item: str) -> tuple[Answer, ...]:
    """What a run or a piece of equipment needs, by id; `()` for what has no size to choose (a lamp, an earth lead)."""
    from engine.sizing.answers import size as made

    return made(study, item)


def sizes(study: Study) -> tuple[Answer, ...]:
    """What everything needs, runs first, in order of designation; what is to be removed or is spare left out."""
    from engine.sizing.answers import sizes as made

    return made(study)
