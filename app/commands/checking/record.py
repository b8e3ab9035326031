"""`check --record`: the drawing keeps which book and edition it was judged by, when somebody asks for it.

With `--book` that book becomes the drawing's own; a yard's then has to stand beside the drawing.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from app.commands.opening import CommandError, held, say
from engine.books import ENDING
from engine.check import CheckResult
from engine.edits import SetFields, apply
from engine.files.drawing import save
from engine.installation.model import Installation
from engine.judged_by import recorded_as
from engine.words import _

__all__ = ["add_record", "may_record", "record"]


def add_record(parser: argparse.ArgumentParser) -> None:
    """`--record`."""
    parser.add_argument(
        "--record",
        action="store_true",
        help=_("write into the drawing which book and edition it was judged by, --book making that book its own"),
    )


def may_record(arguments: argparse.Namespace) -> None:
    """Whether it can be done as asked. Raises `CommandError`."""
    if not arguments.record:
        return
    for file in arguments.files if arguments.book and arguments.book.endswith(ENDING) else ():
        if Path(file).absolute().parent != Path(arguments.book).parent:
            raise CommandError(
                _("{book} does not stand beside {file}, where a drawing's own book is looked for").format(
                    book=Path(arguments.book).name, file=file
                )
            )
    for name, given in (("--since", arguments.since), ("--fix-list", arguments.fix_list), ("--why", arguments.why)):
        if given:
            raise CommandError(_("--record is not used with {option}").format(option=name))


def record(file: str, installation: Installation, result: CheckResult, over: str) -> None:
    """Write it, unless the drawing says so already; one line of what was done. `over`: SHA-256 of what was judged.

    Raises `FileError`, also where another has saved it since, and `CommandError` where somebody has it open.
    """
    wanted, settings = recorded_as(result), installation.lone["settings"]
    if (settings.book, settings.book_edition) == (result.book, wanted):
        return
    fields = (("book", result.book), ("book_edition", wanted))
    apply(installation, SetFields("settings", "settings", fields, words=_("record the book it was judged by")))
    with held(Path(file)):
        save(installation, file, over)
    say(_("{file}: recorded that it was judged by {book}").format(file=file, book=wanted))
