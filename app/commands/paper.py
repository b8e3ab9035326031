"""`linewright paper NAME FILE -o OUT`: one document of the hand-over pack, in the form the ending asks for."""

from __future__ import annotations

import argparse

from app.commands.documents import add_common, add_options, write
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "paper"
HELP = N_("write one document of the hand-over pack (PDF, XLSX, CSV, JSON, SVG, PNG, DXF)")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The document, each with options of its own, then file and output."""
    from app.handover.documents import documents

    sub = parser.add_subparsers(title=_("documents"), metavar=_("NAME"), required=True, dest="document")
    for maker in documents().values():
        about = f"{_(maker.purpose)} {_('For {people}.').format(people=_(maker.held_by))}"
        page = sub.add_parser(maker.name, help=_(maker.title), description=about, allow_abbrev=False)
        add_common(
            page, _("file to write: .pdf, .xlsx, .csv, .json, .svg, .png or .dxf, as far as the document has it")
        )
        add_options(page, maker.name)


def run(arguments: argparse.Namespace) -> int:
    """Make it and write it."""
    return write(arguments, arguments.document)
