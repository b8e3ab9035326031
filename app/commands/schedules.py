"""`linewright schedules FILE -o OUT`: the schedules as PDF, XLSX, CSV or JSON."""

from __future__ import annotations

import argparse

from app.commands.documents import add_common, write
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "schedules"
HELP = N_("write the schedules: devices, runs, equipment, loads, studs, switching states, fuses (PDF, XLSX, CSV, JSON)")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, output, and which schedules."""
    add_common(parser, _("file to write: .pdf, .xlsx, .csv (one file a table) or .json"))
    from app.handover.documents.schedules import add_only

    add_only(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write them."""
    return write(arguments, NAME)
