"""`linewright walk FILE`: everything to be looked at aboard, place by place, or what a survey still leaves open."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from app.commands.check import one_of
from app.commands.opening import CommandError, opened, output, say
from engine.words import N_, _

if TYPE_CHECKING:
    from engine.installation import Snapshot

__all__ = ["HELP", "NAME", "add_arguments", "run", "survey_named"]

NAME = "walk"
HELP = N_("list everything to be looked at aboard, place by place, with boxes to tick; or what a survey leaves open")
FORMATS = ("text", "json", "csv")
ENDINGS = (".pdf", ".xlsx", ".csv", ".json")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, survey, format, a file to write."""
    parser.epilog = _(
        "Exit code: 0 listed, and nothing is left open where a survey is named; 1 the survey named leaves something "
        "open; 2 bad input."
    )
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    parser.add_argument(
        "--survey", metavar="NAME", help=_("only what the survey of this name or date leaves open; last: the last one")
    )
    parser.add_argument(
        "--format", type=one_of(FORMATS), default="text", metavar="FORMAT", help=_("text, json or csv (text)")
    )
    parser.add_argument(
        "-o", "--output", metavar="OUT", help=_("write the list to a file, to take along: .pdf, .xlsx, .csv or .json")
    )


def run(arguments: argparse.Namespace) -> int:
    """List; 1 where the survey named leaves something open."""
    from app.walking.listing import as_json, as_text, count_words, csv_text, listed, write_list

    target = output(arguments.output, ENDINGS, arguments.file) if arguments.output else None
    snapshot = opened(arguments.file).installation.snapshot()
    survey = survey_named(snapshot, arguments.survey) if arguments.survey is not None else ""
    made = listed(snapshot, survey)
    if target is not None:
        boxes = write_list(made, target)
        if boxes:
            from app.paper.files import lacking

            say(lacking(target, boxes))
        print(_("{path} written: {count}").format(path=target, count=count_words(made)))
    elif arguments.format == "text":
        from app.text_report import output_width

        print(as_text(arguments.file, made, output_width()))
    elif arguments.format == "csv":
        sys.stdout.write(csv_text(made))
    else:
        from engine.report import dumps

        sys.stdout.write(dumps(as_json(arguments.file, made)).decode())
    return int(made.is_open)


def survey_named(snapshot: Snapshot, name: str) -> str:
    """Id of a survey by its name, its date or its id; `last` the one of the latest date. Raises `CommandError`."""
    from engine.naming import natural, title_of

    surveys = snapshot.surveys
    if not surveys:
        raise CommandError(_("no survey is recorded in this drawing"))
    if name in surveys:
        return name
    found = [item for item, survey in surveys.items() if name and name in (survey.name, survey.date)]
    if not found and name == "last":
        return max(surveys, key=lambda item: (surveys[item].date, natural(item)))
    if len(found) != 1:
        names = ", ".join(f"{title_of(snapshot, 'surveys', item)} ({item})" for item in sorted(surveys, key=natural))
        told = _("there are several surveys {name!r}: {names}") if found else _("no survey is called {name!r}: {names}")
        raise CommandError(told.format(name=name, names=names))
    return found[0]
