"""The insulation resistance measured is below what the book asks for.

What it checks
--------------
Every insulation resistance recorded as measured against the least the book asks for at the nominal voltage of the
circuit: of extra-low voltage, up to the book's limit, above it. A value below the least counts whatever it was tested
with; one above it only where the test voltage was that of the book or higher. Of several readings of one place the last
counts.

Why it matters
--------------
Damp, salt, chafed or aged insulation leaks before it breaks down: into metal that people touch, into the hull and its
anodes, or into a fire.

What to do
----------
Part the circuit until the place is found; dry, mend or replace it, and measure again.

Limits read
-----------
`extra_low_ohm`, `low_ohm`, `above_ohm` (least resistance), `extra_low_test_v`, `low_test_v`, `above_test_v` (voltage of
the test), `extra_low_dc_v`, `extra_low_ac_v` (up to there it is extra-low voltage), `above_v` (above it the highest
band holds).

References
----------
IEC 60364-6, table 6.1, from memory, not confirmed: 0.5 MΩ at 250 V for extra-low voltage by SELV or PELV, 1 MΩ at 500 V
up to 500 V, 1 MΩ at 1000 V above. IEC 60364-4-41 for 50 V AC and 120 V DC, from memory, not confirmed.
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

SLUG = "insulation-too-low"
WORD: Word = "warning"
TITLE = N_("insulation resistance too low")
LOOKS_AT = N_("insulation resistances that were measured")


def check(study: Study) -> Iterator[Remark]:
    """One remark a reading."""
    fixes = (_("part the circuit until the place is found; dry, mend or replace it, and measure again"),)
    yield from told(study, SLUG, WORD, "insulation", fixes)


# -- examples -------------------------------------------------------------------------------------------------------
def _shore(ohm: float, test_v: float | None = 500) -> Installation:
    b = alongside()
    circuit(b, "load", "E1")
    run = next(r.designation for _i, r in b.installation.items("runs") if r.function == "ac")
    return one(b, run, insulation_ohm=ohm, test_v=test_v, between="L1 and PE")


GOOD = (
    Example("an AC run just at 1 MΩ", lambda: _shore(1e6)),
    Example("a 12 V run at 0.6 MΩ", lambda: one(lit(), "W2", insulation_ohm=0.6e6, test_v=250)),
)
BAD = (
    Example("an AC run at 0.2 MΩ", lambda: _shore(0.2e6), (("W1",),)),
    Example("an AC run just below 1 MΩ", lambda: _shore(0.99e6), (("W1",),)),
    Example("a 12 V run below 0.5 MΩ", lambda: one(lit(), "W2", insulation_ohm=0.4e6, test_v=250), (("W2",),)),
    Example("tested with less than asked for: not judged", lambda: _shore(5e6, 250), (("W1",),)),
)
