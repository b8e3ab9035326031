"""A designation's letter does not fit what it stands for, on a drawing that declares IEC 81346.

What it checks
--------------
Where the drawing declares IEC 81346-2, the letter of every designation (after the signs ``= + -``) against those that
suit the kind of equipment. Where the standard leaves a choice, each is accepted: a battery C or G, a breaker F or Q, a
bus bar W or X. Runs carry W.

Why it matters
--------------
Who reads a declared standard trusts it: an F that is a switch is pulled as a fuse.

What to do
----------
Give it a designation with a fitting letter, or do not declare the standard.

Limits read
-----------
None.

References
----------
IEC 81346-2, classes by letter: partly a secondary copy, partly from memory, not confirmed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import msgspec

from engine.edits import Put, apply
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix, changed_run, set_fields
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.study import Study
from engine.words import N_, _, inward

SLUG = "wrong-letter"
WORD: Word = "notice"
TITLE = N_("designation letter does not fit the kind")
LOOKS_AT = N_("designations, on drawings that declare IEC 81346")
RUNS = ("W",)
LETTER = re.compile(r"^[=+-]*(?:[^-]*-)?([A-Z]+)")


def check(study: Study) -> Iterator[Remark]:
    """One remark a designation."""
    if not study.snapshot.settings.declares_81346:
        return
    for item, record in study.snapshot.equipment.items():
        if record.LETTERS and record.designation:
            yield from _judged(study, item, record.designation, record.LETTERS, inward(_(record.NAME)))
    for item, run in study.snapshot.runs.items():
        if run.designation:
            yield from _judged(study, item, run.designation, RUNS, _("run"))


def _judged(study: Study, item: str, name: str, letters: tuple[str, ...], what: str) -> Iterator[Remark]:
    letter = _letter(name)
    if letter in letters:
        if study.proving:
            text = _("{letter} suits {name} ({what}).").format(letter=letter, name=name, what=what)
            yield proved(study, SLUG, item, message=text)
        return
    yield Finding(
        rule=SLUG,
        word=WORD,
        designations=(name,),
        ids=(item,),
        message=_("{name} is a {what}; its letter is {letters}.").format(
            name=name, what=what, letters=_(" or ").join(letters)
        ),
        fixes=(_("call it {name}").format(name=_free(study, letters[0])),),
    )


def _letter(name: str) -> str:
    found = LETTER.match(name.strip())
    return found[1][0] if found else ""


def _free(study: Study, letter: str) -> str:
    """The first number that nothing has."""
    snapshot = study.snapshot
    taken = {r.designation for r in snapshot.equipment.values()} | {r.designation for r in snapshot.runs.values()}
    number = 1
    while f"{letter}{number}" in taken:
        number += 1
    return f"{letter}{number}"


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A free designation with the first fitting letter."""
    item = finding.ids[0]
    if item in study.snapshot.runs:
        yield changed_run(finding.fixes[0], study, item, designation=_free(study, RUNS[0]))
    else:
        name = _free(study, study.snapshot.equipment[item].LETTERS[0])
        yield set_fields(finding.fixes[0], "equipment", item, {"designation": name})


# -- examples -------------------------------------------------------------------------------------------------------
def _named(fuse: str, run: str = "W1", *, declared: bool = True) -> Installation:
    b = boat()
    settings = b.installation.settings
    put = Put("settings", "settings", msgspec.structs.replace(settings, declares_81346=declared))
    apply(b.installation, put)
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", fuse, rating_a=10)
    b.add("load", "E1", dc_v=12, current_a=2)
    cable(b, run, "G1.pos", f"{fuse}.in", "14 AWG", 6)
    cable(b, "W2", f"{fuse}.out", "E1.in", "14 AWG", 60)
    return b.installation


GOOD = (
    Example("letters that fit", lambda: _named("F1")),
    Example("a location before the letter", lambda: _named("+P1-F1")),
    Example("a drawing that declares nothing", lambda: _named("X1", declared=False)),
)
BAD = (
    Example("a fuse called X1", lambda: _named("X1"), (("X1",),)),
    Example("a run called L1", lambda: _named("F1", "L1"), (("L1",),)),
)
