"""`linewright photographs FILE`: each photograph of a drawing, who uses it, whether its file is there and unaltered."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands.opening import opened
from engine.words import N_, _, ngettext

if TYPE_CHECKING:
    from app.photographs import Kept
    from engine.installation.model import Snapshot

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "photographs"
HELP = N_("list the photographs of a drawing: what each shows, who uses it, whether its file is there and unaltered")

_STATES = {  # of `app.photographs.Kept`, in words
    "there": N_("there"),
    "missing": N_("MISSING"),
    "altered": N_("ALTERED since it was taken"),
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The drawing."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    parser.add_argument("--format", choices=("text", "json"), default="text", help=_("how to tell it (default: text)"))


def run(arguments: argparse.Namespace) -> int:
    """List them. 1 where one is missing or altered. Raises `FileError`."""
    from app.photographs import kept, store_of, strays

    snapshot = opened(arguments.file).installation.snapshot()
    store = store_of(Path(arguments.file))
    every, left = kept(snapshot, store), strays(snapshot, store)
    if arguments.format == "json":
        told = {
            "file": arguments.file,
            "folder": str(store.folder),
            "photographs": [_row(snapshot, each) for each in every],
            "unrecorded": [path.name for path in left],
        }
        print(json.dumps(told, ensure_ascii=False, indent=2))
    else:
        _tell(arguments.file, snapshot, every, left)
    return int(any(each.state != "there" for each in every))


def _users(snapshot: Snapshot, each: Kept) -> list[int | None]:
    return [snapshot.deficiencies[item].number for item in each.used_by]


def _row(snapshot: Snapshot, each: Kept) -> dict[str, object]:
    record = each.record
    return {
        "id": each.item,
        "caption": record.caption or None,
        "name": record.name or None,
        "taken": record.taken or None,
        "location": record.location or None,
        "width": record.width,
        "height": record.height,
        "deficiencies": _users(snapshot, each),
        "sha256": record.sha256,
        "state": each.state,
    }


def _tell(file: str, snapshot: Snapshot, every: tuple[Kept, ...], left: tuple[Path, ...]) -> None:
    from app.text_report import cautions, output_width

    count = ngettext("{path}: {n} photograph", "{path}: {n} photographs", len(every))
    print(count.format(path=file, n=len(every)))
    for each in every:
        numbers = ", ".join("?" if n is None else str(n) for n in _users(snapshot, each))
        used = _("deficiency {numbers}").format(numbers=numbers) if numbers else _("used by no deficiency")
        parts = [each.name, used, each.record.taken, _(_STATES[each.state])]
        print("  " + " · ".join(part for part in parts if part))
    if left:
        count = ngettext(
            "{n} file of the folder belongs to no photograph of this drawing; it stays:",
            "{n} files of the folder belong to no photograph of this drawing; they stay:",
            len(left),
        )
        print(count.format(n=len(left)))
        for path in left:
            print(f"  {path.name}")
    print()
    print(cautions(output_width()))
