"""Edits of ratings: a device that carries its load, what it then asks of conductors; banks, buses, chargers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from engine.edits import Put
from engine.findings import Finding
from engine.fixes import Fix
from engine.fixing.pieces import (
    fitted,
    larger,
    larger_runs,
    of_rating,
    ratings_down,
    ratings_up,
    resized,
    run_in,
    together,
)
from engine.fixing.trial import first_sound, harm, is_mended, least_sound, tried
from engine.study import Study
from engine.units import show, show_size
from engine.words import _

__all__ = [
    "USUAL_INPUT_V",
    "another_figure",
    "larger_device",
    "larger_of",
    "losing",
    "more_units",
    "smaller_devices",
    "thicker",
]

# input volts that controllers and disconnects are sold for: common practice, no source
USUAL_INPUT_V = (50.0, 75.0, 100.0, 125.0, 150.0, 250.0, 450.0, 600.0, 1000.0)
ROUNDS = 3  # of enlarging what the last change asks for
UNITS = 8  # more in parallel than this is another bank


def smaller_devices(study: Study, finding: Finding, item: str, below: float | None = None) -> Iterator[Fix]:
    """A device of the largest standard rating that mends it, below its own (or `below`)."""
    record = study.snapshot.equipment.get(item)
    trip = None if record is None else record.trip()
    if trip is not None and trip.rating_a:
        most = trip.rating_a if below is None else min(trip.rating_a, below)
        yield from least_sound(study, finding, of_rating(study, item, ratings_down(study, most)))


def larger_device(study: Study, finding: Finding, item: str, least_a: float) -> Iterator[Fix]:
    """A device of the smallest standard rating that carries its load, conductors enlarged with it where they must."""
    found = list(first_sound(study, finding, _few(of_rating(study, item, ratings_up(study, least_a)))))
    if found:
        yield from found
        return
    for fix in _few(of_rating(study, item, ratings_up(study, least_a))):
        if is_mended(study, finding, fix.edit):
            whole = _with_conductors(study, fix)
            if whole is not None:
                yield from first_sound(study, finding, [whole])
            return


def _with_conductors(study: Study, fix: Fix) -> Fix | None:
    """The same, and every run that it would leave too thin in the size it then needs."""
    sizes: dict[str, str] = {}
    parts = [fix]
    for _round in range(ROUNDS):
        whole = together(parts)
        asks = [f for f in harm(study, whole.edit) if f.ids and f.ids[0] in study.snapshot.runs]
        if not asks:
            return whole if len(parts) > 1 else None
        trial = tried(study, whole.edit)
        assert trial is not None  # it was judged
        for finding in asks:
            for larger_run in least_sound(trial, finding, run_in(trial, finding.ids[0])):
                assert isinstance(larger_run.edit, Put)
                sizes[finding.ids[0]] = larger_run.edit.record.size
        if not sizes:
            return None
        parts = [fix, *(_resized(study, run, size) for run, size in sizes.items())]
    return None


def _resized(study: Study, run: str, size: str) -> Fix:
    text = _("run {run} in {size}").format(run=study.name(run), size=show_size(size))
    return Fix(text, Put("runs", run, resized(study.snapshot, run, size), words=text))


def thicker(study: Study, finding: Finding, runs: Iterable[str]) -> Iterator[Fix]:
    """One of some runs in the smallest size that mends it, each by itself; all together where none alone does."""
    items = [run for run in dict.fromkeys(runs) if larger(study.snapshot.runs[run])]
    found = False
    for item in items:
        for fix in least_sound(study, finding, run_in(study, item)):
            found = True
            yield fix
    if not found and len(items) > 1:
        yield from least_sound(study, finding, larger_runs(study, items))


def losing(study: Study, item: str, most: int = 3) -> list[str]:
    """The runs on the way to a load, or a run and those before it, in which most volts are lost, most first."""
    from engine.sizing.basis import basis

    made = basis(study)
    lost: dict[str, float] = {}
    for run, behind in made.behind.items():
        for one in behind:
            if one.load.equipment == item or item in one.way:
                ohm = made.loop_ohm(run, study.snapshot.runs[run].size)
                lost[run] = max(lost.get(run, 0.0), ohm * one.way.get(run, 1) * made.run_amps[run].amps)
    return sorted(lost, key=lambda run: (-lost[run], run))[:most]


def larger_of(study: Study, finding: Finding, item: str, field: str, least: float) -> Iterator[Fix]:
    """Equipment rated at the next standard current from `least`."""
    fixes = (
        fitted(
            _("fit {name} rated {amps}").format(name=study.name(item), amps=show(rating, "A", digits=6)),
            study,
            item,
            **{field: rating},
        )
        for rating in ratings_up(study, least)
    )
    yield from first_sound(study, finding, _few(fixes))


def another_figure(
    study: Study, finding: Finding, item: str, field: str, unit: str, values: Iterable[float]
) -> Iterator[Fix]:
    """Equipment whose `field` is the first of some values that mends it."""
    fixes = (
        fitted(
            _("fit {name} as one of {value}").format(name=study.name(item), value=show(value, unit, digits=6)),
            study,
            item,
            **{field: value},
        )
        for value in values
    )
    yield from first_sound(study, finding, fixes)


def more_units(study: Study, finding: Finding, bank: str) -> Iterator[Fix]:
    """A bank of more units side by side, all of them of the kind it has."""
    record = study.snapshot.equipment.get(bank)
    count = getattr(record, "parallel", None)
    if not isinstance(count, int):
        return
    fixes = (
        fitted(
            _("fit {bank} with {count} units in parallel").format(bank=study.name(bank), count=number),
            study,
            bank,
            parallel=number,
        )
        for number in range(count + 1, max(UNITS, 2 * count) + 1)
    )
    yield from least_sound(study, finding, fixes)


def _few(fixes: Iterable[Fix], most: int = 6) -> Iterator[Fix]:
    for number, fix in enumerate(fixes):
        if number == most:
            return
        yield fix
