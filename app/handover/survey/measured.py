"""What was measured, against what was computed or asked for, and with which instrument."""

from __future__ import annotations

from app.handover.job import Job
from app.paper.blocks import Block, Gap, Heading, Paragraph
from app.paper.table import Column, Table, Value
from engine.installation import Reading
from engine.naming import capital, title_of
from engine.survey.readings import calibration, compared
from engine.survey.results import NAMES, ReadingResult, limits_words
from engine.units import show
from engine.words import N_, _

__all__ = ["instruments", "measured_values"]

_VERDICTS = {"within": N_("within"), "off": N_("OFF"), "not known": N_("not known")}


def measured_values(job: Job, survey: str) -> list[Block]:
    """The readings of a survey, those that are off first said in words."""
    made: list[Block] = [Heading(_("Measured values"))]
    readings = job.snapshot.readings
    found = [result for result in compared(job.study) if readings[result.reading].survey == survey]
    if not found:
        return [*made, Gap(_("Nothing was measured in this survey."))]
    off = [result for result in found if result.verdict == "off"]
    if off:
        made.append(Paragraph(_("These do not agree with what was computed, recorded or asked for:"), bold=True))
        made.extend(Paragraph(result.words) for result in off)
    columns = (
        Column("where", _("At")),
        Column("what", _("What"), width=34.0),
        Column("measured", _("Measured"), align="right"),
        Column("expected", _("Expected"), align="right"),
        Column("accepted", _("Accepted")),
        Column("verdict", _("Verdict")),
        Column("instrument", _("Instrument"), width=30.0),
    )
    rows = tuple(_row(job, result, readings[result.reading]) for result in found)
    notes = tuple(
        _("{what} at {where}: {why}.").format(
            what=capital(_(NAMES[result.quantity])), where=result.where, why=result.why
        )
        for result in found
        if result.verdict == "not known" and result.why
    )
    return [*made, Table("readings", "", columns, rows, notes)]


def _row(job: Job, result: ReadingResult, reading: Reading) -> tuple[Value, ...]:
    what = capital(_(NAMES[result.quantity]))
    if result.condition:
        what = _("{what}, {condition}").format(what=what, condition=result.condition)
    instrument = reading.instrument
    known = instrument in job.snapshot.instruments
    return (
        result.where,
        what,
        show(result.measured, result.unit),
        None if result.expected is None else show(result.expected, result.unit),
        limits_words(result.low, result.high, result.unit) or None,
        _(_VERDICTS[result.verdict]),
        title_of(job.snapshot, "instruments", instrument) if known else None,
    )


def instruments(job: Job, survey: str) -> list[Block]:
    """What the readings of a survey were taken with, and whether it was calibrated on the day."""
    used: dict[str, str] = {}
    for item, reading in job.snapshot.readings.items():
        if reading.survey == survey and reading.instrument in job.snapshot.instruments:
            told = calibration(job.snapshot, item, reading)
            if used.get(reading.instrument) is None or told.in_date is False:
                used[reading.instrument] = told.words
    if not used:
        return []
    columns = (
        Column("instrument", _("Instrument")),
        Column("serial", _("Serial number")),
        Column("accuracy", _("Accuracy")),
        Column("calibration", _("Calibration")),
    )
    rows = []
    for item, words in used.items():
        record = job.snapshot.instruments[item]
        rows.append((title_of(job.snapshot, "instruments", item), record.serial or None, record.accuracy or None,
                     capital(words)))  # fmt: skip
    return [Table("instruments", _("Instruments used"), columns, tuple(rows))]
