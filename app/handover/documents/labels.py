"""Labels: panel legends, run markers, device plates, signs the book asks for, strips of kept panels."""

from __future__ import annotations

import argparse
from pathlib import Path

from app.handover.document import Document
from app.handover.job import Job, Options
from app.handover.labels.asked import a_grid, a_side_mm, a_skip
from app.handover.labels.grid import EXAMPLE
from app.handover.labels.wanted import KINDS, LabelsWanted
from engine.words import N_, _

__all__ = ["FOR", "NAME", "ORDER", "PURPOSE", "TITLE", "add_arguments", "asked", "make"]

NAME = "labels"
TITLE = N_("Labels")
PURPOSE = N_("What is stuck on aboard: panel legends, run markers, device plates, signs, strips for kept panels.")
FOR = N_("the yard and whoever wires")
ORDER = 60


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which labels, on what."""
    group = parser.add_argument_group(_("labels"))
    group.add_argument(
        "--kind", action="append", choices=tuple(KINDS), default=None, help=_("only these; may be given several times")
    )
    group.add_argument(
        "--grid",
        type=a_grid,
        default=None,
        metavar="GRID",
        help=_("label sheet, such as '{example}'").format(example=EXAMPLE),
    )
    group.add_argument("--skip", type=a_skip, default=0, metavar="N", help=_("labels of the first sheet already used"))
    group.add_argument("--outline", action="store_true", help=_("draw the edges of the labels, for paper that is cut"))
    group.add_argument(
        "--marker-width", type=a_side_mm, metavar="MM", help=_("printed part of a run marker along the cable, mm")
    )
    group.add_argument("--only-new", action="store_true", help=_("labels of what is new alone"))
    group.add_argument(
        "--strip-pitch", type=a_side_mm, metavar="MM", help=_("distance of a kept panel's positions, mm")
    )
    group.add_argument(
        "--strip-height", type=a_side_mm, default=LabelsWanted().strip_mm, metavar="MM", help=_("of a strip, mm (18)")
    )


def asked(arguments: argparse.Namespace, options: Options) -> Options:
    """Options with what the arguments say. A picture file gets the label sheets and strips alone."""
    ending = Path(arguments.output).suffix.lower()
    wanted = LabelsWanted(
        kinds=tuple(kind for kind in KINDS if not arguments.kind or kind in arguments.kind),
        grid=arguments.grid or "",
        skip=arguments.skip,
        marker_width_mm=arguments.marker_width,
        outline=arguments.outline,
        only_new=arguments.only_new,
        pitch_mm=arguments.strip_pitch,
        strip_mm=arguments.strip_height,
        beside=ending not in (".pdf", ".xlsx", ".csv", ".json", ".svg", ".png", ".dxf"),
        sheets_only=ending in (".svg", ".png", ".dxf"),
    )
    return options._replace(labels=wanted)


def make(job: Job) -> Document:
    """All labels of one drawing."""
    from app.handover.labels.whole import whole

    made = whole(job, _(TITLE))
    return Document(NAME, _(TITLE), made.pictures, (made.table,), made.gaps, made.files)
