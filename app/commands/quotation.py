"""`linewright quotation FILE --prices LIST -o x.pdf|xlsx|csv|json`: the order with prices, taxes and validity."""

from __future__ import annotations

import argparse

from app.commands.documents import add_common, add_options, write
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "quotation"
HELP = N_("write a quotation: the bill of materials with prices, taxes and validity")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, output; drums and spares as for the bill; prices, taxes, dates, names."""
    add_common(parser, _("file to write: .pdf, .xlsx, .csv, .json, .svg, .png or .dxf"))
    add_options(parser, "parts")
    add_options(parser, NAME)


def run(arguments: argparse.Namespace) -> int:
    """Join and write."""
    return write(arguments, NAME, ("parts",))
