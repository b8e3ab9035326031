"""`linewright issue FILE --by NAME --text TEXT -o OUT`: the drawing issued, its designations locked."""

from __future__ import annotations

import argparse
from datetime import date

from app.commands.opening import add_copy, changeable, copy_to, opened
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "issue"
HELP = N_("issue the revision in hand: its day, by whom, what changed; designations are locked from then on")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The drawing, what is recorded, where to write."""
    add_copy(parser)
    parser.add_argument("--by", required=True, metavar="NAME", help=_("who issues it"))
    parser.add_argument("--text", default="", metavar="TEXT", help=_("what changed; what is recorded stays without it"))
    parser.add_argument("--date", metavar="YYYY-MM-DD", help=_("the day of issue; today without it"))
    parser.add_argument("--index", default="", metavar="INDEX", help=_("its index, where it is to be another"))
    parser.add_argument(
        "--since",
        metavar="OLD",
        help=_("the drawing as last issued: without --text what has changed since is recorded"),
    )


def run(arguments: argparse.Namespace) -> int:
    """Write the issued drawing; says what it is called and what was recorded."""
    from app.drawing.whole.changed_words import changed_words
    from engine.edits import apply
    from engine.edits.issuing import in_order, issue
    from engine.files.drawing import save

    target = copy_to(arguments)
    installation = changeable(arguments.file)
    snapshot = installation.snapshot()
    text = arguments.text
    if not text and arguments.since:
        text = changed_words(opened(arguments.since).installation.snapshot(), snapshot)
    day = arguments.date or date.today().isoformat()  # the day where the person is
    apply(
        installation,
        issue(snapshot, installation.last_id, by=arguments.by, day=day, text=text, index=arguments.index),
    )
    save(installation, target)
    record = in_order(installation.snapshot())[-1][1]
    print(_("{path} written: revision {index}, issued {date} by {by}").format(
        path=target, index=record.index, date=record.date, by=record.by
    ))  # fmt: skip
    if record.text:
        print(record.text)
    return 0
