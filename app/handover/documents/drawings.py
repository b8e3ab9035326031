"""The drawing set: a cover with the legend, every sheet with its findings in the margin, pages of notes."""

from __future__ import annotations

from app.handover.document import Document
from app.handover.drawings.larger import larger_sheets
from app.handover.drawings.whole import drawing_set, is_empty
from app.handover.job import Job
from engine.words import N_, _

__all__ = ["FOR", "NAME", "ORDER", "PURPOSE", "TITLE", "make"]

NAME = "drawings"
TITLE = N_("Drawing set")
PURPOSE = N_("Every sheet with its findings, behind a cover with contents, basis, revisions and legend.")
FOR = N_("owner, yard, surveyor, insurer")
ORDER = 10


def make(job: Job) -> Document:
    """The set; of an empty drawing the cover, which says so."""
    options = job.options
    made = drawing_set(job.snapshot, job.result, size=options.size or None, before=job.before, mono=options.mono)
    gaps = larger_sheets(made, options.size or None)
    if is_empty(job.snapshot):
        gaps.append(_("Nothing is drawn: the drawing set is its cover alone."))
    return Document(NAME, _(TITLE), made, gaps=tuple(gaps))
