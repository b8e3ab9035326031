"""The whole report of one survey, from its front to the lines to sign on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from app.handover.document import Document
from app.handover.job import Job
from app.handover.survey import deficiency
from app.handover.survey.cut_out import CutOuts
from app.handover.survey.front import limits, listed, particulars, standards, summary
from app.handover.survey.inspected import not_inspected_blocks
from app.handover.survey.measured import instruments, measured_values
from app.handover.survey.photographs import Photographs
from app.handover.survey.scope import Scope, Told
from app.handover.survey.unsure import assumed, not_judged, still_to_trace
from app.paper.blocks import Block, Gap, Heading, PageBreak, Paragraph, Signatures
from app.paper.setting import room_of, set_blocks
from app.paper.table import Table
from engine.deficiencies import is_open
from engine.pausing import pause
from engine.survey.answers import not_inspected
from engine.words import _, ngettext

__all__ = ["whole"]


def whole(job: Job, scope: Scope, name: str, title: str) -> Document:
    """The document; `title` tells whether it follows up."""
    blocks = tuple(_Report(job, scope, title).blocks())
    if job.options.mono:
        from app.paper.mono import in_mono
    survey = scope.survey
    fields = job.fields(title, _("Survey report"))._replace(
        created_by=survey.surveyor, date=survey.issued or survey.until or survey.date, status="", approved_by="",
        open_findings=sum(is_open(each.record) for each in scope.every), waived=None,
    )  # fmt: skip
    pictures = set_blocks(blocks, size=job.text_size, fields=fields, upright=True)
    return Document(
        name,
        title,
        tuple(map(in_mono, pictures)) if job.options.mono else pictures,
        tuple(block for block in blocks if isinstance(block, Table)),
        tuple(dict.fromkeys(block.text for block in blocks if isinstance(block, Gap))),
        blocks=blocks,
        author=survey.surveyor,
    )


class _Report:
    """One report being put together."""

    def __init__(self, job: Job, scope: Scope, title: str) -> None:
        self._job, self._scope, self._title = job, scope, title
        self._follows_up = job.options.survey.follow_up
        self._cut_outs = CutOuts(job.snapshot, room_of(job.text_size, upright=True)[0])
        self._photographs = Photographs(job.snapshot, job.options.survey.photographs, grey=job.options.mono)

    def blocks(self) -> Iterator[Block]:
        """All of it."""
        job, scope = self._job, self._scope
        found = not_inspected(job.snapshot, scope.id)
        yield Heading(_("{report}: {boat}").format(report=self._title, boat=job.boat))
        yield from particulars(job, scope)
        yield from standards(job, scope)
        yield from limits(scope, found.words)
        yield from summary(scope, scope.every if self._follows_up else scope.own)
        if self._follows_up:
            yield from self._standing()
        yield from self._told()
        yield PageBreak()
        yield from measured_values(job, scope.id)
        yield from instruments(job, scope.id)
        yield from not_inspected_blocks(found)
        yield from not_judged(job)
        yield from assumed(job)
        yield from still_to_trace(job)
        yield from self._end()

    def _standing(self) -> Iterator[Block]:
        """What has become of what was noted before."""
        scope = self._scope
        if scope.closed_earlier:
            told = ngettext(
                "{n} deficiency had been closed before the survey that this one follows; it is not told again.",
                "{n} deficiencies had been closed before the survey that this one follows; they are not told again.",
                scope.closed_earlier,
            )
            yield Paragraph(told.format(n=scope.closed_earlier))
        for name, title, some, none in self._lists():
            if some:
                yield listed(self._job, name, title, some)
            elif none:
                yield Heading(title, 2)
                yield Paragraph(none)

    def _lists(self) -> Iterator[tuple[str, str, Sequence[Told], str]]:
        scope = self._scope
        yield "closed", _("Closed since"), scope.earlier("closed"), _("None has been closed.")
        yield "open", _("Still open"), scope.earlier("open"), _("None is open.")
        yield "in hand", _("In hand"), scope.earlier("in hand"), _("None is in hand.")
        yield "not agreed", _("Not agreed"), scope.earlier("not agreed"), _("None is disputed.")
        new = [each for each in scope.own if each.record.survey == scope.id]
        yield "new", _("New in this survey"), new, _("None is new.")
        yield "of no survey", _("Noted in no survey"), [each for each in scope.own if each not in new], ""

    def _told(self) -> Iterator[Block]:
        job, scope = self._job, self._scope
        if not self._follows_up:
            yield from self._before()
            if not scope.own:
                yield Heading(_("Deficiencies"))
                yield Paragraph(_("No deficiency was noted in this survey. That is no proof that there is none."))
                return
            yield listed(job, "deficiencies", _("Deficiencies"), scope.own)
        for each in scope.every if self._follows_up else scope.own:
            pause()
            yield from deficiency.told(job, scope, each, self._cut_outs, self._photographs)

    def _before(self) -> Iterator[Block]:
        """That there is more to be told, where this is no report of a follow-up and follows a survey all the same."""
        still = [each for each in self._scope.before if is_open(each.record)]
        if still:
            told = ngettext(
                "{n} deficiency of the surveys that this one follows is not closed; the follow-up report tells of it.",
                "{n} deficiencies of the surveys that this one follows are not closed; the follow-up report tells of "
                "them.",
                len(still),
            )
            yield Gap(told.format(n=len(still)))

    def _end(self) -> Iterator[Block]:
        survey = self._scope.survey
        if survey.closing.strip():
            yield Heading(_("Closing words"))
            for text in survey.closing.splitlines():
                if text.strip():
                    yield Paragraph(text)
        yield Heading(_("Signatures"))
        surveyor = ", ".join(part for part in (survey.surveyor, survey.qualification) if part)
        yield Signatures(
            (
                _("Surveyor: {name}").format(name=surveyor) if surveyor else _("Surveyor"),
                _("Received by, for {client}").format(client=survey.client) if survey.client else _("Received by"),
            )
        )
