"""A run is recorded as not supported, not protected against chafe, or not kept apart from the other system.

What it checks
--------------
What the book asks of a run and the record denies: supports, protection against chafe where it passes edges, AC and DC
kept apart where both are aboard. Runs of which nothing is recorded are told together.

Why it matters
--------------
A cable that hangs works itself bare, or its own terminals loose.

What to do
----------
Clamps at the book's distance, a grommet or conduit at every edge, a trunk for each system.

Limits read
-----------
`asks` (what is asked), `every_m` (distance of supports).

References
----------
33 CFR 183.445(a), 2015 edition: abrasion. E-11 11.14.6.8, secondary copy: supports every 18 in. 46 CFR 183.340(b)(4),
2015 edition: every 24 in.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.findings import Finding, Remark, Word
from engine.fixes import Fix, changed_run
from engine.installation.model import Installation
from engine.installation.records import Run
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import listed
from engine.study import Study
from engine.words import N_, _

SLUG = "missing-support"
WORD: Word = "notice"
TITLE = N_("run not supported, not protected against chafe, or not kept apart")
LOOKS_AT = N_("runs")
SOLVES = False
SAID = {
    "supported": N_("not supported"),
    "chafe_protected": N_("not protected against chafe"),
    "separated": N_("not kept apart from the other system"),
}
FIXES = {
    "supported": N_("support it"),
    "chafe_protected": N_("protect it where it passes edges"),
    "separated": N_("part AC from DC"),
}


def check(study: Study) -> Iterator[Remark]:
    """One remark a run; what is not recorded together, a fact at a time."""
    asks = [field for field in study.book.option(SLUG, "asks", ()) if field in SAID]
    runs = study.snapshot.runs
    both = len({run.is_ac() for run in runs.values() if run.function not in ("earth", "bonding", "signal")}) > 1
    unknown: dict[str, list[str]] = {}
    for item, run in runs.items():
        if run.status in ("to remove", "spare") or run.function == "signal":
            continue
        wanted = [
            field for field in asks if field != "separated" or (both and run.function not in ("earth", "bonding"))
        ]
        told = _told(run)
        denied = [field for field in wanted if told[field] is False]
        for field in wanted:
            if told[field] is None:
                unknown.setdefault(field, []).append(item)
        if denied:
            yield _finding(study, item, denied)
        elif study.proving and wanted and all(told[field] for field in wanted):
            text = _("Run {run} is supported and protected as asked.").format(run=study.name(item))
            yield proved(study, SLUG, item, message=text)
    for field, items in unknown.items():
        yield left_open(
            study,
            SLUG,
            WORD,
            *items,
            missing=tuple(f"{study.name(item)}.{field}" for item in items),
            why=_("how they are laid is not recorded"),
            detail=field,
        )


def _told(run: Run) -> dict[str, bool | None]:
    return {"supported": run.supported, "chafe_protected": run.chafe_protected, "separated": run.separated}


def _finding(study: Study, item: str, denied: list[str]) -> Finding:
    every = study.book.limit(SLUG, "every_m")
    fixes = []
    for field in denied:
        text = _(FIXES[field])
        if field == "supported" and every is not None:
            text = _("support it every {length}").format(length=every.text)
        fixes.append(text)
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item,),
        message=_("Run {run} is {faults}.").format(
            run=study.name(item), faults=listed([_(SAID[field]) for field in denied])
        ),
        fixes=tuple(fixes),
        detail=" ".join(denied),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """Laid as asked."""
    facts = dict.fromkeys(finding.detail.split(), True)
    yield changed_run(", ".join(finding.fixes), study, finding.ids[0], **facts)


# -- examples -------------------------------------------------------------------------------------------------------
def _laid(**facts: Any) -> Installation:
    b = boat()
    known: dict[str, Any] = {"supported": True, "chafe_protected": True, "separated": True}
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=10)
    b.add("load", "E1", dc_v=12, current_a=2)
    cable(b, "W1", "G1.pos", "F1.in", "14 AWG", 6, **known)
    cable(b, "W2", "F1.out", "E1.in", "14 AWG", 60, **(known | facts))
    return b.installation


GOOD = (
    Example("supported and protected", _laid),
    Example("DC alone has nothing to be kept apart from", lambda: _laid(separated=None)),
)
BAD = (
    Example("a run that hangs", lambda: _laid(supported=False), (("W2",),)),
    Example("a run over a bare edge, and hanging", lambda: _laid(chafe_protected=False, supported=False), (("W2",),)),
)
