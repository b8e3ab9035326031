"""The commissioning sheet: readings and trials, each with what is expected, to be filled in aboard."""

from __future__ import annotations

from app.handover.commissioning.dead import continuity, insulation, torque
from app.handover.commissioning.live import drops, hot_spots, neutral_bonds, outlets, residual_current
from app.handover.commissioning.trying import floats, galvanic, interlocks, stop_by_battery
from app.handover.document import Document
from app.handover.job import Job
from app.paper.blocks import Block, Gap, Heading, Paragraph, Signatures
from app.paper.setting import set_blocks
from app.paper.table import Column, Table
from engine.words import N_, _

__all__ = ["FOR", "NAME", "ORDER", "PURPOSE", "TITLE", "make"]

NAME = "commissioning"
TITLE = N_("Commissioning sheet")
PURPOSE = N_("What is measured and tried before the boat is handed over, with what the drawing lets expect.")
FOR = N_("installer and surveyor")
ORDER = 60

_PARTS = (
    torque,
    continuity,
    insulation,
    outlets,
    neutral_bonds,
    residual_current,
    interlocks,
    galvanic,
    drops,
    floats,
    stop_by_battery,
    hot_spots,
)


def make(job: Job) -> Document:
    """One part after the other, each from the drawing; what is not drawn is said to be missing."""
    blocks: list[Block] = [
        Heading(_("Commissioning: {boat}").format(boat=job.boat)),
        Paragraph(
            _(
                "Figures expected come from the drawing and are no readings. Readings are written in by whoever takes "
                "them; an empty cell is a test that was not made. Nothing here certifies anything."
            )
        ),
        _instruments(),
    ]
    for part in _PARTS:
        blocks.extend(part(job))
    blocks.append(Heading(_("Done and accepted")))
    blocks.append(Signatures((_("Measured and tried by"), _("Seen by, for the owner"))))
    title = _(TITLE)
    return Document(
        NAME,
        title,
        set_blocks(blocks, size=job.text_size, fields=job.fields(title, _("Test record")), upright=True),
        tuple(block for block in blocks if isinstance(block, Table)),
        tuple(block.text for block in blocks if isinstance(block, Gap)),
    )


def _instruments() -> Table:
    columns = (
        Column("instrument", _("Instrument"), blank=True, least=60.0),
        Column("number", _("Serial number"), blank=True, least=50.0),
        Column("calibrated", _("Calibrated until"), blank=True, least=40.0),
    )
    return Table("instruments", _("Instruments used"), columns, ((None, None, None),) * 4)
