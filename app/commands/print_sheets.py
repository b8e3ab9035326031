"""`linewright print FILE -o out.pdf`: every sheet with its findings in the margin. Printing always checks first."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from app.commands.opening import CommandError, add_book, book_for, opened, output, say
from engine.check import CheckResult, check
from engine.installation.model import Installation
from engine.picture import Picture
from engine.words import N_, _, ngettext

__all__ = ["HELP", "NAME", "add_arguments", "run", "write_sheets"]

NAME = "print"
HELP = N_("print the drawing with its findings in the margin (PDF)")
SIZES = ("A4", "A3", "A2", "A1", "Letter", "Tabloid", "ANSI C", "ANSI D")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, output, paper, book."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    parser.add_argument("-o", "--output", required=True, metavar="OUT", help=_("PDF file to write"))
    parser.add_argument(
        "--size", type=_size, metavar="SIZE", help=_(
            "paper, instead of each sheet's own: {sizes}; what does not fit is printed on the next larger and said so"
        ).format(sizes=", ".join(SIZES))
    )  # fmt: skip
    add_book(parser)


def _size(text: str) -> str:
    for size in SIZES:
        if size.lower() == text.lower():
            return size
    raise argparse.ArgumentTypeError(
        _("expected one of {sizes}, found {text!r}").format(sizes=", ".join(SIZES), text=text)
    )


def run(arguments: argparse.Namespace) -> int:
    """Check, then print. What is found is in the margin, not in the exit code."""
    target = output(arguments.output, (".pdf",), arguments.file)
    installation = opened(arguments.file).installation
    book = book_for(arguments.book, arguments.file, installation.snapshot())
    result, pages = write_sheets(installation, target, book, arguments.size)
    told = ngettext("{path} written: {pages} page", "{path} written: {pages} pages", pages)
    print(f"{told.format(path=target, pages=pages)} ({result.summary()})")
    return 0


def write_sheets(
    installation: Installation, target: Path, book: str | None = None, size: str | None = None
) -> tuple[CheckResult, int]:
    """Write the drawing set; returns what the check found and the number of pages.

    A drawing without sheets is laid out for this print; its file is not touched. Raises `CommandError`.
    """
    from app.drawing.layout import lay_out
    from app.drawing.sheets import pictures
    from app.own_rules import heard
    from app.paper.pdf import write_pictures
    from engine.edits import apply

    wanted = size
    if not installation.ids("sheets"):
        wanted = size or installation.snapshot().settings.sheet_size
        apply(installation, lay_out(installation.snapshot()))
    snapshot = installation.snapshot()
    result = check(snapshot, book, own=heard(snapshot, book))
    made = pictures(snapshot, result, size=size)
    if not made:
        raise CommandError(_("nothing is drawn: there is no equipment to print"))
    block = snapshot.title_block
    written = write_pictures(
        made, target, title=block.title or snapshot.vessel.name, author=block.creator, language=block.language
    )
    for line in larger_sheets(made, wanted):
        say(line)
    if written.missing_characters:
        say(
            _("{path}: the font lacks {characters}; boxes stand in their place").format(
                path=target, characters=written.missing_characters
            )
        )
    return result, written.pages


def larger_sheets(made: Sequence[Picture], wanted: str | None) -> list[str]:
    """A line for every sheet that is of another size than wanted; none where each sheet has its own."""
    from app.drawing.frame import SIZES as EVERY

    names = {size: name for name, size in EVERY.items()}
    told = _("sheet {n} is {size}: {title} does not fit {wanted}")
    return [
        told.format(n=n, size=names[picture.width, picture.height], title=picture.title, wanted=wanted)
        for n, picture in enumerate(made, 1)
        if wanted is not None and (picture.width, picture.height) != EVERY[wanted]
    ]
