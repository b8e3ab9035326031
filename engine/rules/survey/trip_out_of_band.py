"""A protective device opened later than it may, or sooner.

What it checks
--------------
Every trip time recorded as measured. Of residual-current protection: against the book's longest time at the multiple of
its residual current it was tested with, and the time on its plate where that is shorter. Of an overcurrent device:
against the band of its class, or the points of its maker's sheet, at the current it was tested with. Where it is tested
with so little that nothing is promised, it is not judged.

Why it matters
--------------
A device that opens late lets a conductor burn or a person be shocked for longer than anyone reckoned with. One that
opens soon takes away what it feeds.

What to do
----------
Replace the device; or put the drawing right where another class or rating is fitted.

Limits read
-----------
`general_one`, `general_two`, `general_five`, `delayed_one`, `delayed_two`, `delayed_five` (longest time at one, two and
five times the residual current), `residual_up_to` (a current up to so many times the residual current tests that).

References
----------
IEC 61008-1 and IEC 61009-1, table 1, from memory, not confirmed: general type 0.3 s, 0.15 s, 0.04 s; delayed type S
0.5 s, 0.2 s, 0.15 s. Bands: tables of the devices.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.findings import Remark, Word
from engine.installation.model import Installation
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside, circuit
from engine.rules.survey._measured import lit, one, told
from engine.study import Study
from engine.words import N_, _

SLUG = "trip-out-of-band"
WORD: Word = "warning"
TITLE = N_("protective device opens too late or too soon")
LOOKS_AT = N_("trip times that were measured")


def check(study: Study) -> Iterator[Remark]:
    """One remark a reading."""
    fixes = (_("replace the device"), _("or put the drawing right where another class or rating is fitted"))
    yield from told(study, SLUG, WORD, "trip", fixes)


# -- examples -------------------------------------------------------------------------------------------------------
def _residual(seconds: float, amps: float = 0.03, ms: float | None = None) -> Installation:
    b = alongside(ma=30, ms=ms)
    b.set("Q1", delayed=False)
    circuit(b, "load", "E1")
    return one(b, "Q1", trip_s=seconds, test_a=amps)


GOOD = (
    Example("30 mA in just 0.3 s", lambda: _residual(0.3)),
    Example("five times its residual current in 30 ms", lambda: _residual(0.03, 0.15)),
    Example("a blade fuse of 20 A within its band", lambda: one(lit(), "F1", trip_s=3.0, test_a=40.0)),
)
BAD = (
    Example("30 mA after 0.35 s", lambda: _residual(0.35), (("Q1",),)),
    Example("five times its residual current after 45 ms", lambda: _residual(0.045, 0.15), (("Q1",),)),
    Example("later than its plate says", lambda: _residual(0.12, ms=100), (("Q1",),)),
    Example(
        "a blade fuse of 20 A that holds 40 A for 8 s", lambda: one(lit(), "F1", trip_s=8.0, test_a=40.0), (("F1",),)
    ),
)
