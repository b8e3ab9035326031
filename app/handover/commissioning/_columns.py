"""Columns and names that every part of the commissioning sheet uses."""

from __future__ import annotations

from collections.abc import Iterable

from app.handover.job import Job
from app.paper.table import Column
from engine.equipment.base import Equipment
from engine.installation import Run
from engine.naming import natural
from engine.words import _

__all__ = ["blank", "called", "end_words", "in_use", "pieces", "reading", "run_names", "text", "tick"]

_WRITE = 17.0  # mm: room for a figure written by hand


def text(name: str, title: str, width: float | None = None, unit: str = "") -> Column:
    """A column that is filled in."""
    return Column(name, title, unit, width=width)


def reading(name: str, title: str, unit: str = "") -> Column:
    """A cell for what the instrument shows."""
    return Column(name, title, unit, blank=True, least=_WRITE)


def blank(name: str, title: str) -> Column:
    """A cell for a few words written by hand."""
    return Column(name, title, blank=True, least=30.0)


def tick(name: str, title: str) -> Column:
    """A box to be ticked."""
    return Column(name, title, tick=True)


def called(job: Job, item: str) -> str:
    """*F3 Windlass fuse*: designation and what it is."""
    record = job.snapshot.equipment[item]
    name, what = job.snapshot.name(item), record.label or _(record.NAME)
    return f"{name} {what}".strip() if what != name else name


def in_use(records: Iterable[tuple[str, Equipment]]) -> list[tuple[str, Equipment]]:
    """What is aboard when the work is done."""
    return [(item, record) for item, record in records if record.status not in ("to remove", "spare")]


def pieces(job: Job) -> list[tuple[str, Equipment]]:
    """Equipment that is aboard when the work is done, by designation."""
    every = in_use(job.snapshot.equipment.items())
    return sorted(every, key=lambda pair: (natural(job.snapshot.name(pair[0])), pair[0]))


def run_names(job: Job) -> list[tuple[str, Run]]:
    """Runs that are there when the work is done, by designation."""
    every = [(i, r) for i, r in job.snapshot.runs.items() if r.status not in ("to remove", "spare")]
    return sorted(every, key=lambda pair: (natural(job.snapshot.name(pair[0])), pair[0]))


def end_words(job: Job, run: Run, far: bool = False) -> str:
    """*F3 in*: where a run arrives."""
    end = run.to_end if far else run.from_end
    return f"{job.snapshot.name(end.equipment)} {end.terminal}"
