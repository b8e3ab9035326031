"""Measured values against what was computed, recorded or asked for, and the instrument they were taken with."""

from __future__ import annotations

import re
import weakref
from collections.abc import Callable
from typing import NamedTuple

from engine.installation import Snapshot
from engine.installation.surveying import Reading
from engine.naming import capital, natural, title_of
from engine.study import Study
from engine.survey import asking, flowing
from engine.survey.places import where_words
from engine.survey.results import (
    NAMES,
    UNIT_OF,
    Expected,
    Quantity,
    ReadingResult,
    Unknown,
    Verdict,
    limits_words,
    measured,
)
from engine.units import show
from engine.words import _

__all__ = ["Calibration", "calibration", "compared", "compared_one", "newest"]

_Ask = Callable[[Study, str, Reading], Expected | Unknown | None]
_ASKED: dict[Quantity, _Ask] = {
    "voltage": flowing.voltage,
    "current": flowing.current,
    "insulation": asking.insulation,
    "trip": asking.trip,
    "torque": asking.torque,
    "temperature": asking.temperature,
}
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_KEPT: weakref.WeakKeyDictionary[Study, tuple[ReadingResult, ...]] = weakref.WeakKeyDictionary()


class Calibration(NamedTuple):
    """Whether an instrument was in date when a reading was taken: `None` where that is not known, and why."""

    in_date: bool | None
    words: str
    missing: tuple[str, ...] = ()


def compared(study: Study) -> tuple[ReadingResult, ...]:
    """Every measured value of the drawing, in the order they were recorded in. Costs nothing where there is none."""
    if not study.snapshot.readings:
        return ()
    found = _KEPT.get(study)
    if found is None:
        last = newest(study.snapshot)
        found = _KEPT[study] = tuple(
            result
            for item in sorted(study.snapshot.readings, key=natural)
            for result in compared_one(study, item, study.snapshot.readings[item], last)
        )
    return found


def compared_one(
    study: Study, item: str, reading: Reading, last: frozenset[tuple[str, Quantity]] | None = None
) -> tuple[ReadingResult, ...]:
    """The values of one reading, which need not be recorded yet (`item` is then what it is called)."""
    snapshot = study.snapshot
    condition = snapshot.conditions.get(reading.condition)
    made = []
    for quantity, value in measured(reading):
        unit = UNIT_OF[quantity]
        gone = reading.at not in snapshot.equipment and reading.at not in snapshot.runs
        told: Expected | Unknown | None
        if gone:
            told = Unknown(_("what it was measured at is not on the drawing"), (f"{item}.at",))
        else:
            told = _ASKED[quantity](study, item, reading)
        if told is None:
            told = Unknown(_("the book sets no limit for it"), detail="no limit")
        common = ReadingResult(
            reading=item,
            quantity=quantity,
            at=reading.at,
            where=where_words(snapshot, reading),
            measured=value,
            unit=unit,
            condition="" if condition is None else condition.name,
            newest=last is None or (item, quantity) in last,
        )
        made.append(_unknown(common, told) if isinstance(told, Unknown) else _judged(common, told))
    return tuple(made)


def _head(result: ReadingResult) -> dict[str, str]:
    return {
        "quantity": capital(_(NAMES[result.quantity])),
        "where": result.where,
        "measured": show(result.measured, result.unit),
    }


def _unknown(result: ReadingResult, told: Unknown) -> ReadingResult:
    words = _("{quantity} at {where}: {measured} measured; {why}.").format(**_head(result), why=told.why)
    return _replaced(result, missing=told.missing, why=told.why, words=words, detail=told.detail)


def _judged(result: ReadingResult, told: Expected) -> ReadingResult:
    value, low, high = result.measured if told.reckoned is None else told.reckoned, told.low, told.high
    slack = 1e-9 * max(abs(value), abs(low or 0.0), abs(high or 0.0))
    below = low is not None and value < low - slack
    above = high is not None and value > high + slack
    verdict: Verdict = "off" if below or above else "within"
    deviation = None
    if told.value is not None:
        deviation = value - told.value
    elif below and low is not None and low != float("inf"):
        deviation = value - low
    elif above and high is not None:
        deviation = value - high
    if told.detail == "never":
        words = _("{quantity} at {where}: {measured} measured; at that current it must not open at all.")
    elif told.reckoned is not None:
        words = _("{quantity} at {where}: {measured} measured, {reckoned} at full load, {limits} accepted.")
    elif told.value is not None:
        words = _("{quantity} at {where}: {measured} measured, {expected} expected, {limits} accepted.")
    else:
        words = _("{quantity} at {where}: {measured} measured, {limits} accepted.")
    return _replaced(
        result,
        expected=told.value,
        low=None if told.detail == "never" else low,
        high=high,
        deviation=deviation,
        verdict=verdict,
        words=words.format(
            **_head(result),
            expected=show(told.value, result.unit),
            reckoned=show(told.reckoned, result.unit),
            limits="" if told.detail == "never" else limits_words(low, high, result.unit),
        ),
        arithmetic=told.arithmetic,
        detail=told.detail,
        reckoned=told.reckoned,
    )


def _replaced(result: ReadingResult, **values: object) -> ReadingResult:
    import msgspec

    return msgspec.structs.replace(result, **values)


def newest(snapshot: Snapshot) -> frozenset[tuple[str, Quantity]]:
    """Of several readings of the same value at the same place the last: by day, then by the order of recording."""
    last: dict[tuple[object, ...], tuple[str, Quantity]] = {}
    for item in sorted(snapshot.readings, key=lambda i: (snapshot.readings[i].date, natural(i))):
        reading = snapshot.readings[item]
        for quantity, _value in measured(reading):
            beside = reading.test_a if quantity == "trip" else ""
            key = quantity, reading.at, reading.terminal, reading.between, reading.condition, beside
            last[key] = item, quantity
    return frozenset(last.values())


def calibration(snapshot: Snapshot, item: str, reading: Reading) -> Calibration:
    """Whether the instrument was calibrated on the day of the reading (else of its survey)."""
    instrument = snapshot.instruments.get(reading.instrument)
    if instrument is None:
        return Calibration(None, _("with which instrument it was measured is not recorded"), (f"{item}.instrument",))
    name = title_of(snapshot, "instruments", reading.instrument)
    survey = snapshot.surveys.get(reading.survey)
    day = reading.date or (survey.date if survey is not None else "")
    if not _DAY.fullmatch(instrument.calibrated_until):
        called = instrument.name or reading.instrument
        return Calibration(
            None,
            _("until when {instrument} is calibrated is not recorded").format(instrument=name),
            (f"{called}.calibrated_until",),
        )
    if not _DAY.fullmatch(day):
        return Calibration(None, _("the day of the reading is not recorded"), (f"{item}.date",))
    if day > instrument.calibrated_until:
        words = _("{instrument} was calibrated until {until}, used on {day}")
    else:
        words = _("{instrument}, calibrated until {until}")
    told = words.format(instrument=name, until=instrument.calibrated_until, day=day)
    return Calibration(day <= instrument.calibrated_until, told)
