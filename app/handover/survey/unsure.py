"""What could not be judged, what is only assumed, what is still to be traced."""

from __future__ import annotations

from app.handover.job import Job
from app.missing_report import asked, called, unlock_words, why
from app.paper.blocks import Block, Heading, Paragraph, Points
from app.paper.table import Column, Table
from engine.missing import missing_facts
from engine.naming import capital
from engine.tracing import to_be_traced
from engine.tracing.ends import WHY
from engine.tracing.told import resting_lines
from engine.words import _, ngettext

__all__ = ["assumed", "not_judged", "still_to_trace"]


def not_judged(job: Job) -> list[Block]:
    """Facts that the judgement of the drawing lacks, as one walks them."""
    missing = missing_facts(job.result, job.snapshot)
    found = len(job.result.findings)
    told = ngettext(
        "The check of the drawing has {n} finding; this report tells what the surveyor noted, not all that it finds.",
        "The check of the drawing has {n} findings; this report tells what the surveyor noted, not all that it finds.",
        found,
    )
    made: list[Block] = [Heading(_("What could not be judged")), Paragraph(told.format(n=found))]
    if not job.snapshot.equipment and not job.snapshot.runs:
        return [made[0], Paragraph(_("Nothing is drawn, nothing was judged."))]
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


def assumed(job: Job) -> list[Block]:
    """Values somebody assumed and what rests on them, then what the judgement took as so where the record is silent."""
    made: list[Block] = [Heading(_("What is only assumed"))]
    told = resting_lines(job.result)
    made.extend(Paragraph(text) for text in told or (_("No value of this drawing is recorded as assumed."),))
    if job.result.assumptions:
        made.append(Heading(_("Taken for granted where the record is silent"), 2))
        made.append(Points(tuple(capital(text) + "." for text in job.result.assumptions)))
    return made


def still_to_trace(job: Job) -> list[Block]:
    """Ends of runs nobody has seen, place by place."""
    places = to_be_traced(job.snapshot)
    made: list[Block] = [Heading(_("To be traced"))]
    if not places:
        return [*made, Paragraph(_("No end is left to be traced, as far as is recorded."))]
    columns = (
        Column("place", _("Place"), width=34.0),
        Column("name", _("What")),
        Column("here", _("This end"), width=36.0),
        Column("known", _("Other end"), blank=True, width=36.0),
        Column("why", _("Why"), width=44.0),
    )
    rows = tuple(
        (place.heading, end.name, end.here, end.known or None, _(WHY[end.why]))
        for place in places
        for end in place.ends
    )
    return [*made, Table("to trace", "", columns, rows)]
