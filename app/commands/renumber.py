"""`linewright renumber FILE [-o OUT] [--list LIST]`: new designations along the sheets, and the labels to change."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands.opening import CommandError, bring_along, changeable, copy_to, output, say, write_drawing
from engine.words import N_, _, ngettext

if TYPE_CHECKING:
    from engine.edits.renumbering import Renumbering
    from engine.installation.model import Snapshot

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "renumber"
HELP = N_("give new designations in the order of the sheets; write the list of labels to change aboard")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The drawing, what is renumbered and how, where to write."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file; it stays as it is"))
    parser.add_argument("-o", "--output", metavar="OUT", help=_("drawing file to write"))
    parser.add_argument("--replace", action="store_true", help=_("write over OUT where it is there already"))
    parser.add_argument(
        "--by",
        choices=("drawing", "sheet"),
        default="drawing",
        help=_("count through the drawing (F1, F2), or on every sheet anew with the sheet before it (F201)"),
    )
    parser.add_argument("--sheet", type=int, metavar="N", help=_("only what stands on the sheet of that number"))
    parser.add_argument("--only", nargs="+", metavar="NAME", default=(), help=_("only these, by designation"))
    parser.add_argument("--leave", nargs="+", metavar="NAME", default=(), help=_("all but these, by designation"))
    parser.add_argument(
        "--list", dest="labels", metavar="LIST", help=_("write the labels to change: .pdf, .csv, .xlsx or .json")
    )


def run(arguments: argparse.Namespace) -> int:
    """Renumber a copy; without -o and --list what would be renamed is told."""
    from engine.edits import EditError, apply
    from engine.edits.renumbering import renumbered
    from engine.files.drawing import sha256_at

    target = copy_to(arguments) if arguments.output else None
    over = "" if target is None else sha256_at(target)
    labels = output(arguments.labels, (".pdf", ".csv", ".xlsx", ".json"), arguments.file) if arguments.labels else None
    installation = changeable(arguments.file)
    snapshot = installation.snapshot()
    only = _ids(snapshot, arguments.only, arguments.file) if arguments.only else None
    leave = _ids(snapshot, arguments.leave, arguments.file)
    try:
        made = renumbered(snapshot, only, sheet=_sheet(snapshot, arguments), by=arguments.by, leave=set(leave))
        apply(installation, made.edit)
    except EditError as fault:
        raise CommandError(str(fault)) from None
    if labels is not None:
        _write_list(snapshot, made, labels, arguments.file)
    if target is not None:
        write_drawing(installation, target, over)
        bring_along(arguments.file, target, installation.snapshot())
        told = ngettext("{path} written: {n} designation renumbered", "{path} written: {n} designations renumbered",
                        len(made.changes))  # fmt: skip
        print(told.format(path=target, n=len(made.changes)))
    if target is None and labels is None:
        for change in made.changes:
            print(f"{change.old or '-'} -> {change.new}")
        if not made.changes:
            print(_("Every designation is as it would be numbered."))
    return 0


def _sheet(snapshot: Snapshot, arguments: argparse.Namespace) -> str:
    if arguments.sheet is None:
        return ""
    for item, sheet in snapshot.sheets.items():
        if sheet.number == arguments.sheet:
            return item
    raise CommandError(_("{path} has no sheet {number}").format(path=arguments.file, number=arguments.sheet))


def _ids(snapshot: Snapshot, names: list[str], path: str) -> list[str]:
    """Equipment and runs by designation, small letters no difference; an id is taken too."""
    found: list[str] = []
    for name in names:
        tables = (snapshot.equipment, snapshot.runs)
        here = [
            item for table in tables for item, r in table.items() if r.designation.casefold() == name.casefold()
        ] or [item for table in tables for item in table if item == name]
        if not here:
            raise CommandError(_("{path} has nothing called {name}").format(path=path, name=name))
        found.extend(here)
    return found


def _write_list(snapshot: Snapshot, made: Renumbering, path: Path, source: str) -> None:
    from app.handover.labels.to_change import document
    from app.handover.writing import write_plain

    written = document(snapshot, made)
    if not written.tables[0].rows:
        say(_("{file}: no label is to be changed").format(file=source))
    for each in write_plain(written, path, snapshot, say):
        print(_("{path} written").format(path=each))
