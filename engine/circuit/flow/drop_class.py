"""The voltage drop class of a consumer: recorded for it, else for its run, else by what it serves."""

from __future__ import annotations

from typing import Literal, TypeAlias

from engine.books import Book
from engine.installation.model import Snapshot

__all__ = ["DROP", "DropClass", "class_fields", "drop_class"]

DROP = "drop-too-high"  # the rule whose values and options say how much a class may lose, and what is essential
DropClass: TypeAlias = Literal["essential", "other", ""]


def drop_class(snapshot: Snapshot, book: Book, item: str) -> DropClass:
    """`"essential"`, `"other"`, or `""` where nobody knows."""
    use = snapshot.equipment[item].use()
    if use is not None and use.drop_class:
        return "essential" if use.drop_class == "essential" else "other"
    of_runs = [
        run.drop_class
        for run in snapshot.runs.values()
        if run.drop_class and item in (run.from_end.equipment, run.to_end.equipment)
    ]
    if of_runs:
        return "essential" if of_runs[-1] == "essential" else "other"
    if use is not None and (use.essential or use.service in book.option(DROP, "essential_services", ())):
        return "essential"
    return "other" if use is not None and use.service else ""


def class_fields(snapshot: Snapshot, item: str) -> tuple[str, ...]:
    """The field that would tell: the consumer's or run's own, else those of the runs at it ("W3.drop_class")."""
    if item in snapshot.runs or hasattr(snapshot.equipment[item], "drop_class"):
        return (f"{snapshot.name(item)}.drop_class",)
    return tuple(
        f"{snapshot.name(run)}.drop_class"
        for run, record in snapshot.runs.items()
        if item in (record.from_end.equipment, record.to_end.equipment)
    )
