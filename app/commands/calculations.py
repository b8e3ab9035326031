"""`linewright calculations FILE -o OUT`: every circuit's inputs, formula, result, limit and margin."""

from __future__ import annotations

import argparse

from app.commands.documents import add_common, write
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "calculations"
HELP = N_("write the calculation sheets: load, short circuit, devices, cables (PDF, XLSX, CSV, JSON)")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, output, and which sections."""
    from app.handover.documents.calculations import add_only

    add_common(parser, _("file to write: .pdf, .xlsx, .csv (one file a table) or .json"))
    add_only(parser)


def run(arguments: argparse.Namespace) -> int:
    """Calculate and write."""
    return write(arguments, NAME)
