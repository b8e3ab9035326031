"""Something was measured with an instrument whose calibration had run out.

What it checks
--------------
Every reading: the day it was taken (else that of its survey) against the day until which its instrument is calibrated.
One remark an instrument. Where no instrument, no day or no calibration is recorded, it is not judged.

Why it matters
--------------
A deviation that was measured may be that of the instrument; one that was not seen may be hidden by it.

What to do
----------
Have the instrument calibrated; measure again what decides something.

Limits read
-----------
None: the book only says whether it is asked for.

References
----------
IEC 60364-6 and IEC 61557-1 on instruments, from memory, not confirmed; common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.edits import Put, apply
from engine.findings import Finding, Remark, Word
from engine.installation.model import Installation
from engine.installation.surveying import Instrument
from engine.naming import natural
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.survey._measured import lit, one
from engine.rules.wording import listed
from engine.study import Study
from engine.survey.readings import calibration
from engine.words import N_, _

SLUG = "calibration-out-of-date"
WORD: Word = "notice"
TITLE = N_("measured with an instrument out of calibration")
LOOKS_AT = N_("instruments that something was measured with")


def check(study: Study) -> Iterator[Remark]:
    """One remark an instrument out of date; what is not known, a reading each."""
    readings = study.snapshot.readings
    if not readings or not study.book.has(SLUG):
        return
    late: dict[str, list[str]] = {}
    for item in sorted(readings, key=natural):
        reading = readings[item]
        told = calibration(study.snapshot, item, reading)
        if told.in_date is None:
            yield left_open(study, SLUG, WORD, reading.at, missing=told.missing, why=told.words, detail=item)
        elif not told.in_date:
            late.setdefault(reading.instrument, []).append(item)
        elif study.proving:
            yield proved(study, SLUG, reading.at, message=_("{words}.").format(words=told.words), detail=item)
    for instrument, items in late.items():
        first = calibration(study.snapshot, items[0], readings[items[0]])
        at = tuple(dict.fromkeys(readings[item].at for item in items))
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=tuple(study.name(each) for each in at),
            ids=at,
            message=_("{things}: {words}.").format(things=listed([study.name(a) for a in at]), words=first.words),
            fixes=(_("have the instrument calibrated, and measure again what decides something"),),
            detail=instrument,
        )


# -- examples -------------------------------------------------------------------------------------------------------
def _meter(until: str) -> Installation:
    b = lit()
    made = b.installation
    apply(made, Put("instruments", made.new_id("instruments"), Instrument(name="meter 3", calibrated_until=until)))
    return one(b, "W2", current_a=10.2)


GOOD = (
    Example("calibrated for another year", lambda: _meter("2027-05-31")),
    Example("on the last day", lambda: _meter("2026-05-02")),
)
BAD = (
    Example("ran out the day before", lambda: _meter("2026-05-01"), (("W2",),)),
    Example("until when is not recorded: not judged", lambda: _meter(""), (("W2",),)),
)
