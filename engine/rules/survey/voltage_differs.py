"""The voltage measured at a terminal is not the one worked out for that condition.

What it checks
--------------
Every voltage recorded as measured, at the terminal and between the conductors it names, against the flow worked out
for the operating condition it was taken in. How full the batteries were is not known: what flows with batteries at
their lowest and full gives the range, widened by the book's share. Where one voltage was measured at the source in the
same condition of the same survey and day, what was lost on the way is compared instead. Of several readings of one
place the last counts.

Why it matters
--------------
Volts that are missing are lost somewhere: in a joint that has worked loose, a conductor smaller than drawn, a load
that nobody drew. Or the drawing is wrong.

What to do
----------
Measure along the circuit under load until the place is found where they are lost; mend it, or put the drawing right.

Limits read
-----------
`direct` (share accepted of direct current), `alternating` (of alternating current).

References
----------
Common practice, no source. IEC 60038 (230 V ± 10 %), from memory, not confirmed.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.findings import Remark, Word
from engine.installation.model import Installation
from engine.rules.rule import Example
from engine.rules.survey._measured import lit, one, take, told
from engine.study import Study
from engine.words import N_, _

SLUG = "voltage-differs"
WORD: Word = "caution"
TITLE = N_("voltage measured is not the one worked out")
LOOKS_AT = N_("voltages that were measured")
SOLVES = True


def check(study: Study) -> Iterator[Remark]:
    """One remark a reading."""
    fixes = (
        _("measure along the circuit under load until the place is found where the volts are lost"),
        _("or put the drawing right where the boat differs from it"),
    )
    yield from told(study, SLUG, WORD, "voltage", fixes)


# -- examples -------------------------------------------------------------------------------------------------------
def _lamp(volts: float) -> Installation:
    return one(lit(), "E1", terminal="in", volts=volts)


def _way(volts: float) -> Installation:
    b = lit()
    condition = next(iter(b.installation.ids("conditions")))
    take(b, "G1", terminal="pos", volts=12.9, condition=condition)
    return one(b, "E1", terminal="in", volts=volts)


def _mended() -> Installation:
    b = lit()
    take(b, "E1", terminal="in", volts=9.8, date="2026-05-01", condition=next(iter(b.installation.ids("conditions"))))
    return one(b, "E1", terminal="in", volts=11.4)


GOOD = (
    Example("as worked out", lambda: _lamp(11.4)),
    Example("with the volts at the battery measured, just what the way loses", lambda: _way(12.2)),
    Example("too low once, mended and measured again", _mended),
)
BAD = (
    Example("far too low at the lamp", lambda: _lamp(9.8), (("E1",),)),
    Example("the battery is full, and more is lost than the way takes", lambda: _way(11.5), (("E1",),)),
)
