"""What could not be judged, what is only assumed, what is still to be traced."""

from __future__ import annotations

from app.handover.job import Job
from app.missing_report import asked, called, unlock_words, why
from app.paper.blocks import Block, Heading, Paragraph, Points
from app.paper.table import Column, Table
from engine.missing import missing_facts
from engine.naming import capital
from engine.words import _

__all__ = ["not_judged", "taken_for_granted"]


def not_judged(job: Job) -> list[Block]:
    """Facts that the judgement of the drawing lacks, as one walks them."""
    missing = missing_facts(job.result, job.snapshot)
    made: list[Block] = [Heading(_("What could not be judged"))]
    if not len(missing) and not missing.unnamed:
        return [*made, Paragraph(_("Nothing is missing: no rule asks for a fact that is not recorded."))]
    columns = (
        Column("what", _("What")),
        Column("fact", _("Not recorded"), width=50.0),
        Column("place", _("Place"), width=34.0),
        Column("rules", _("So these could not judge"), width=58.0),
    )
    rows = []
    for heading, facts in missing.by_place():
        rows.extend((called(fact) or "–", asked(fact), heading, unlock_words(fact.unlocks)) for fact in facts)
    if rows:
        made.append(Table("not judged", "", columns, tuple(rows)))
    if missing.unnamed:
        made.append(Heading(_("Not judged, and no fact recorded would tell"), 2))
        made.append(Points(tuple(why(gap) for gap in missing.unnamed)))
    return made


def taken_for_granted(job: Job) -> list[Block]:
    """What the judgement took as so where the record is silent."""
    if not job.result.assumptions:
        return []
    return [
        Heading(_("Taken for granted where the record is silent"), 2),
        Points(tuple(capital(text) + "." for text in job.result.assumptions)),
    ]
