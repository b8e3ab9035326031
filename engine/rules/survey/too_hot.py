"""The temperature measured is above what the insulation there withstands, or would be at full load.

What it checks
--------------
Every temperature recorded as measured against the lowest temperature class of the insulation of the run, or of the runs
that arrive at the terminal. Where the current and the temperature of the air were noted with it, the rise over the air
is reckoned to full load, with the square of the current, and added to the warmest air recorded for the place: full load
is a device's rating, what a switch may carry, of a run the most that flows in any condition. A reading taken at less
than the book's share of full load is taken as it is.

Why it matters
--------------
Insulation that is too hot grows brittle and fails; a terminal that heats is one that is loose, dirty or too small.

What to do
----------
Clean and tighten the joint; where it stays hot, a larger conductor or fewer in the bundle.

Limits read
-----------
`least_load` (share of full load from which a reading is reckoned up).

References
----------
Heat of resistance grows with the square of the current. The share: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.findings import Remark, Word
from engine.rules.rule import Example
from engine.rules.survey._measured import lit, one, told
from engine.study import Study
from engine.words import N_, _

SLUG = "too-hot"
WORD: Word = "warning"
TITLE = N_("hotter than the insulation there withstands")
LOOKS_AT = N_("temperatures that were measured")
SOLVES = True


def check(study: Study) -> Iterator[Remark]:
    """One remark a reading."""
    fixes = (
        _("clean and tighten the joint"),
        _("or fit a larger conductor, or take some out of the bundle"),
    )
    yield from told(study, SLUG, WORD, "temperature", fixes)


# -- examples -------------------------------------------------------------------------------------------------------
GOOD = (
    Example("cooler than its insulation withstands", lambda: one(lit(), "W2", temperature_c=58.0)),
    Example(
        "cooler at full load too",
        lambda: one(lit(), "F1", terminal="in", temperature_c=40.0, ambient_c=25.0, current_a=10.0),
    ),
)
BAD = (
    Example("hotter than its class of 105 °C", lambda: one(lit(), "W2", temperature_c=106.0), (("W2",),)),
    Example(
        "half its load made it 25 °C warmer than the air: 125 °C at full load",
        lambda: one(lit(), "F1", terminal="in", temperature_c=50.0, ambient_c=25.0, current_a=10.0),
        (("F1",),),
    ),
)
