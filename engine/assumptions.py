"""What a judgement takes for granted where the record is silent, in sentences for people.

Elsewhere what is not recorded is not guessed. These are the exceptions, so that no pass rests on one without saying so.
"""

from __future__ import annotations

from engine.circuit.conductors import BookLimits
from engine.rules.energy.charge_too_high import dependences
from engine.study import Study
from engine.words import _

__all__ = ["assumptions"]


def assumptions(study: Study) -> tuple[str, ...]:
    """What is taken for granted on this boat by its book: of conductor protection, sorted, then of charging."""
    made: dict[str, list[str]] = {}
    if BookLimits(study.book).ordinary_alternator:
        for feed in study.circuit.feeds:
            if feed.source.is_ordinary_alternator():
                what = _("taken as limiting itself to its rating, as an ordinary alternator does")
                made.setdefault(what, []).append(study.name(feed.equipment))
    for item in study.circuit.joined:
        for text in study.snapshot.equipment[item].assumed():
            made.setdefault(_(text), []).append(study.name(item))
    told = [
        _("{items}: {what}").format(items=", ".join(dict.fromkeys(names)), what=what)
        for what, names in sorted(made.items())
    ]
    return (*told, *dependences(study))
