"""`linewright demo`: the whole job on the sample ketch, from her drawing to PDF, order list and findings.

Where there is a display, the window is opened on her afterwards.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from app.commands.opening import CommandError, opened
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run", "samples_folder"]

NAME = "demo"
HELP = N_(
    "check and print the sample ketch into ./linewright-demo, then open the window on her where there is a display"
)
FOLDER = "linewright-demo"
SAMPLE = "ketch"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Whether to open a window."""
    parser.add_argument("--no-window", action="store_true", help=_("write the files and open no window"))


def samples_folder() -> Path:
    """The samples: inside the installed package, else in the checkout. Raises `CommandError`."""
    here = Path(__file__)
    for folder in (here.parents[1] / "samples", here.parents[2] / "samples"):
        if (folder / SAMPLE / f"{SAMPLE}.linewright").is_file():
            return folder
    raise CommandError(_("the samples are missing from this installation; install the program again"))


def run(arguments: argparse.Namespace) -> int:
    """Check, print, order; say where everything is."""
    from app.commands.print_sheets import write_sheets
    from app.handover.parts.writing import write_parts
    from app.text_report import cautions, short_table, width_of
    from engine.files.atomic import write_bytes
    from engine.report import as_json, as_sarif, dumps

    source = samples_folder() / SAMPLE / f"{SAMPLE}.linewright"
    folder = Path(FOLDER)
    folder.mkdir(exist_ok=True)
    drawing = _room_for(folder, source)
    write_bytes(drawing, source.read_bytes())
    installation = opened(str(drawing)).installation
    stem = drawing.stem
    result = write_sheets(installation, folder / f"{stem}.pdf").result
    snapshot = installation.snapshot()
    name = drawing.as_posix()
    write_parts(snapshot, folder / f"{stem}-parts.csv")
    write_parts(snapshot, folder / f"{stem}-parts.xlsx")
    write_bytes(folder / f"{stem}-findings.json", dumps(as_json(result, name)))
    write_bytes(folder / f"{stem}-findings.sarif", dumps(as_sarif([(name, result)])))
    print(
        _("{vessel}, judged by {title}, edition {edition}").format(
            vessel=snapshot.vessel.name, title=_(result.title), edition=result.edition
        )
    )
    print(short_table(result, width_of(sys.stdout)))
    print()
    for ending, what in (
        (".linewright", _("the drawing")),
        (".pdf", _("the drawing printed, findings in its margin")),
        ("-parts.csv", _("the bill of materials")),
        ("-parts.xlsx", _("the bill of materials as a workbook")),
        ("-findings.json", _("the findings for other programs")),
        ("-findings.sarif", _("the findings as SARIF 2.1.0")),
    ):
        print(f"{folder / (stem + ending)}: {what}")
    print("\n" + cautions(width_of(sys.stdout)))
    if arguments.no_window:
        return 0
    return _open(drawing)


def _room_for(folder: Path, source: Path) -> Path:
    """A name for the copy: what somebody has changed and saved there since is not written over."""
    data = source.read_bytes()
    number = 1
    while True:
        path = folder / (source.name if number == 1 else f"{source.stem}-{number}{source.suffix}")
        if not path.exists() or path.read_bytes() == data:
            return path
        number += 1


def _open(drawing: Path) -> int:
    """The window on the ketch; without one the job is done all the same, and a line says why."""
    from app.cli import open_window
    from app.screen import has_display, why_no_window

    why = why_no_window()
    if not why and not has_display():
        return 0
    if why:
        print("\n" + _("No window is opened: {why}.").format(why=why))
        return 0
    sys.stdout.flush()
    return open_window([str(drawing)])
