"""The torque found at a terminal is not the one it is to be tightened to.

What it checks
--------------
Every torque recorded as found against the tightening torque recorded for that end of a run, with the book's share up
and down.

Why it matters
--------------
A loose joint heats, and the heat loosens it further; one tightened too much has a stretched stud or a crushed
conductor.

What to do
----------
Take it apart, look at the faces, tighten it to its torque and mark it.

Limits read
-----------
`share` (share accepted up and down).

References
----------
Common practice, no source; the maker of the terminal comes first.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from engine.edits import Put, apply
from engine.findings import Remark, Word
from engine.installation.model import Installation
from engine.rules.rule import Example
from engine.rules.survey._measured import lit, one, told
from engine.study import Study
from engine.words import N_, _

SLUG = "torque-differs"
WORD: Word = "caution"
TITLE = N_("torque found is not the one asked for")
LOOKS_AT = N_("torques that were measured")


def check(study: Study) -> Iterator[Remark]:
    """One remark a reading."""
    fixes = (_("take it apart, look at the faces, tighten it to its torque and mark it"),)
    yield from told(study, SLUG, WORD, "torque", fixes)


# -- examples -------------------------------------------------------------------------------------------------------
def _found(torque: float) -> Installation:
    b = lit()
    item, run = next((i, r) for i, r in b.installation.items("runs") if r.designation == "W1")
    end = msgspec.structs.replace(run.to_end, torque_nm=10.0)
    apply(b.installation, Put("runs", item, msgspec.structs.replace(run, to_end=end)))
    return one(b, "W1", terminal="F1.in", torque_nm=torque)


GOOD = (
    Example("as recorded", lambda: _found(10.0)),
    Example("just within the share", lambda: _found(9.0)),
)
BAD = (
    Example("loose", lambda: _found(2.0), (("W1",),)),
    Example("just past the share", lambda: _found(11.2), (("W1",),)),
)
