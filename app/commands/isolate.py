"""`linewright isolate FILE DESIGNATION`: how to make something dead from every source."""

from __future__ import annotations

import argparse

from app.commands.figures import add_common, studied, write, write_json
from app.commands.opening import output, say
from app.commands.size import named
from engine.words import N_, _, ngettext

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "isolate"
HELP = N_("how to make something dead from every source: what to open, in which order, where to lock and to prove")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, what to make dead, format, a page to write."""
    parser.epilog = _("Exit code: 0, 1 where something cannot be made dead or that is not decided, 2 bad input.")
    add_common(parser)
    parser.add_argument("designation", metavar="DESIGNATION", help=_("run or equipment to make dead"))
    parser.add_argument("-o", "--output", metavar="OUT", help=_("PDF file to write: a page to tick off aboard"))


def run(arguments: argparse.Namespace) -> int:
    """0: it can be made dead."""
    from engine.circuit.switching.isolating import isolate

    target = output(arguments.output, (".pdf",), arguments.file) if arguments.output else None
    study = studied(arguments)
    answers = tuple(isolate(study, item) for item in named(study.snapshot, arguments.designation))
    if target is not None:
        from app.paper.files import lacking
        from app.paper.isolation_pages import write_isolations

        written = write_isolations(study, answers, target)
        if written.missing_characters:
            say(lacking(target, written.missing_characters))
        pages = ngettext("{path} written: {pages} page", "{path} written: {pages} pages", written.pages)
        write(pages.format(path=target, pages=written.pages))
    elif arguments.format == "json":
        from engine.figures_json import isolation_object

        write_json([isolation_object(told, study.snapshot) for told in answers], several=len(answers) > 1)
    else:
        from app.figures.isolation_report import isolation_report
        from app.text_report import output_width

        write(isolation_report(arguments.file, study, answers, output_width()))
    return int(any(told.remains or told.undecided for told in answers))
