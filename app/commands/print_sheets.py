"""`linewright print FILE -o out.pdf`: the drawing set, a cover and every sheet with its findings in the margin.

Printing always checks first.
PDF holds all sheets; SVG, PNG and DXF are one file a sheet.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import NamedTuple

from app.commands.documents import SIZES, a_dpi, a_size, add_tile
from app.commands.opening import CommandError, add_book, book_for, opened, output, say
from app.drawing.squares.which import WHICH
from app.drawing.whole.in_view import VIEWS
from app.handover.drawings.larger import larger_sheets
from engine.check import CheckResult, check
from engine.files.issues import home
from engine.installation.model import Installation, Snapshot
from engine.words import N_, _, ngettext

__all__ = ["HELP", "NAME", "Printed", "add_arguments", "run", "write_sheets"]

NAME = "print"
HELP = N_("print the drawing with its findings in the margin (PDF, SVG, PNG, DXF)")
ENDINGS = (".pdf", ".svg", ".png", ".dxf")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, output, paper, book."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    parser.add_argument("-o", "--output", required=True, metavar="OUT", help=_(
        "file to write: .pdf, or .svg, .png, .dxf with one file a sheet, numbered"
    ))  # fmt: skip
    parser.add_argument(
        "--size", type=a_size, metavar="SIZE", help=_(
            "paper, instead of each sheet's own: {sizes}; refused where something would not fit it"
        ).format(sizes=", ".join(SIZES))
    )  # fmt: skip
    parser.add_argument("--lay-out", action="store_true", help=_(
        "draw every sheet anew for that paper; what does not fit is printed on the next larger and said so"
    ))  # fmt: skip
    parser.add_argument("--dpi", type=a_dpi, default=150, metavar="N", help=_("dots per inch of PNG (150)"))
    add_tile(parser)
    parser.add_argument("--mono", action="store_true", help=_("black and grey instead of colours"))
    parser.add_argument(
        "--since", metavar="OLD", help=_("the drawing as last issued: what has changed since is clouded")
    )
    parser.add_argument("--view", choices=VIEWS, default="all", help=_(
        "the boat before, during or after the work, or only what is existing, new, to remove, by others or spare"
    ))  # fmt: skip
    parser.add_argument(
        "--underlay", action="store_true", help=_("print the pictures under the sheets too, dimmed (PDF and PNG)")
    )
    parser.add_argument("--deficiencies", choices=WHICH, default="all", help=_(
        "deficiencies of surveys in the margin: all of them, those that are open, or none"
    ))  # fmt: skip
    add_book(parser)


def run(arguments: argparse.Namespace) -> int:
    """Check, then print. What is found is in the margin, not in the exit code."""
    target = output(arguments.output, ENDINGS, arguments.file)
    if target.suffix.lower() == ".dxf" and arguments.tile:
        raise CommandError(_("a DXF holds each sheet whole; --tile is for PDF, SVG and PNG"))
    installation = opened(arguments.file).installation
    book = book_for(arguments.book, arguments.file, installation.snapshot())
    before = opened(arguments.since).installation.snapshot() if arguments.since else None
    printed = write_sheets(
        installation,
        target,
        book,
        arguments.size,
        dpi=arguments.dpi,
        tile=arguments.tile or "",
        mono=arguments.mono,
        before=before,
        view=arguments.view,
        anew=arguments.lay_out,
        folder=home(Path(arguments.file)),
        underlay=arguments.underlay,
        deficiencies=arguments.deficiencies,
    )
    told = ngettext("{path} written: {pages} page", "{path} written: {pages} pages", printed.pages)
    if len(printed.files) > 1:
        told = _("{path} to {last} written: {pages} pages")
    first, last = printed.files[0], printed.files[-1].name
    print(f"{told.format(path=first, last=last, pages=printed.pages)} ({printed.result.summary()})")
    return 0


class Printed(NamedTuple):
    """What the check found, the number of pages, the files in order."""

    result: CheckResult
    pages: int
    files: tuple[Path, ...]


def write_sheets(
    installation: Installation,
    target: Path,
    book: str | None = None,
    size: str | None = None,
    *,
    dpi: int = 150,
    tile: str = "",
    mono: bool = False,
    before: Snapshot | None = None,
    view: str = "all",
    anew: bool = False,
    folder: Path | None = None,
    underlay: bool = False,
    deficiencies: str = "all",
) -> Printed:
    """Write the drawing set in the form of `target`; `tile`: the printer's paper that larger sheets are cut to.

    What has changed since `before` is clouded; `mono`: black and grey; `view`: before or after the work. A drawing
    without sheets is laid out for this print, and any other where `anew` says so; its file is not touched. `folder`:
    the drawing's, from which the names of pictures under its sheets are seen; `underlay`: all of these are printed;
    `deficiencies`: which of them stand in the margin.
    Raises `CommandError`.
    """
    from app.drawing.layout import lay_out
    from app.handover.drawings.asked_paper import asked_paper, first_of
    from app.handover.drawings.whole import drawing_set, is_empty
    from app.own_rules import heard
    from app.paper.files import about_of, lacking, not_of_this_set, page_files, write_files
    from app.paper.png import TooManyDots
    from app.paper.under import with_unders
    from engine.books import load as load_book
    from engine.edits import apply
    from engine.tracing.resting import with_resting

    wanted = size
    if not installation.ids("sheets"):
        wanted, anew = size or installation.snapshot().settings.sheet_size, True
        apply(installation, lay_out(installation.snapshot()))
    snapshot = installation.snapshot()
    result = with_resting(
        check(snapshot, book, own=heard(snapshot, book)), snapshot, load_book(book or snapshot.settings.book)
    )
    if is_empty(snapshot):
        raise CommandError(_("nothing is drawn: there is no equipment to print"))
    fitted = asked_paper(snapshot, size, anew)
    if fitted.lacking and not tile:
        raise CommandError(
            _("{what}; --tile {size} cuts each sheet into pages of it, --lay-out draws it anew").format(
                what=first_of(fitted.lacking), size=size
            )
        )
    if fitted.lacking:
        wanted = None
        for line in fitted.lacking:
            say(line)
    sheets = drawing_set(
        fitted.snapshot, result, size=fitted.size, before=before, mono=mono, view=view, deficiencies=deficiencies
    )
    sheets, told = with_unders(sheets, snapshot, folder, target.suffix.lower(), every=underlay, grey=mono)
    made = sheets
    if tile:
        from app.paper.tiling import tiled

        made = tiled(sheets, tile)
    about = about_of(snapshot, snapshot.title_block.title or _("Drawing set"))
    try:
        written, missing = write_files(page_files(made, target.suffix.lower(), target.stem, about, dpi), target)
    except TooManyDots as fault:
        raise CommandError(str(fault)) from None
    for line in (*larger_sheets(sheets, wanted), *told):
        say(line)
    if missing:
        say(lacking(target, missing))
    if others := not_of_this_set(target, written):
        say(others)
    return Printed(result, len(made), written)
