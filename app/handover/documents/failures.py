"""What can still be fed when one thing at a time fails."""

from __future__ import annotations

from app.figures.failure_report import sheets
from app.handover.document import Document
from app.handover.job import Job
from app.paper.blocks import Gap
from app.paper.setting import set_blocks
from engine.words import N_, _

__all__ = ["FOR", "NAME", "ORDER", "PURPOSE", "TITLE", "make"]

NAME = "failures"
TITLE = N_("What fails and what is left")
PURPOSE = N_("Every essential load, and from what it can still be fed when one thing at a time fails.")
FOR = N_("owner, surveyor and insurer")
ORDER = 80


def make(job: Job) -> Document:
    """The failure table of the drawing."""
    table = job.study.failure_table
    tables = tuple(sheets(job.study, table))
    gaps = [] if table.loads else [_("No load is recorded as essential: there is nothing to tell of failures.")]
    title = _(TITLE)
    pictures = set_blocks((*map(Gap, gaps), *tables), size=job.text_size, fields=job.fields(title, _("Failure table")))
    return Document(NAME, title, pictures, tables, tuple(gaps))
