"""`linewright parts FILE -o x.xlsx|csv|pdf`: the bill of materials."""

from __future__ import annotations

import argparse

from app.commands.opening import add_book, book_for, opened, output, say
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "parts"
HELP = N_("write the bill of materials: what is new is ordered")
ENDINGS = (".xlsx", ".csv", ".pdf", ".json")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, output, book."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    parser.add_argument(
        "-o", "--output", required=True, metavar="OUT", help=_("file to write: .xlsx, .csv, .pdf or .json")
    )
    add_book(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write the table; what prints is checked first."""
    from app.paper.parts import write_parts

    target = output(arguments.output, ENDINGS, arguments.file)
    snapshot = opened(arguments.file).installation.snapshot()
    fields = None
    if target.suffix.lower() == ".pdf":
        from app.drawing.title_block import title_fields
        from app.own_rules import heard
        from engine.check import check

        book = book_for(arguments.book, arguments.file, snapshot)
        result = check(snapshot, book, own=heard(snapshot, book))
        fields = title_fields(snapshot)._replace(
            book=result.title,
            edition=result.edition,
            open_findings=len(result.findings),
            waived=len(result.waived),
            not_judged=len(result.not_judged),
        )
    boxes = write_parts(snapshot, target, fields)
    if boxes:
        say(_("{path}: the font lacks {characters}; boxes stand in their place").format(path=target, characters=boxes))
    print(_("{path} written").format(path=target))
    return 0
