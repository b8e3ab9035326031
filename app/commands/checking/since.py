"""`linewright check --since OLD FILE`: what is new since an earlier state of the drawing."""

from __future__ import annotations

import argparse
import sys

from app.commands.opening import CommandError, book_for, opened
from engine.words import _

__all__ = ["add_since", "run_since"]


def add_since(parser: argparse.ArgumentParser) -> None:
    """`--since OLD`."""
    parser.add_argument(
        "--since",
        metavar="OLD",
        help=_(
            "an earlier state of the drawing: tell what is new, what is as before and what is gone; exit 1 only where "
            "something new (or a finding whose word has become worse) counts as failing"
        ),
    )


def run_since(arguments: argparse.Namespace) -> int:
    """Judge both states by one book, the newer one's where none is named. Raises `CommandError`, `FileError`."""
    if len(arguments.files) != 1:
        raise CommandError(
            _("--since compares one drawing with an earlier state of it, {n} are named").format(n=len(arguments.files))
        )
    if arguments.format not in ("text", "json"):
        raise CommandError(_("--since is told as text or json, not as {form}").format(form=arguments.format))
    for asked, name in ((arguments.fix_list, "--fix-list"), (arguments.why, "--why")):
        if asked:
            raise CommandError(_("--since and {name} tell different things; ask for one of them").format(name=name))
    from app.own_rules import heard
    from engine.check import check
    from engine.since import counterparts, since

    (file,) = arguments.files
    before, after = (opened(path).installation.snapshot() for path in (arguments.since, file))
    book = book_for(arguments.book, file, after)
    result = check(after, book, own=heard(after, book))
    told = since(check(before, book, own=heard(before, book)), result, counterparts(before, after))
    if arguments.format == "text":
        from app.since_report import as_text
        from app.text_report import output_width

        print(as_text(file, arguments.since, after, result, told, output_width()))
    else:
        from app.since_report import as_json
        from engine.report import as_json as report
        from engine.report import dumps

        made = report(result, file) | {"since": as_json(arguments.since, told)}
        sys.stdout.write(dumps(made).decode())
    return int(told.fails(arguments.fail_on, arguments.allow_unknown))
