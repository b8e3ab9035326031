"""`linewright trace FILE`: which ends are still to be traced aboard, place by place."""

from __future__ import annotations

import argparse
import sys

from app.commands.check import one_of
from app.commands.opening import opened, output, say
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "trace"
HELP = N_("list the ends still to be traced aboard: open ends, ends not seen, terminals nothing arrives at")
FORMATS = ("text", "json", "csv")
ENDINGS = (".pdf", ".xlsx", ".csv", ".json")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The drawing, the format, a file to write."""
    parser.epilog = _("Exit code: 0 nothing is to be traced, 1 something is, 2 bad input.")
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    parser.add_argument(
        "--format", type=one_of(FORMATS), default="text", metavar="FORMAT", help=_("text, json or csv (text)")
    )
    parser.add_argument(
        "-o",
        "--output",
        metavar="OUT",
        help=_("write the list to a file, to take along: .pdf, .xlsx, .csv or .json"),
    )


def run(arguments: argparse.Namespace) -> int:
    """List; 1 where something is to be traced."""
    from app.tracing_report import as_json, as_text, count_words, csv_text, write_list
    from engine.tracing import to_be_traced

    target = output(arguments.output, ENDINGS, arguments.file) if arguments.output else None
    snapshot = opened(arguments.file).installation.snapshot()
    places = to_be_traced(snapshot)
    if target is not None:
        boxes = write_list(snapshot, places, target)
        if boxes:
            from app.paper.files import lacking

            say(lacking(target, boxes))
        print(_("{path} written: {count}").format(path=target, count=count_words(snapshot, places)))
    elif arguments.format == "json":
        from engine.report import dumps

        sys.stdout.write(dumps(as_json(arguments.file, snapshot, places)).decode())
    elif arguments.format == "csv":
        sys.stdout.write(csv_text(places))
    else:
        from app.text_report import output_width

        print(as_text(arguments.file, snapshot, places, output_width()))
    return int(bool(places))
