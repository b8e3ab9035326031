"""The front of a survey report: who, for whom, of what, where and when, by which standards, within which limits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from app.handover.job import Job
from app.handover.survey.scope import Scope, Told
from app.paper.blocks import Block, Gap, Heading, Paragraph, Points
from app.paper.table import Column, Table
from engine.deficiencies import GRADES, STATUSES, grade_name, grade_words, status_words, told_at
from engine.installation import Survey, Vessel
from engine.judged_by import head
from engine.naming import label_of
from engine.record import field_specs
from engine.units import show
from engine.words import N_, _

__all__ = ["anchor", "limits", "listed", "particulars", "standards", "summary"]

_ALWAYS = ("name", "hin", "builder", "build_year", "hull", "length_m", "use", "flag")  # told as not known too
_SAID = {
    "name": N_("Name or number"),
    "client": N_("Client"),
    "reason": N_("Made for"),
    "surveyor": N_("Surveyor"),
    "qualification": N_("Qualification"),
    "date": N_("Date"),
    "until": N_("Until"),
    "where": N_("Port or yard"),
    "afloat": N_("Afloat or ashore"),
    "follows": N_("Follows up"),
    "issued": N_("Report given out"),
}
_UNTOLD = ("reason", "until", "follows", "issued", "qualification")  # nothing is said of these where they are not


def anchor(item: str) -> str:
    """Where a deficiency is told of."""
    return f"deficiency:{item}"


def _facts(name: str, title: str, rows: Iterable[tuple[str, str]]) -> Table:
    columns = (Column("what", _("What"), width=58.0), Column("value", _("As recorded")))
    return Table(name, title, columns, tuple((what, value or None) for what, value in rows))


def particulars(job: Job, scope: Scope) -> list[Block]:
    """Of the survey and of the vessel."""
    return [
        _facts("survey", _("The survey"), _survey_rows(job, scope)),
        _facts("vessel", _("The vessel"), _vessel_rows(job)),
    ]


def _survey_rows(job: Job, scope: Scope) -> Iterable[tuple[str, str]]:
    for name, words in _SAID.items():
        value = getattr(scope.survey, name)
        if name == "follows":
            value = _named(scope.follows) if scope.follows is not None else ""
        elif name == "afloat" and value:
            value = _(value)
        if value or name not in _UNTOLD:
            yield _(words), value
    block = job.snapshot.title_block
    drawing = ", ".join(part for part in (block.number, block.revision and _("revision {index}").format(
        index=block.revision), block.date) if part)  # fmt: skip
    yield _("Drawing"), drawing or job.file_name


def _named(survey: Survey) -> str:
    return ", ".join(part for part in (survey.name, survey.date, survey.surveyor) if part)


def _vessel_rows(job: Job) -> Iterable[tuple[str, str]]:
    vessel = job.snapshot.vessel
    for spec in field_specs(Vessel):
        value: Any = getattr(vessel, spec.name)
        if spec.name in ("coldest_c",) or (value in ("", None) and spec.name not in _ALWAYS):
            continue
        if value in ("", None):
            told = ""
        elif spec.name == "build_year":
            told = str(value)
        elif spec.shape == "number":
            told = show(value, spec.fact.unit, job.snapshot.settings.units)
        else:
            told = _(value) if spec.shape == "choice" else value
        yield label_of(Vessel, spec), told


def standards(job: Job, scope: Scope) -> list[Block]:
    """What the surveyor went by, and by which book the drawing was judged."""
    made: list[Block] = [Heading(_("Standards used"))]
    if scope.survey.standards:
        made.append(Points(scope.survey.standards))
    else:
        made.append(Gap(_("No standards are recorded for this survey.")))
    made.extend(Paragraph(text) for text in head(job.result))
    made.append(
        Paragraph(
            _(
                "A standard younger than the vessel was not asked of her when she was built; what it asks is told here "
                "as a recommendation."
            )
        )
    )
    return made


def limits(scope: Scope, inspected: str) -> list[Block]:
    """Within which limits it was made. `inspected`: one sentence on how much of the walk was seen."""
    made: list[Block] = [Heading(_("Limits of this survey"))]
    if scope.survey.limits.strip():
        made.extend(Paragraph(text) for text in scope.survey.limits.splitlines() if text.strip())
    else:
        made.append(Gap(_("No limits are recorded for this survey.")))
    made.append(Paragraph(inspected))
    return made


def summary(scope: Scope, every: Sequence[Told]) -> list[Block]:
    """How many of each class stand how."""
    counts = Counter((each.record.grade, each.record.status) for each in every)
    columns = (
        Column("class", _("Class"), width=24.0),
        Column("means", _("What it means")),
        *(Column(status, _(words), align="right") for status, words in STATUSES.items()),
        Column("all", _("All"), align="right"),
    )
    rows = []
    for grade in (*GRADES, ""):
        numbers = [counts[grade, status] for status in STATUSES]
        if grade or sum(numbers):
            rows.append((grade_name(grade), grade_words(scope.survey, grade) or "–", *numbers, sum(numbers)))
    return [Table("summary", _("Summary by class"), columns, tuple(rows))]


def listed(job: Job, name: str, title: str, every: Sequence[Told], notes: tuple[str, ...] = ()) -> Table:
    """One line each, that leads to where it is told."""
    columns = (
        Column("number", _("No."), align="right"),
        Column("class", _("Class")),
        Column("at", _("At"), width=38.0),
        Column("observation", _("Observed"), width=70.0),
        Column("due", _("Put right by"), blank=True, width=24.0),
        Column("status", _("Status"), width=40.0),
    )
    rows = tuple(
        (
            d.number,
            d.grade or "–",
            told_at(job.snapshot, d) or "–",
            d.observation,
            d.due or None,
            status_words(d),
        )
        for _id, d in every
    )
    return Table(name, title, columns, rows, notes, tuple(anchor(each.id) for each in every))
