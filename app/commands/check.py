"""`linewright check FILE...`: judge drawings and say what is wrong, what is waived and what could not be judged."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence

from app.commands.checking.fixes import add_fix_list, run_fix_list
from app.commands.checking.record import add_record, may_record, record
from app.commands.checking.since import add_since, run_since
from app.commands.checking.why import add_why, run_why
from app.commands.opening import CommandError, add_book, book_for, opened, say
from app.own_rules import heard
from engine.books import BookError, load
from engine.check import CheckResult, check
from engine.files.errors import FileError
from engine.findings import WORDS
from engine.installation.model import Snapshot
from engine.tracing.assumed import has_assumed
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "number", "one_of", "run"]

NAME = "check"
HELP = N_("judge drawings: findings, waivers, what could not be judged")
FORMATS = ("text", "json", "sarif")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Files, book, format, and what counts as failing."""
    parser.add_argument("files", nargs="+", metavar="FILE", help=_("drawing file"))
    add_book(parser)
    parser.add_argument(
        "--format", type=one_of(FORMATS), default="text", metavar="FORMAT", help=_("text, json or sarif (text)")
    )
    parser.add_argument(
        "--fail-on",
        type=one_of(WORDS),
        default="warning",
        metavar="WORD",
        help=_("exit 1 from this word up: danger, warning, caution or notice (warning)"),
    )
    parser.add_argument(
        "--allow-unknown", action="store_true", help=_("what could not be judged does not count as failing")
    )
    parser.add_argument(
        "--budget",
        type=number,
        metavar="N",
        help=_("conditions a search over switch positions may look at before it says: not decided (20000)"),
    )
    add_since(parser)
    add_fix_list(parser)
    add_why(parser)
    add_record(parser)


def one_of(choices: Sequence[str]) -> Callable[[str], str]:
    """A checker for argparse whose message says what was expected and found."""

    def chosen(text: str) -> str:
        if text not in choices:
            raise argparse.ArgumentTypeError(
                _("expected one of {choices}, found {text!r}").format(choices=", ".join(choices), text=text)
            )
        return text

    return chosen


def number(text: str) -> int:
    """A whole number above 0, as an argument."""
    if not text.isdigit() or int(text) == 0:
        raise argparse.ArgumentTypeError(_("{text!r} is not a whole number above 0").format(text=text))
    return int(text)


def run(arguments: argparse.Namespace) -> int:
    """Judge every file; the exit code is the worst of them. A file that cannot be read does not hide the others."""
    may_record(arguments)
    if arguments.since:
        return run_since(arguments)
    if arguments.fix_list:
        return run_fix_list(arguments)
    if arguments.why:
        return run_why(arguments)
    judged: list[tuple[str, Snapshot, CheckResult]] = []
    worst = 0
    for file in arguments.files:
        try:
            drawing = opened(file)
            installation = drawing.installation
            snapshot = installation.snapshot()
            book = book_for(arguments.book, file, snapshot)
        except (BookError, FileError) as fault:
            say(f"linewright: {fault}")
            worst = 2
            continue
        proving = arguments.format != "text"
        own = heard(snapshot, book, proving)
        study = None
        if arguments.budget:
            from engine.study import Study

            study = Study(snapshot, load(book), proving)
            study.budget = arguments.budget
        result = check(snapshot, book, proving=proving, own=own, study=study)
        if has_assumed(snapshot):
            from engine.tracing.resting import with_resting

            result = with_resting(result, snapshot, load(book), arguments.budget or 0)
        if arguments.record:
            try:
                record(file, installation, result, drawing.sha256)
            except (CommandError, FileError) as fault:  # it is judged all the same
                say(f"linewright: {fault}")
                worst = 2
        judged.append((file, snapshot, result))
        worst = max(worst, int(result.fails(arguments.fail_on, arguments.allow_unknown)))
    _write(judged, arguments.format, len(arguments.files) > 1)
    return worst


def _write(judged: list[tuple[str, Snapshot, CheckResult]], form: str, several: bool) -> None:
    if form == "text":
        from app.text_report import full_report, width_of

        width = width_of(sys.stdout)
        print("\n\n".join(full_report(file, snapshot, result, width) for file, snapshot, result in judged))
        return
    from engine.report import as_json, as_sarif, dumps

    if form == "sarif":
        document = as_sarif([(file, result) for file, _snapshot, result in judged])
        sys.stdout.write(dumps(document).decode())
    elif judged or several:
        reports = [as_json(result, file) for file, _snapshot, result in judged]
        # one file: its object; several: a list of them, also where some could not be read
        sys.stdout.write(dumps(reports if several else reports[0]).decode())
