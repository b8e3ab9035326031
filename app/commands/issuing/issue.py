"""`linewright issue FILE --by NAME --text TEXT -o OUT`: the drawing issued, a frozen copy kept, designations locked."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path

from app.commands.opening import CommandError, add_copy, bring_along, changeable, copy_to, held, opened
from engine.installation.model import Snapshot
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "issue"
HELP = N_(
    "issue the revision in hand: its day, by whom, what changed; a frozen copy is kept and designations are locked"
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The drawing, what is recorded, where to write."""
    add_copy(parser)
    parser.add_argument("--by", required=True, metavar="NAME", help=_("who issues it"))
    parser.add_argument(
        "--text",
        default="",
        metavar="TEXT",
        help=_("what changed; without it what is recorded stays, else what has changed since the last issue is told"),
    )
    parser.add_argument("--date", metavar="YYYY-MM-DD", help=_("the day of issue; today without it"))
    parser.add_argument("--index", default="", metavar="INDEX", help=_("its index, where it is to be another"))
    parser.add_argument(
        "--since",
        metavar="OLD",
        help=_("the drawing as last issued, where that is not the copy kept at the last issue"),
    )


def run(arguments: argparse.Namespace) -> int:
    """Write the issued drawing and its frozen copy; says what they are called and what was recorded."""
    from engine.edits import apply
    from engine.edits.issuing import begun, in_order
    from engine.files import issues
    from engine.files.drawing import save, sha256_at

    target = copy_to(arguments)
    over = sha256_at(target)
    installation = changeable(arguments.file)
    snapshot = installation.snapshot()
    folder = issues.home(Path(arguments.file))
    in_hand = begun(snapshot)
    text = arguments.text
    if not text and (arguments.since or not (in_hand and snapshot.revisions[in_hand].text)):
        text = _changed(snapshot, folder, arguments.since)
    day = arguments.date or date.today().isoformat()  # the day where the person is
    with held(target):
        edit = issues.issue_with_copy(installation, target, by=arguments.by, day=day, text=text, index=arguments.index)
        apply(installation, edit)
        save(installation, target, over)
    after = installation.snapshot()
    bring_along(arguments.file, target, snapshot)
    record = in_order(after)[-1][1]
    print(_("{path} written: revision {index}, issued {date} by {by}").format(
        path=target, index=record.index, date=record.date, by=record.by
    ))  # fmt: skip
    print(_("kept as issued: {path}").format(path=record.copy))
    if record.text:
        print(record.text)
    return 0


def _changed(snapshot: Snapshot, folder: Path, since: str | None) -> str:
    """What has changed since a drawing that is named, else since the copy of the last issue; "" where there is none."""
    from app.drawing.whole.changed_words import changed_words
    from engine.files.errors import FileError
    from engine.files.issues import last_issue, open_issue

    if since:
        return changed_words(opened(since).installation.snapshot(), snapshot)
    last = last_issue(snapshot, folder)
    if last is None or not last.record.copy:
        return ""
    try:
        before = open_issue(folder, last.record).installation.snapshot()
    except FileError as fault:
        raise CommandError(
            _("what has changed cannot be told: {why}; name it with --text, or an earlier state with --since").format(
                why=fault
            )
        ) from None
    return changed_words(before, snapshot)
