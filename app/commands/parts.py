"""`linewright parts FILE -o x.xlsx|csv|pdf|json`: the bill of materials."""

from __future__ import annotations

import argparse

from app.commands.documents import add_options
from app.commands.opening import add_book, book_for, opened, output, say
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "parts"
HELP = N_("write the bill of materials: what is new is ordered")
ENDINGS = (".xlsx", ".csv", ".pdf", ".json")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, output, an issue before, drums and spares, book."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    parser.add_argument(
        "-o", "--output", required=True, metavar="OUT", help=_("file to write: .xlsx, .csv, .pdf or .json")
    )
    parser.add_argument(
        "--since",
        metavar="OLD",
        help=_("the drawing as last issued: what is to buy, to remove and kept since is told"),
    )
    add_options(parser, NAME)
    add_book(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write the table; the drawing is checked first: signs that are missing are ordered too."""
    from app.drawing.title_block import judged_by, title_fields
    from app.handover.documents.parts import wanted_of
    from app.handover.labels.signs import signs
    from app.handover.parts.writing import write_parts
    from app.own_rules import heard
    from app.paper.files import lacking
    from engine.books import load
    from engine.check import check
    from engine.study import Study

    target = output(arguments.output, ENDINGS, arguments.file)
    snapshot = opened(arguments.file).installation.snapshot()
    before = opened(arguments.since).installation.snapshot() if arguments.since else None
    book = book_for(arguments.book, arguments.file, snapshot)
    study = Study(snapshot, load(book))
    result = check(snapshot, study=study, own=heard(snapshot, book))
    fields = judged_by(title_fields(snapshot), result)
    missing = signs(study, result, only_new=True)
    boxes = write_parts(snapshot, target, fields, wanted_of(arguments), before, missing)
    if boxes:
        say(lacking(target, boxes))
    print(_("{path} written").format(path=target))
    return 0
