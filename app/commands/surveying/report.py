"""`linewright survey FILE -o OUT`: the report of a survey as PDF, DOCX or tables."""

from __future__ import annotations

import argparse

from app.commands.documents import add_common, write
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "survey"
HELP = N_("write the report of a survey, or of a follow-up (PDF, DOCX, XLSX, CSV, JSON)")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, output, which survey."""
    add_common(parser, _("file to write: .pdf, .docx, .png (one file a page), .xlsx, .csv (one file a table) or .json"))
    from app.handover.documents import survey

    survey.add_arguments(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write it."""
    return write(arguments, NAME)
