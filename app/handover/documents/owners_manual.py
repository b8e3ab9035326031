"""The electrical page of the owner's manual, in plain language, made from the drawing."""

from __future__ import annotations

from collections.abc import Iterator

from app.handover.document import Document
from app.handover.job import Job
from app.handover.manual.care import do_and_do_not, residual_current, spare_fuses
from app.handover.manual.stores import batteries
from app.handover.manual.supply import disconnects, in_an_emergency, shore, systems
from app.handover.manual.using import capacity, conditions, interlocks
from app.handover.schedules.aboard import Aboard
from app.paper.blocks import Block, Gap, Heading, Paragraph, Points, Signatures
from app.paper.setting import set_blocks
from app.paper.table import Table
from engine.pausing import pause
from engine.words import N_, _

__all__ = ["FOR", "NAME", "ORDER", "PURPOSE", "TITLE", "make"]

NAME = "owners-manual"
TITLE = N_("Owner's manual: electrical installation")
PURPOSE = N_("Tells in plain language what she has, how it is used, switched off, charged and cared for.")
FOR = N_("owner and crew")
ORDER = 20

_SECTIONS = (
    in_an_emergency,
    disconnects,
    systems,
    shore,
    batteries,
    conditions,
    capacity,
    interlocks,
    residual_current,
    spare_fuses,
    do_and_do_not,
)


def make(job: Job) -> Document:
    """One section after the other; what the drawing does not tell is said to be missing."""
    aboard = Aboard(job)
    blocks: list[Block] = list(_about(job))
    for section in _SECTIONS:
        pause()
        blocks.extend(section(aboard))
    blocks.append(Heading(_("Handed over")))
    blocks.append(Signatures((_("Handed over and explained by"), _("Received by, for the owner"))))
    title = _(TITLE)
    pictures = set_blocks(blocks, size=job.text_size, fields=job.fields(title, _("Owner's manual")), upright=True)
    tables = tuple(block for block in blocks if isinstance(block, Table))
    return Document(NAME, title, pictures, tables, tuple(block.text for block in blocks if isinstance(block, Gap)))


def _about(job: Job) -> Iterator[Block]:
    """Which boat, from which drawing, how it was judged."""
    block, vessel, result = job.snapshot.title_block, job.snapshot.vessel, job.result
    yield Heading(_("Electrical installation of {boat}").format(boat=job.boat))
    known = [
        (_("hull identification"), vessel.hin),
        (_("official number"), vessel.official_number),
        (_("builder"), vessel.builder),
        (_("year built"), "" if vessel.build_year is None else str(vessel.build_year)),
    ]
    told = [f"{what}: {value}" for what, value in known if value]
    yield Points(
        (
            *((", ".join(told),) if told else ()),
            _("Made from drawing {number}, revision {revision}, dated {date}. The drawing prevails.").format(
                number=block.number or _("without number"),
                revision=block.revision or _("none"),
                date=block.date or _("not dated"),
            ),
            _("The drawing was judged by {title}, edition {edition}: {summary}").format(
                title=_(result.title), edition=result.edition, summary=result.summary()
            ),
        )
    )
    grave = [finding for finding in result.findings if finding.word == "danger"]
    if grave:
        yield Gap(
            _("Dangers are open ({n}). They are in the report of the check; have them put right before use.").format(
                n=len(grave)
            )
        )
    if result.not_judged:
        yield Paragraph(_("What is not recorded could not be judged; a finding absent is not proof of safety."))
