"""A waiver no longer hides anything.

What it checks
--------------
Every waiver: whether the rule it names still says something about the designations it names. A waiver of a rule that
does not exist hides nothing either. Where the rule could not be judged on one of those designations, or was stopped,
nothing is said: it may be needed again. A waiver that has lapsed still speaks of something and is told at its finding.

Why it matters
--------------
A waiver that is forgotten hides the same fault when it comes back, without anyone having looked at it again.

What to do
----------
Remove the waiver; the fault it spoke of is gone. Where it was meant for something else, correct its rule or
designations.

Limits read
-----------
None.

References
----------
Practice of this program.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.builder import Builder
from engine.edits import Put
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.installation.records import Waiver
from engine.rules.proved import proved
from engine.rules.rule import Example, rules
from engine.study import Study
from engine.waivers import matches
from engine.words import N_, _

SLUG = "needless-waiver"
WORD: Word = "notice"
TITLE = N_("waiver that no longer hides anything")
LOOKS_AT = N_("waivers")


def check(study: Study) -> Iterator[Remark]:
    """One finding a waiver."""
    for item, waiver in study.snapshot.waivers.items():
        if waiver.rule == SLUG:
            continue
        about = ", ".join(waiver.designations) or _("nothing")
        if waiver.rule not in rules() and waiver.rule not in study.own:
            if study.awaits_own:
                continue  # it may be one of the person's own rules
            message = _("The waiver of {rule} for {about} names a rule that does not exist.")
        elif not _is_needed(study, waiver):
            message = _("The waiver of {rule} for {about} no longer hides anything.")
        else:
            if study.proving:
                held = _("The waiver of {rule} for {about} still hides something.")
                yield proved(study, SLUG, item, message=held.format(rule=waiver.rule, about=about), detail=waiver.rule)
            continue
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=waiver.designations,
            ids=(item,),
            message=message.format(rule=waiver.rule, about=about),
            fixes=(_("remove the waiver"), _("correct the rule or the designations it names")),
            detail=waiver.rule,
        )


def _is_needed(study: Study, waiver: Waiver) -> bool:
    remarks, fault, _passed = study.outcome(waiver.rule)
    if fault is not None:
        return True
    about = set(waiver.designations)
    return any(
        matches(waiver, remark) if isinstance(remark, Finding) else bool(about & set(remark.designations))
        for remark in remarks
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """Away with it."""
    text = _("remove the waiver of {rule} for {about}").format(
        rule=finding.detail, about=", ".join(finding.designations) or _("nothing")
    )
    yield Fix(text, Put("waivers", finding.ids[0], None, words=text))


# -- examples -------------------------------------------------------------------------------------------------------
def _waived(rule: str, *designations: str, spare: bool = False) -> Installation:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("open_end", "X1", status="spare" if spare else "existing")
    b.run("W1", "G1.pos", "X1.at", size="14 AWG", length_m=2)
    b.waive(rule, *designations, reason="laid for the radar", who="A. Tern", date="2026-01-15")
    return b.installation


GOOD = (
    Example("a waiver of what is still found", lambda: _waived("unconnected", "W1")),
    Example("a waiver of needless-waiver itself is left alone", lambda: _waived("needless-waiver", "W1")),
)
BAD = (
    Example(
        "the loose end it spoke of has become a spare", lambda: _waived("unconnected", "W1", spare=True), (("W1",),)
    ),
    Example("it names a designation too many", lambda: _waived("unconnected", "W1", "W2"), (("W1", "W2"),)),
    Example("it names a rule that does not exist", lambda: _waived("loose-end", "W1"), (("W1",),)),
)
