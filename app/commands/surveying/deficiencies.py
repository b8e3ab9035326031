"""`linewright deficiencies FILE...`: what surveys noted, class A first, how each stands."""

from __future__ import annotations

import argparse
import sys

from app.commands.check import one_of
from app.commands.opening import opened, say
from engine.deficiencies import GRADES, STATUSES, is_open
from engine.files.errors import FileError
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "deficiencies"
HELP = N_("list the deficiencies that surveys noted, by class and how they stand")
FORMATS = ("text", "json", "csv")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Files, class, standing, format."""
    parser.epilog = _("Exit code: 0 no deficiency that is listed is open, 1 some are not closed, 2 bad input.")
    parser.add_argument("files", nargs="+", metavar="FILE", help=_("drawing file"))
    parser.add_argument(
        "--status",
        type=one_of((*(status.replace(" ", "-") for status in STATUSES), "not-closed")),
        metavar="STATUS",
        help=_("only those that are open, in-hand, closed, not-agreed, or not-closed: all but the closed ones"),
    )
    parser.add_argument("--class", dest="grade", type=one_of(GRADES), metavar="CLASS", help=_("only class A, B or C"))
    parser.add_argument("--survey", metavar="NAME", help=_("only those of the survey of this name or date"))
    parser.add_argument(
        "--format", type=one_of(FORMATS), default="text", metavar="FORMAT", help=_("text, json or csv (text)")
    )


def run(arguments: argparse.Namespace) -> int:
    """List; the exit code is the worst of all files. A file that cannot be read does not hide the others."""
    from app.deficiency_list import as_json, as_text, csv_text, listed

    status = (arguments.status or "").replace("-", " ")
    told = []
    worst = 0
    for file in arguments.files:
        try:
            snapshot = opened(file).installation.snapshot()
        except FileError as fault:
            say(f"linewright: {fault}")
            worst = 2
            continue
        rows = listed(snapshot, status, arguments.grade or "", arguments.survey or "")
        told.append((file, snapshot, rows))
        worst = max(worst, int(any(is_open(d) for _item, d in rows)))
    if not told:
        return worst
    if arguments.format == "text":
        from app.text_report import output_width

        print("\n\n".join(as_text(*one, output_width()) for one in told))
    elif arguments.format == "csv":
        sys.stdout.write("\n".join(csv_text(snapshot, rows) for _file, snapshot, rows in told))
    else:
        from engine.report import dumps

        made = [as_json(*one) for one in told]
        sys.stdout.write(dumps(made if len(arguments.files) > 1 else made[0]).decode())
    return worst
