"""The panel-door schematic: what a crew needs on the back of a panel's door, at true size."""

from __future__ import annotations

import argparse

from app.handover.document import Document
from app.handover.job import Job, Options
from app.handover.panel_door.build import build
from engine.words import N_, _

__all__ = ["FOR", "NAME", "ORDER", "PURPOSE", "TITLE", "add_arguments", "asked", "make"]

NAME = "panel-door"
TITLE = N_("Panel-door schematic")
PURPOSE = N_("cards for the back of a panel's door: emergency, main disconnects, schematic, tables by position")
FOR = N_("crew")
ORDER = 60


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What a panel's cards may be asked besides."""
    from app.handover.panel_door.asking import a_size

    parser.add_argument(
        "--door-size",
        type=a_size,
        metavar="SIZE",
        help=_("size panel-door cards are cut to: A5, A4, A3, Letter, 200x150mm, 8x6in (A5)"),
    )
    parser.add_argument(
        "--door-enclosure", default="", metavar="NAME", help=_("the panel whose table the cards show; all")
    )
    parser.add_argument(
        "--door-film", action="store_true", help=_("panel-door cards mirrored, for film read from the back")
    )


def asked(arguments: argparse.Namespace, options: Options) -> Options:
    """The options with what was asked of the cards."""
    return options._replace(
        door_size=arguments.door_size or options.door_size,
        door_enclosure=arguments.door_enclosure,
        door_film=arguments.door_film,
    )


def make(job: Job) -> Document:
    """The cards, their tables, and what is not recorded."""
    options = job.options
    built = build(
        job.study,
        options.door_size,
        job.boat,
        enclosure=options.door_enclosure,
        mono=options.mono,
        film=options.door_film,
    )
    return Document(NAME, _(TITLE), built.pictures, built.tables, built.gaps)
