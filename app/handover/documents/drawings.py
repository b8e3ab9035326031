"""The drawing set: a cover with the legend, every sheet with its findings in the margin, pages of notes."""

from __future__ import annotations

import argparse

from app.drawing.whole.in_view import VIEWS
from app.handover.document import Document
from app.handover.drawings.asked_paper import asked_paper
from app.handover.drawings.larger import larger_sheets
from app.handover.drawings.whole import drawing_set, is_empty
from app.handover.job import Job, Options
from app.paper.under import with_unders
from engine.words import N_, _

__all__ = ["FOR", "NAME", "ORDER", "PURPOSE", "TITLE", "add_arguments", "asked", "make"]

NAME = "drawings"
TITLE = N_("Drawing set")
PURPOSE = N_("Every sheet with its findings, behind a cover with contents, basis, revisions and legend.")
FOR = N_("owner, yard, surveyor, insurer")
ORDER = 10


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What of the work the sheets show, and whether they are drawn anew for other paper."""
    parser.add_argument("--view", choices=VIEWS, default="all", help=_(
        "sheets show the boat before, during or after the work, or only what is existing, new, to remove, by others or "
        "spare"
    ))  # fmt: skip
    parser.add_argument("--lay-out", action="store_true", help=_(
        "draw sheets anew for the paper asked for; without it what does not fit keeps its own"
    ))  # fmt: skip


def asked(arguments: argparse.Namespace, options: Options) -> Options:
    """Options with what the arguments say."""
    return options._replace(view=arguments.view, lay_out=arguments.lay_out)


def make(job: Job) -> Document:
    """The set; of an empty drawing the cover, which says so."""
    options = job.options
    fitted = asked_paper(job.snapshot, options.size or None, options.lay_out)
    made = drawing_set(
        fitted.snapshot, job.result, size=fitted.size, before=job.before, mono=options.mono, view=options.view
    )
    gaps = list(fitted.lacking) or larger_sheets(made, options.size or None)
    if is_empty(job.snapshot):
        gaps.append(_("Nothing is drawn: the drawing set is its cover alone."))
    laid = with_unders(made, job.snapshot, None, grey=options.mono)
    gaps.extend(laid.told)
    return Document(NAME, _(TITLE), laid.pictures, gaps=tuple(gaps))
