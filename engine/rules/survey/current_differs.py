"""The current measured in a run or through equipment is not the one worked out for that condition.

What it checks
--------------
Every current recorded as measured against the flow worked out for the operating condition it was taken in: of a run its
most loaded conductor, or the one the reading names; of a consumer, a source or a device what passes it. What flows with
batteries at their lowest and full gives the range, widened by the book's share and by what small loads and instruments
make of it. Where something that draws is not known, a current above the range is not judged.

Why it matters
--------------
More current than drawn: a load that nobody drew, a motor that labours, an insulation fault. Less: something is off, or
its conductor is broken.

What to do
----------
Find what draws, or does not; mend it, or put the drawing right.

Limits read
-----------
`share` (share accepted), `least` (amperes accepted besides).

References
----------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.findings import Remark, Word
from engine.rules.rule import Example
from engine.rules.survey._measured import lit, one, told
from engine.study import Study
from engine.words import N_, _

SLUG = "current-differs"
WORD: Word = "caution"
TITLE = N_("current measured is not the one worked out")
LOOKS_AT = N_("currents that were measured")
SOLVES = True


def check(study: Study) -> Iterator[Remark]:
    """One remark a reading."""
    fixes = (
        _("find what draws there, or does not"),
        _("or put the drawing right where the boat differs from it"),
    )
    yield from told(study, SLUG, WORD, "current", fixes)


# -- examples -------------------------------------------------------------------------------------------------------
GOOD = (
    Example("as worked out", lambda: one(lit(), "W2", current_a=10.2)),
    Example("just within the share", lambda: one(lit(), "E1", terminal="in", current_a=12.4)),
)
BAD = (
    Example("twice what the lamp takes", lambda: one(lit(), "W2", current_a=20.0), (("W2",),)),
    Example("just past the share", lambda: one(lit(), "E1", terminal="in", current_a=12.7), (("E1",),)),
)
