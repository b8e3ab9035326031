"""`linewright check --fix-list FILE`: the edits offered for each finding. Nothing is changed."""

from __future__ import annotations

import argparse
import sys

from app.commands.opening import CommandError, book_for, opened, say
from engine.files.errors import FileError
from engine.words import _

__all__ = ["add_fix_list", "run_fix_list"]


def add_fix_list(parser: argparse.ArgumentParser) -> None:
    """`--fix-list`."""
    parser.add_argument(
        "--fix-list",
        action="store_true",
        help=_(
            "tell the edits of the drawing that put each finding right, numbered; each was tried on a copy, nothing is "
            "changed; in json they stand beside each finding"
        ),
    )


def run_fix_list(arguments: argparse.Namespace) -> int:
    """Judge every file and tell what is offered; the exit code is that of the judgement."""
    if arguments.format not in ("text", "json"):
        raise CommandError(_("--fix-list is told as text or json, not as {form}").format(form=arguments.format))
    from app.fix_report import edits_by_key, fix_list, offers
    from app.own_rules import heard
    from app.text_report import output_width
    from engine.books import load
    from engine.check import check
    from engine.report import as_json, dumps
    from engine.study import Study

    texts: list[str] = []
    reports: list[dict[str, object]] = []
    worst = 0
    for file in arguments.files:
        try:
            snapshot = opened(file).installation.snapshot()
        except FileError as fault:
            say(f"linewright: {fault}")
            worst = 2
            continue
        book = book_for(arguments.book, file, snapshot)
        study = Study(snapshot, load(book))
        result = check(snapshot, study=study, own=heard(snapshot, book))
        made = offers(study, result)
        texts.append(fix_list(file, made, output_width()))
        reports.append(as_json(result, file, edits_by_key(made)))
        worst = max(worst, int(result.fails(arguments.fail_on, arguments.allow_unknown)))
    if arguments.format == "text":
        print("\n\n".join(texts))
    elif reports or len(arguments.files) > 1:
        sys.stdout.write(dumps(reports if len(arguments.files) > 1 else reports[0]).decode())
    return worst
