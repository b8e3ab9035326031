"""What to fit: every run and every piece of equipment that has a size to choose."""

from __future__ import annotations

from engine.sizing.basis import Basis, basis
from engine.sizing.conductors import conductor
from engine.sizing.devices import device
from engine.sizing.equipment import bank, bus, inverter, switch
from engine.sizing.results import Answer
from engine.study import Study

__all__ = ["size", "sizes"]


def size(study: Study, item: str) -> tuple[Answer, ...]:
    """What a run or a piece of equipment needs, by id; `()` for what has no size to choose (a lamp, an earth lead)."""
    return _answers(basis(study), item)


def sizes(study: Study) -> tuple[Answer, ...]:
    """What everything needs, runs first, in order of designation; what is to be removed or is spare left out."""
    b = basis(study)
    snapshot = study.snapshot
    made: list[Answer] = []
    for table in (snapshot.runs, snapshot.equipment):
        for item in sorted(table, key=lambda i: (study.name(i), i)):
            if table[item].status not in ("to remove", "spare"):
                made += _answers(b, item)
    return tuple(made)


def _answers(b: Basis, item: str) -> tuple[Answer, ...]:
    if item in b.snapshot.runs:
        found = [conductor(b, item)]
    elif item in b.snapshot.equipment:
        found = [device(b, item), switch(b, item), bus(b, item), bank(b, item), inverter(b, item)]
    else:
        found = []
    return tuple(answer for answer in found if answer is not None)
