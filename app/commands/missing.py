"""`linewright missing FILE...`: which facts to go and read aboard, in the order one walks, and why."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from app.commands.check import one_of
from app.commands.opening import CommandError, add_book, book_for, opened, output, say
from engine.files.errors import FileError
from engine.findings import WORDS
from engine.words import N_, _

if TYPE_CHECKING:
    from engine.check import CheckResult
    from engine.installation.model import Snapshot
    from engine.missing import Missing

    _Judged: TypeAlias = tuple[str, Snapshot, CheckResult, Missing]

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "missing"
HELP = N_("list the facts to go and read aboard, place by place, with the rules each would let judge")
FORMATS = ("text", "json", "csv")
ENDINGS = (".pdf", ".xlsx", ".csv", ".json")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Files, book, format, a file to write."""
    parser.epilog = _("Exit code: 0 nothing is missing, 1 something is missing or could not be judged, 2 bad input.")
    parser.add_argument("files", nargs="+", metavar="FILE", help=_("drawing file"))
    add_book(parser)
    parser.add_argument(
        "--format", type=one_of(FORMATS), default="text", metavar="FORMAT", help=_("text, json or csv (text)")
    )
    parser.add_argument(
        "--word",
        type=one_of(WORDS),
        default="notice",
        metavar="WORD",
        help=_("only what rules of this word or a worse one lack: danger, warning, caution or notice (notice)"),
    )
    parser.add_argument(
        "--assumed",
        action="store_true",
        help=_("instead, the values that are recorded and only assumed: they are still to be read"),
    )
    parser.add_argument(
        "-o",
        "--output",
        metavar="OUT",
        help=_("write the list of one drawing to a file, to take along: .pdf, .xlsx, .csv or .json"),
    )


def run(arguments: argparse.Namespace) -> int:
    """Judge, list; the exit code is the worst of all files. A file that cannot be read does not hide the others."""
    from app.own_rules import heard
    from engine.check import check
    from engine.missing import assumed_facts, missing_facts
    from engine.tracing import without_assumed

    several = len(arguments.files) > 1
    if arguments.output and several:
        raise CommandError(_("-o writes the list of one drawing, {n} are named").format(n=len(arguments.files)))
    target = output(arguments.output, ENDINGS, arguments.files[0]) if arguments.output else None
    judged: list[_Judged] = []
    worst = 0
    for file in arguments.files:
        try:
            snapshot = opened(file).installation.snapshot()
        except FileError as fault:
            say(f"linewright: {fault}")
            worst = 2
            continue
        book = book_for(arguments.book, file, snapshot)
        if arguments.assumed:
            bare = without_assumed(snapshot)
            result = check(bare, book)
            missing = assumed_facts(result, bare, snapshot).down_to(arguments.word)
        else:
            result = check(snapshot, book, own=heard(snapshot, book))
            missing = missing_facts(result, snapshot).down_to(arguments.word)
        judged.append((file, snapshot, result, missing))
        worst = max(worst, int(bool(missing)))
    if target is not None:
        for _file, snapshot, result, missing in judged:
            _write_file(snapshot, result, missing, target)
    elif judged or several:
        _print(judged, arguments.format, several)
    return worst


def _write_file(snapshot: Snapshot, result: CheckResult, missing: Missing, target: Path) -> None:
    from app.missing_report import count_words, write_list
    from app.paper.files import lacking

    boxes = write_list(snapshot, result, missing, target)
    if boxes:
        say(lacking(target, boxes))
    print(_("{path} written: {count}").format(path=target, count=count_words(missing)))


def _print(judged: list[_Judged], form: str, several: bool) -> None:
    from app.missing_report import as_json, as_text, csv_text

    if form == "text":
        from app.text_report import output_width

        width = output_width()
        print("\n\n".join(as_text(*one, width) for one in judged))
    elif form == "csv":
        sys.stdout.write("\n".join(csv_text(missing) for _file, _snapshot, _result, missing in judged))
    else:
        from engine.report import dumps

        made = [as_json(file, result, missing) for file, _snapshot, result, missing in judged]
        sys.stdout.write(dumps(made if several else made[0]).decode())
