"""`linewright labels FILE -o x.pdf|svg|csv`: labels to stick on aboard."""

from __future__ import annotations

import argparse

from app.commands.documents import add_common, add_options, write
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "labels"
HELP = N_("write labels: panel legends, run markers, device plates, signs, strips for kept panels")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, output, which labels on what."""
    add_common(parser, _("file to write: .pdf, .svg (one a label sheet), .csv for a label printer, .xlsx, .json"))
    add_options(parser, NAME)


def run(arguments: argparse.Namespace) -> int:
    """Write them."""
    return write(arguments, NAME)
