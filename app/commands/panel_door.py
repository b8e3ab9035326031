"""`linewright panel-door FILE -o x.pdf`: cards for the back of a panel's door, at true size."""

from __future__ import annotations

import argparse

from app.commands.opening import CommandError, add_book, book_for, opened, output, say
from app.handover.panel_door.asking import a_size
from engine.words import N_, _, ngettext

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "panel-door"
HELP = N_("what a crew needs on the back of a panel's door, as cards of true size (PDF)")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, output, size, panel, mono, film, book."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    parser.add_argument("-o", "--output", required=True, metavar="OUT", help=_("PDF file to write"))
    parser.add_argument(
        "--size",
        dest="door_size",
        type=a_size,
        metavar="SIZE",
        help=_("size the cards are cut to: A6, A5, A4, A3, Letter, 200x150mm, 8x6in (A5)"),
    )
    parser.add_argument(
        "--enclosure",
        dest="door_enclosure",
        default="",
        metavar="NAME",
        help=_("the panel whose table the cards show (every panel's)"),
    )
    parser.add_argument("--mono", action="store_true", help=_("black and grey instead of colours"))
    parser.add_argument(
        "--film", dest="door_film", action="store_true", help=_("mirrored, for film read from the back")
    )
    add_book(parser)


def run(arguments: argparse.Namespace) -> int:
    """0: written."""
    from pathlib import Path

    from app.handover.documents.panel_door import asked, make
    from app.handover.job import Job, Options
    from app.handover.writing import write_document

    target = output(arguments.output, (".pdf",), arguments.file)
    snapshot = opened(arguments.file).installation.snapshot()
    book = book_for(arguments.book, arguments.file, snapshot)
    options = asked(arguments, Options(mono=arguments.mono))
    job = Job.of(snapshot, book=book, file_name=Path(arguments.file).name, options=options)
    wanted = " ".join(arguments.door_enclosure.split()).casefold()
    names = sorted({" ".join(record.name.split()) for record in snapshot.enclosures.values()})
    if wanted and wanted not in [name.casefold() for name in names]:
        raise CommandError(
            _("no enclosure is called {name!r}; there are: {names}").format(
                name=arguments.door_enclosure, names=", ".join(names) or _("none")
            )
        )
    document = make(job)
    write_document(document, target, job, say)
    pages = len(document.pictures)
    print(
        ngettext("{path} written: {count} card", "{path} written: {count} cards", pages).format(
            path=target, count=pages
        )
    )
    return 0
