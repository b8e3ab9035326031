"""What the commands that write documents of the hand-over pack have in common: the job, its options, the writing."""

from __future__ import annotations

import argparse
import importlib
from typing import TYPE_CHECKING, Any

from app.commands.opening import CommandError, add_book, book_for, opened, output, say
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.handover.job import Job

__all__ = ["SIZES", "a_dpi", "a_size", "add_common", "add_options", "add_tile", "job_for", "write"]

SIZES = ("A4", "A3", "A2", "A1", "Letter", "Tabloid", "ANSI C", "ANSI D")
TILE_SIZES = ("A4", "A3", "Letter", "Tabloid")  # as in app.paper.tiling, which is heavy


def add_common(parser: argparse.ArgumentParser, written_as: str = "") -> None:
    """FILE, -o, --book, --since, --size, --mono. `written_as`: what OUT may end in, in words."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    parser.add_argument("-o", "--output", required=True, metavar="OUT", help=written_as or _("file to write"))
    parser.add_argument(
        "--since",
        metavar="OLD",
        help=_("the drawing as last issued: what was added, changed and removed since is told"),
    )
    parser.add_argument(
        "--size",
        type=a_size,
        metavar="SIZE",
        help=_("paper, instead of each sheet's own: {sizes}").format(sizes=", ".join(SIZES)),
    )
    parser.add_argument("--mono", action="store_true", help=_("black and grey instead of colours"))
    parser.add_argument("--dpi", type=a_dpi, default=150, metavar="N", help=_("dots per inch of PNG (150)"))
    add_tile(parser)
    add_book(parser)


def add_tile(parser: argparse.ArgumentParser) -> None:
    """--tile: the printer's paper."""
    parser.add_argument(
        "--tile",
        type=a_tile,
        metavar="SIZE",
        help=_("cut larger sheets into pages of this paper at true size, with cut marks: {sizes}").format(
            sizes=", ".join(TILE_SIZES)
        ),
    )


def a_tile(text: str) -> str:
    """The paper of a printer as an argument."""
    return _one_of(TILE_SIZES, text)


def a_size(text: str) -> str:
    """A paper size as an argument."""
    return _one_of(SIZES, text)


def _one_of(sizes: tuple[str, ...], text: str) -> str:
    for size in sizes:
        if size.lower() == text.lower():
            return size
    raise argparse.ArgumentTypeError(
        _("expected one of {sizes}, found {text!r}").format(sizes=", ".join(sizes), text=text)
    )


def a_dpi(text: str) -> int:
    """Dots per inch as an argument."""
    if not text.isdecimal() or not 20 <= int(text) <= 1200:
        raise argparse.ArgumentTypeError(_("expected 20 to 1200, found {text!r}").format(text=text))
    return int(text)


def add_options(parser: argparse.ArgumentParser, name: str) -> None:
    """What one document may be asked besides."""
    add = getattr(_module(name), "add_arguments", None)
    if add is not None:
        add(parser)


def _module(name: str) -> Any:
    return importlib.import_module(f"app.handover.documents.{name.replace('-', '_')}")


def job_for(arguments: argparse.Namespace, names: list[str]) -> Job:
    """The drawing judged, with what was asked of the documents `names`. Raises `FileError`, `BookError`."""
    from pathlib import Path

    from app.drawing.added.underlay import with_whole_paths
    from app.handover.job import Job, Options
    from app.handover.shortened import shortened, shortened_words
    from app.own_rules import heard
    from engine.files.issues import home

    folder = home(Path(arguments.file))
    snapshot, cut = shortened(with_whole_paths(opened(arguments.file).installation.snapshot(), folder))
    if cut:
        say(shortened_words(cut))
    before = shortened(opened(arguments.since).installation.snapshot())[0] if arguments.since else None
    book = book_for(arguments.book, arguments.file, snapshot)
    options = Options(size=arguments.size or "", mono=arguments.mono, dpi=arguments.dpi, tile=arguments.tile or "")
    for name in names:
        asked = getattr(_module(name), "asked", None)
        if asked is not None:
            options = asked(arguments, options)
    return Job.of(
        snapshot,
        book=book,
        own=heard(snapshot, book, proving=True),
        file_name=Path(arguments.file).name,
        before=before,
        options=options,
    )


def write(arguments: argparse.Namespace, name: str, others: tuple[str, ...] = ()) -> int:
    """Make the document `name` and write it by the ending of the output; returns the exit code.

    `others`: documents whose options are asked for too.
    """
    from app.handover.documents import documents
    from app.handover.writing import ENDINGS, Unwritable, write_document

    target = output(arguments.output, ENDINGS, arguments.file)
    job = job_for(arguments, [*others, name])
    document = documents()[name].make(job)
    try:
        written = write_document(document, target, job, say)
    except Unwritable as fault:
        raise CommandError(str(fault)) from None
    pages = len(document.pictures)
    if target.suffix.lower() == ".pdf":
        told = ngettext("{path} written: {pages} page", "{path} written: {pages} pages", pages)
        print(told.format(path=target, pages=pages))
    else:
        for path in written:
            print(_("{path} written").format(path=path))
    return 0
