"""`linewright import LIST... -o boat.linewright`: a drawing from lists of what is aboard."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands.opening import CommandError, output, say, write_drawing
from engine.words import N_, _, ngettext

if TYPE_CHECKING:
    from engine.files.lists import ListFile

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "import"
HELP = N_("make a drawing from lists: equipment, runs, and what else there is")
# as engine.files.lists has them, which `check` need not load for the help
LISTS = ("equipment", "runs", "states", "interlocks", "places", "enclosures", "conditions", "vessel")
# columns that tell a list whose name does not, the surest first
TELLING = (
    ("runs", {"from", "to"}),
    ("equipment", {"designation", "kind"}),
    ("states", {"condition", "designation"}),
    ("interlocks", {"devices"}),
    ("vessel", {"field", "value"}),
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Lists, output, what to do with bad rows."""
    parser.add_argument(
        "lists",
        nargs="+",
        metavar="LIST",
        help=_("CSV files or an XLSX workbook, named after what they list: {names}").format(names=", ".join(LISTS)),
    )
    parser.add_argument("-o", "--output", required=True, metavar="OUT", help=_("drawing file to write"))
    parser.add_argument("--keep-good", action="store_true", help=_("write the good rows although others are bad"))
    parser.add_argument("--replace", action="store_true", help=_("write over a drawing that is there already"))


def run(arguments: argparse.Namespace) -> int:
    """Report every bad row; write the drawing where there is none, or where the good rows are to be kept."""
    from engine.edits import SetFields, apply
    from engine.files.drawing import sha256_at
    from engine.files.lists import read_lists

    target = output(arguments.output, (".linewright",))
    if target.exists() and not arguments.replace:
        raise CommandError(
            _("{path} is there already, with its sheets and waivers; --replace writes over it").format(path=target)
        )
    over = sha256_at(target)
    result = read_lists(**_sorted_out(arguments.lists))
    for notice in result.notices:
        say(notice)
    for fault in result.faults:
        say(str(fault))
    if result.faults:
        count = len(result.faults)
        told = ngettext("{count} fault in the lists", "{count} faults in the lists", count).format(count=count)
        if not arguments.keep_good:
            say(f"linewright: {told}; " + _("nothing is written. --keep-good writes the good rows"))
            return 2
        say(f"linewright: {told}; " + _("the rows without are written"))
    from app.drawing.layout import lay_out

    installation = result.installation()
    if result.faults:  # what is not on the drawing cannot be judged, and the drawing says so ever after
        refused = tuple(str(fault) for fault in result.faults)
        apply(installation, SetFields("settings", "settings", (("left_out", refused),)))
    apply(installation, lay_out(installation.snapshot()))
    write_drawing(installation, target, over)
    snapshot = installation.snapshot()
    print(
        _("{path} written; equipment: {equipment}, runs: {runs}, sheets: {sheets}").format(
            path=target,
            equipment=len(snapshot.equipment),
            runs=len(snapshot.runs),
            sheets=len(snapshot.sheets),
        )
    )
    return 1 if result.faults else 0


def _sorted_out(paths: list[str]) -> dict[str, ListFile]:
    """Which file is which list. Raises `CommandError` and `FileError`."""
    found: dict[str, ListFile] = {}
    for path in paths:
        for given, file in _files(path):
            which = _which(given, file)
            if not which:
                for fault in file.faults:  # of what is too large or broken nobody knows what it lists
                    say(str(fault))
                if file.rows:
                    say(_("{name} is none of {names} and is left out").format(name=file.name, names=", ".join(LISTS)))
                continue
            if which in found:
                raise CommandError(
                    _("{one} and {other} both list {what}; expected one").format(
                        one=found[which].name, other=file.name, what=which
                    )
                )
            found[which] = file
    if "equipment" not in found:
        raise CommandError(
            _("no list of equipment among {names}; expected a file called equipment, or one with the columns "
              "designation and kind").format(names=", ".join(paths))
        )  # fmt: skip
    return found


def _files(path: str) -> Iterator[tuple[str, ListFile]]:
    """Name given by the person, and the rows."""
    if Path(path).suffix.lower() in (".xlsx", ".xlsm"):
        from app.workbook import workbook_lists

        for file in workbook_lists(path):
            yield file.name.rpartition("[")[2].rstrip("]"), file
        return
    from engine.files.lists import csv_rows

    yield Path(path).stem, csv_rows(path)


def _which(given: str, file: ListFile) -> str:
    """By its name where that names one list, else by its heading."""
    named = [name for name in LISTS if name in given.lower()]
    if len(named) == 1:
        return named[0]
    heading = {cell.strip().lower() for cell in file.rows[0][1]} if file.rows else set()
    return next((name for name, columns in TELLING if columns <= heading), "")
