"""`linewright failures FILE`: from what each essential load can still be fed when something has failed."""

from __future__ import annotations

import argparse

from app.commands.check import number
from app.commands.figures import add_common, studied, write, write_json
from app.commands.opening import output, say
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "failures"
HELP = N_("from what each essential load can still be fed when something has failed, and in which switch positions")
ENDINGS = (".pdf", ".xlsx", ".csv", ".json")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, format, how much, a file to write."""
    parser.epilog = _("Exit code: 0, 1 where something is not decided or a field is not recorded, 2 bad input.")
    add_common(parser)
    parser.add_argument(
        "--all", action="store_true", help=_("also the failure of each device that one load alone rests on")
    )
    parser.add_argument(
        "--budget", type=number, metavar="N", help=_("conditions a search may look at before it gives up (20000)")
    )
    parser.add_argument(
        "-o", "--output", metavar="OUT", help=_("write the table to a file: .pdf, .xlsx, .csv or .json")
    )


def run(arguments: argparse.Namespace) -> int:
    """Print or write the table."""
    target = output(arguments.output, ENDINGS, arguments.file) if arguments.output else None
    study = studied(arguments)
    if arguments.budget:
        study.budget = arguments.budget
    if arguments.all:
        from engine.circuit.switching.failing import failure_table

        table = failure_table(study.snapshot, study.feeding, everything=True)
    else:
        table = study.failure_table
    if target is not None:
        from app.figures.failure_report import write_failures
        from app.paper.files import lacking

        boxes = write_failures(study, table, target)
        if boxes:
            say(lacking(target, boxes))
        write(_("{path} written").format(path=target))
    elif arguments.format == "json":
        from engine.figures_json import failures_object

        write_json([failures_object(table)], several=False)
    else:
        from app.figures.failure_report import as_text
        from app.text_report import output_width

        write(as_text(arguments.file, study, table, output_width()))
    return int(table.is_undecided or any(failure.missing for failure in table.failures))
