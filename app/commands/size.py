"""`linewright size FILE [DESIGNATION]`: the smallest conductor, device, bank, bus or switch that will do, and why."""

from __future__ import annotations

import argparse

from app.commands.figures import add_common, studied, write, write_json
from app.commands.opening import CommandError
from engine.installation.model import Snapshot
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "named", "run"]

NAME = "size"
HELP = N_("what to fit: the arithmetic of the rules run backwards, with the constraint that decides")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, what to size, format."""
    add_common(parser)
    parser.add_argument(
        "designation",
        nargs="?",
        metavar="DESIGNATION",
        help=_("run or equipment to size; everything where none is named"),
    )


def named(snapshot: Snapshot, designation: str) -> list[str]:
    """Ids of what is called so, runs first; else what has this id. Raises `CommandError` where there is nothing."""
    wanted = designation.strip().casefold()
    found = [
        item
        for table in (snapshot.runs, snapshot.equipment)
        for item, record in table.items()
        if record.designation.casefold() == wanted
    ]
    if not found and (designation in snapshot.runs or designation in snapshot.equipment):
        return [designation]
    if not found:
        raise CommandError(_("nothing is called {name!r} on this drawing").format(name=designation))
    return found


def run(arguments: argparse.Namespace) -> int:
    """0: what cannot be told is told in its place."""
    from engine.sizing import size, sizes

    study = studied(arguments)
    one = arguments.designation
    answers = (
        sizes(study) if one is None else tuple(a for item in named(study.snapshot, one) for a in size(study, item))
    )
    if arguments.format == "json":
        from engine.figures_json import size_object

        made = [size_object(answer) for answer in answers]
        write_json(made, several=one is None or len(made) != 1)
    else:
        from app.figures.size_report import size_report
        from app.text_report import output_width

        write(size_report(arguments.file, study, answers, output_width(), whole=one is not None))
    return 0
