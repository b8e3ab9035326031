"""How much the circuit of a load may lose, by its class."""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.flow.drop_class import DROP, drop_class
from engine.findings import Word
from engine.study import Study

__all__ = ["DropLimit", "drop_limit"]


class DropLimit(NamedTuple):
    """How much a circuit may lose, as shares; the two differ where nobody knows its class."""

    low: float
    high: float
    word: Word


def drop_limit(study: Study, item: str) -> DropLimit | None:
    """What the book allows a consumer; `None` where it says nothing or it is none."""
    essential, other = study.book.limit(DROP, "essential"), study.book.limit(DROP, "other")
    use = study.snapshot.equipment[item].use()
    if essential is None or other is None or use is None:
        return None
    kind = drop_class(study.snapshot, study.book, item)
    if kind == "essential":
        return DropLimit(essential.value, essential.value, "warning")
    return DropLimit(other.value if kind else essential.value, other.value, "caution")
