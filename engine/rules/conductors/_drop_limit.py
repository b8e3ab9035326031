"""How much the circuit of a load may lose: by the class recorded for it, for its run, or by what it serves."""

from __future__ import annotations

from typing import NamedTuple

from engine.findings import Word
from engine.study import Study

__all__ = ["DropLimit", "drop_limit"]

SLUG = "drop-too-high"


class DropLimit(NamedTuple):
    """How much a circuit may lose, as shares; the two differ where nobody knows its class."""

    low: float
    high: float
    word: Word


def drop_limit(study: Study, item: str) -> DropLimit | None:
    """What the book allows a consumer; `None` where it says nothing or it is none."""
    essential, other = study.book.limit(SLUG, "essential"), study.book.limit(SLUG, "other")
    use = study.snapshot.equipment[item].use()
    if essential is None or other is None or use is None:
        return None
    kind = use.drop_class
    if not kind:
        for run in study.snapshot.runs.values():
            if run.drop_class and item in (run.from_end.equipment, run.to_end.equipment):
                kind = run.drop_class
    if not kind and (use.essential or use.service in study.book.option(SLUG, "essential_services", ())):
        kind = "essential"
    elif not kind and use.service:
        kind = "other"
    if kind == "essential":
        return DropLimit(essential.value, essential.value, "warning")
    return DropLimit(other.value if kind else essential.value, other.value, "caution")
