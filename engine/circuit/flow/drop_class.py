"""The voltage drop class of a consumer: recorded for it, else for its run, else by what it serves."""

from __future__ import annotations

from typing import Literal, TypeAlias

from engine.books import Book
from engine.installation.model import Snapshot
from engine.installation.records import Run

__all__ = ["DROP", "DropClass", "class_fields", "drop_class"]

DROP = "drop-too-high"  # the rule whose values and options say how much a class may lose, and what is essential
DropClass: TypeAlias = Literal["essential", "other", ""]


def drop_class(snapshot: Snapshot, book: Book, item: str) -> DropClass:
    """`"essential"`, `"other"`, or `""` where nobody knows."""
    use = snapshot.equipment[item].use()
    if use is not None and use.drop_class:
        return "essential" if use.drop_class == "essential" else "other"
    of_run = _of_runs(snapshot.runs).get(item)
    if of_run:
        return "essential" if of_run == "essential" else "other"
    if use is not None and (use.essential or use.service in book.option(DROP, "essential_services", ())):
        return "essential"
    return "other" if use is not None and use.service else ""


_LAST: list[tuple[dict[str, Run], dict[str, str]]] = []  # the runs asked about last, and the classes at their ends


def _of_runs(runs: dict[str, Run]) -> dict[str, str]:
    """Equipment -> the class recorded for a run that arrives there, of several the last."""
    if not _LAST or _LAST[0][0] is not runs:
        at: dict[str, str] = {
            end.equipment: run.drop_class
            for run in runs.values()
            if run.drop_class
            for end in (run.from_end, run.to_end)
        }
        _LAST[:] = [(runs, at)]
    return _LAST[0][1]


def class_fields(snapshot: Snapshot, item: str) -> tuple[str, ...]:
    """The field that would tell: the consumer's or run's own, else those of the runs at it ("W3.drop_class")."""
    if item in snapshot.runs or hasattr(snapshot.equipment[item], "drop_class"):
        return (f"{snapshot.name(item)}.drop_class",)
    return tuple(
        f"{snapshot.name(run)}.drop_class"
        for run, record in snapshot.runs.items()
        if item in (record.from_end.equipment, record.to_end.equipment)
    )
