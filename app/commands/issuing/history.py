"""`linewright history FILE`: every issue of a drawing, and whether its frozen copy is there and as it was."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands.opening import CommandError, held, opened, output, say
from engine.words import N_, _

if TYPE_CHECKING:
    from engine.files.issues import Issue
    from engine.installation.model import Snapshot

__all__ = ["HELP", "NAME", "STATES", "add_arguments", "run"]

NAME = "history"
HELP = N_("list the issues of a drawing with their frozen copies, or write one of them out again")

STATES = {  # of `engine.files.issues.Issue`, in words
    "there": N_("copy there"),
    "missing": N_("COPY MISSING"),
    "altered": N_("COPY ALTERED since it was issued"),
    "no copy": N_("no copy kept"),
    "not issued": N_("in hand, not issued"),
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The drawing, and an issue to write out."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    parser.add_argument("--format", choices=("text", "json"), default="text", help=_("how to tell it (default: text)"))
    parser.add_argument("--open", metavar="INDEX", help=_("write the drawing as it was issued under this index"))
    parser.add_argument("-o", "--output", metavar="OUT", help=_("drawing file to write, with --open"))
    parser.add_argument("--replace", action="store_true", help=_("write over OUT where it is there already"))


def run(arguments: argparse.Namespace) -> int:
    """List, or write out. 1 where a copy is missing or altered. Raises `CommandError`, `FileError`."""
    from engine.files.issues import history, home

    if bool(arguments.open) != bool(arguments.output):
        raise CommandError(_("--open and -o go together: which issue, and the file to write it to"))
    snapshot = opened(arguments.file).installation.snapshot()
    folder = home(Path(arguments.file))
    made = history(snapshot, folder)
    if arguments.open:
        return _write(arguments, snapshot, folder, made)
    if arguments.format == "json":
        print(
            json.dumps({"file": arguments.file, "issues": [_row(each) for each in made]}, ensure_ascii=False, indent=2)
        )
    else:
        _tell(arguments.file, made)
    return int(any(each.state in ("missing", "altered") for each in made))


def _row(each: Issue) -> dict[str, object]:
    record = each.record
    return {
        "index": record.index,
        "issued": record.issued,
        "date": record.date or None,
        "by": record.by or None,
        "text": record.text,
        "copy": record.copy or None,
        "sha256": record.sha256 or None,
        "state": each.state,
    }


def _tell(file: str, made: tuple[Issue, ...]) -> None:
    from app.terminal import unbroken
    from app.text_report import cautions, output_width

    if not made:
        print(_("{path} was never issued").format(path=file))
    for each in made:
        record = each.record
        head = [record.index or "?", record.date or _("no day"), record.by or _("nobody named"), _(STATES[each.state])]
        print(unbroken(" · ".join(head)))
        for line in _wrapped(record.text or _("(nothing recorded of what changed)"), output_width()):
            print(f"    {line}")
        if each.state in ("there", "altered", "missing"):
            print(f"    {record.copy}")
    print()
    print(cautions(output_width()))


def _wrapped(text: str, width: int) -> list[str]:
    import textwrap

    return textwrap.wrap(" ".join(text.split()), max(width - 4, 20), break_long_words=False) or [""]


def _write(arguments: argparse.Namespace, snapshot: Snapshot, folder: Path, made: tuple[Issue, ...]) -> int:
    from app.photographs import carried_over, store_of
    from engine.files.atomic import write_bytes
    from engine.files.drawing import sha256_at, unless_overtaken
    from engine.files.issues import home, open_issue
    from engine.files.reading import read_whole

    found = [each for each in made if each.record.issued and each.record.index.strip() == arguments.open.strip()]
    if not found:
        there = ", ".join(each.record.index for each in made if each.record.issued) or _("none")
        raise CommandError(
            _("{path} has no issue {index}; there are: {there}").format(
                path=arguments.file, index=arguments.open, there=there
            )
        )
    each = found[-1]
    target = output(arguments.output, (".linewright",), arguments.file)
    if target.exists() and not arguments.replace:
        raise CommandError(_("{path} is there already; --replace writes over it").format(path=target))
    over = sha256_at(target)
    if each.state != "there" or each.path is None:
        told = _("revision {index}: {state}; nothing is written").format(
            index=each.record.index, state=_(STATES[each.state])
        )
        say(f"linewright: {told}")
        return 1
    if target.exists() and target.samefile(each.path):
        raise CommandError(_("{path} is the copy itself; name another file to write").format(path=target))
    opened_copy = open_issue(folder, each.record)
    with held(target):
        write_bytes(target, read_whole(each.path), unless_overtaken(target, over))
    if home(target) != folder:
        issued = opened_copy.installation.snapshot()
        for told in carried_over(issued, store_of(Path(arguments.file)), store_of(target)):
            say(f"{target}: {told}")
    print(_("{path} written: revision {index} as it was issued on {date}").format(
        path=target, index=each.record.index, date=each.record.date or "?"
    ))  # fmt: skip
    return 0
