"""Readings that were taken already: they stand in the cells of the commissioning sheet."""

from __future__ import annotations

from collections.abc import Callable

from app.handover.job import Job
from engine.installation.surveying import Reading
from engine.naming import natural
from engine.survey.places import end_of

__all__ = ["at_end", "between", "taken"]


def taken(
    job: Job, at: str, field: str, fits: Callable[[Reading], bool] = lambda _reading: True, per: float = 1.0
) -> float | None:
    """The newest reading of a field at a thing, in units of so many storage units; `None` where there is none."""
    some = (
        (reading.date, natural(item), value)
        for item, reading in job.snapshot.readings.items()
        if reading.at == at and (value := getattr(reading, field)) is not None and fits(reading)
    )
    newest = max(some, default=None)
    return None if newest is None else float(newest[2]) / per


def at_end(job: Job, run: str, far: bool) -> Callable[[Reading], bool]:
    """Readings at one end of a run."""
    record = job.snapshot.runs[run]
    wanted = record.to_end if far else record.from_end
    return lambda reading: end_of(job.snapshot, run, reading.terminal) is wanted


def between(one: str, other: str) -> Callable[[Reading], bool]:
    """Readings between two conductors; `L`: any line."""

    def fits(reading: Reading) -> bool:
        words = {word[0] if word[:1] == "L" else word for word in reading.between.replace("-", " ").split()}
        return {one, other} <= words

    return fits
