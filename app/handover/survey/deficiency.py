"""One deficiency, standing alone: all that is recorded of it, its photographs, the drawing round it."""

from __future__ import annotations

from collections.abc import Iterator

from app.handover.job import Job
from app.handover.survey.cut_out import CutOuts
from app.handover.survey.front import anchor
from app.handover.survey.photographs import Photographs
from app.handover.survey.scope import Scope, Told
from app.paper.blocks import Block, Gap, Heading, PageBreak
from app.paper.table import Column, Table
from engine.deficiencies import (
    grade_name,
    grade_words,
    standing_words,
    status_words,
    told_at,
)
from engine.installation import Deficiency, Snapshot, Survey
from engine.naming import capital, title_of
from engine.rules import rules
from engine.tracing.told import finding_rests
from engine.units import UNITS, show
from engine.waivers import FIGURE, NO_LIMIT
from engine.words import _

__all__ = ["told"]


def told(job: Job, scope: Scope, each: Told, cut_outs: CutOuts, photographs: Photographs) -> Iterator[Block]:
    """The blocks that tell of it, on a page of its own: it may be handed on by itself."""
    deficiency = each.record
    survey = job.snapshot.surveys.get(deficiency.survey, scope.survey)
    at = told_at(job.snapshot, deficiency)
    number = "–" if deficiency.number is None else str(deficiency.number)
    yield PageBreak()
    head = _("Deficiency {number}, {class_name}: {at}") if at else _("Deficiency {number}, {class_name}")
    yield Heading(head.format(number=number, class_name=grade_name(deficiency.grade), at=at), anchor=anchor(each.id))
    means = grade_words(survey, deficiency.grade)
    columns = (Column("what", grade_name(deficiency.grade), width=44.0), Column("told", means or _("no class given")))
    yield Table(f"deficiency {number}", "", columns, tuple(_rows(job, survey, deficiency)))
    yield from photographs.blocks(deficiency.photographs)
    if deficiency.evidence_photographs:
        yield Heading(_("Photographs that show it put right"), 2)
        yield from photographs.blocks(deficiency.evidence_photographs)
    figure = cut_outs.of(deficiency)
    yield (
        figure
        if figure is not None
        else Gap(_("Deficiency {number} stands on no sheet of the drawing: there is no cut-out.").format(number=number))
    )


def _rows(job: Job, survey: Survey, deficiency: Deficiency) -> Iterator[tuple[str, str | None]]:
    if deficiency.at in job.snapshot.runs:
        yield _("At"), _run(job.snapshot, deficiency.at)
    yield _("Observed"), _begun(deficiency.observation) or None
    yield _("Risk"), _begun(deficiency.risk) or _("not recorded")
    yield _("Recommended"), _begun(deficiency.recommendation) or _("not recorded")
    yield _("Basis"), standing_words(deficiency, job.snapshot.vessel, survey)
    if deficiency.figures:
        yield _("Figures"), "; ".join(map(_figure, deficiency.figures))
    if deficiency.arithmetic:
        yield _("Arithmetic"), deficiency.arithmetic
    if deficiency.rule:
        known = rules().get(deficiency.rule)
        yield _("From the finding"), deficiency.rule if known is None else f"{capital(_(known.title))} ({known.slug})"
        for one in job.result.resting:
            if (
                one.rule == deficiency.rule
                and deficiency.at in one.ids
                and (rests := finding_rests(job.result, one.key))
            ):
                yield _("Assumed"), rests
    noted = ", ".join(part for part in (deficiency.who, deficiency.date) if part)
    named = title_of(job.snapshot, "surveys", deficiency.survey) if deficiency.survey in job.snapshot.surveys else ""
    if named and named != deficiency.date:
        noted = _("{noted}, survey {name}").format(noted=noted, name=named) if noted else named
    yield _("Noted"), noted or None
    yield _("Put right by"), deficiency.due or _("no day set")
    yield _("Status"), status_words(deficiency)


def _begun(text: str) -> str:
    """A sentence in a cell begins with a capital; a unit that stands first stays as it is."""
    first = text.split(maxsplit=1)[:1]
    return capital(text) if first and len(first[0]) > 2 and first[0].islower() else text


def _run(snapshot: Snapshot, item: str) -> str:
    """A run by both of its ends and the places it passes: its designation alone tells a reader nothing."""
    record = snapshot.runs[item]
    ends = (title_of(snapshot, "equipment", end.equipment) for end in (record.from_end, record.to_end))
    told = [_("run from {start} to {end}").format(start=next(ends), end=next(ends))]
    told.extend(title_of(snapshot, "places", passed.place) for passed in record.places)
    return capital(", ".join(dict.fromkeys(told)))


def _figure(text: str) -> str:
    """A figure as people read it: *allowed 38.25 A*; as it is recorded where it is none."""
    found = FIGURE.fullmatch(text)
    if found is None:
        return text
    value, unit = found["value"], found["unit"] or ""
    if value == NO_LIMIT:
        return f"{found['name']} {_(NO_LIMIT)}"
    return f"{found['name']} {show(float(value), unit, digits=4)}" if unit in UNITS else text
