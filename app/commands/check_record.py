"""`check --record`: the drawing keeps which book and edition it was judged by, when somebody asks for it."""

from __future__ import annotations

import argparse

from app.commands.opening import CommandError, say
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
        help=_("write into the drawing which book and edition it was judged by; nothing else in it changes"),
    )


def may_record(arguments: argparse.Namespace) -> None:
    """Only the drawing's own book is recorded. Raises `CommandError`."""
    if not arguments.record:
        return
    if arguments.book:
        raise CommandError(_("--record records the drawing's own book and is not used with --book"))
    for name, given in (("--since", arguments.since), ("--fix-list", arguments.fix_list), ("--why", arguments.why)):
        if given:
            raise CommandError(_("--record is not used with {option}").format(option=name))


def record(file: str, installation: Installation, result: CheckResult) -> None:
    """Write it, unless the drawing says so already; one line of what was done. Raises `FileError`."""
    wanted = recorded_as(result)
    if installation.lone["settings"].book_edition == wanted:
        return
    words = _("record the book it was judged by")
    apply(installation, SetFields("settings", "settings", (("book_edition", wanted),), words=words))
    save(installation, file)
    say(_("{file}: recorded that it was judged by {book}").format(file=file, book=wanted))
