"""`linewright check --why DESIGNATION FILE`: what every rule says of a thing, and why it says nothing."""

from __future__ import annotations

import argparse
import sys

from app.commands.opening import CommandError, book_for, opened
from engine.installation.model import Snapshot
from engine.words import _

__all__ = ["add_why", "run_why"]


def add_why(parser: argparse.ArgumentParser) -> None:
    """`--why DESIGNATION`, as often as wanted."""
    parser.add_argument(
        "--why",
        action="append",
        metavar="DESIGNATION",
        help=_(
            "tell of this piece of equipment or run, rule by rule: found, not judged and what is missing, passed and "
            "with what margin, not applicable and why; may be given several times"
        ),
    )


def run_why(arguments: argparse.Namespace) -> int:
    """Judge one drawing and tell of the things named; the exit code is that of the judgement.

    Raises `CommandError`, `FileError`.
    """
    if len(arguments.files) != 1:
        raise CommandError(_("--why tells of one drawing, {n} are named").format(n=len(arguments.files)))
    if arguments.format not in ("text", "json"):
        raise CommandError(_("--why is told as text or json, not as {form}").format(form=arguments.format))
    from app.own_rules import heard
    from app.why_report import as_json, as_text
    from engine.check import check
    from engine.report import as_json as report
    from engine.report import dumps
    from engine.why import why

    (file,) = arguments.files
    snapshot = opened(file).installation.snapshot()
    items = _items(snapshot, file, arguments.why)
    book = book_for(arguments.book, file, snapshot)
    result = check(snapshot, book, proving=True, own=heard(snapshot, book, proving=True))
    told = [(item, why(result, snapshot, [item])) for item in items]
    if arguments.format == "text":
        from app.text_report import cautions, output_width

        width = output_width()
        print(f"{as_text(file, snapshot, told, width)}\n\n{cautions(width)}")
    else:
        sys.stdout.write(dumps(report(result, file) | {"why": as_json(snapshot, told)}).decode())
    return int(result.fails(arguments.fail_on, arguments.allow_unknown))


def _items(snapshot: Snapshot, file: str, designations: list[str]) -> list[str]:
    from engine.why import called

    items: dict[str, None] = {}
    for designation in designations:
        found = called(snapshot, designation)
        if not found:
            raise CommandError(
                _("{file}: nothing on the drawing is called {designation!r}").format(file=file, designation=designation)
            )
        items.update(dict.fromkeys(found))
    return list(items)
