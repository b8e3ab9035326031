"""The bill of materials: what is ordered, how cable is cut, what is removed."""

from __future__ import annotations

import argparse

from app.handover.document import Document
from app.handover.job import Job, Options
from app.handover.labels.signs import signs
from app.handover.parts.asked import a_count, a_length_mm, a_percent, some_lengths
from app.handover.parts.bill import whole_bill
from app.handover.parts.wanted import PartsWanted
from app.paper.setting import set_blocks
from engine.words import N_, _

__all__ = ["FOR", "NAME", "ORDER", "PURPOSE", "TITLE", "add_arguments", "asked", "make", "wanted_of"]

NAME = "parts"
TITLE = N_("Bill of materials")
PURPOSE = N_("What is to be ordered: equipment, cable cut from drums, lugs, fuses, spares, labels; what is removed.")
FOR = N_("the yard's office and whoever buys")
ORDER = 50


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Drums, spares, heat-shrink."""
    usual = PartsWanted()
    parser.add_argument(
        "--drums",
        type=some_lengths,
        default=(),
        metavar="LENGTHS",
        help=_("lengths cable is sold in, in the drawing's unit or with theirs: 25,50,100 or '100 ft, 250 ft'"),
    )
    parser.add_argument(
        "--spare-percent",
        type=a_percent,
        default=usual.spare_percent,
        metavar="N",
        help=_("spare fuses, percent of those fitted (20)"),
    )
    parser.add_argument(
        "--spare-least",
        type=a_count,
        default=usual.spare_least,
        metavar="N",
        help=_("spare fuses of each class and rating, at least (2)"),
    )
    parser.add_argument(
        "--shrink-mm",
        type=a_length_mm,
        metavar="N",
        help=_("heat-shrink on every lug, mm, instead of 30 to 75 by size"),
    )


def asked(arguments: argparse.Namespace, options: Options) -> Options:
    """Options with what the arguments say."""
    return options._replace(parts=wanted_of(arguments))


def wanted_of(arguments: argparse.Namespace) -> PartsWanted:
    """What the arguments say of the bill."""
    return PartsWanted(
        drums=arguments.drums,
        spare_percent=arguments.spare_percent,
        spare_least=arguments.spare_least,
        shrink_mm=arguments.shrink_mm,
    )


def make(job: Job) -> Document:
    """The bill of one drawing."""
    tables = whole_bill(job.snapshot, job.options.parts, job.before, signs(job.study, job.result, only_new=True))
    pictures = set_blocks(tables, size=job.text_size, fields=job.fields(_(TITLE), _("Parts list")))
    return Document(NAME, _(TITLE), pictures, tables)
