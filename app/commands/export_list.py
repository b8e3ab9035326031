"""`linewright export-list FILE -o FOLDER`: the lists a drawing could be imported from."""

from __future__ import annotations

import argparse
from pathlib import Path

from app.commands.opening import CommandError, opened, say
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "export-list"
HELP = N_("write what is aboard as lists (CSV)")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File and folder."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    parser.add_argument("-o", "--output", required=True, metavar="FOLDER", help=_("folder to write the lists into"))
    parser.add_argument("--replace", action="store_true", help=_("write over lists that are there already"))


def run(arguments: argparse.Namespace) -> int:
    """Write every list that holds something; say what lists cannot hold."""
    from engine.files.atomic import write_together
    from engine.files.lists import csv_bytes, list_losses, write_lists

    snapshot = opened(arguments.file).installation.snapshot()
    folder = Path(arguments.output)
    if folder.exists() and not folder.is_dir():
        raise CommandError(_("{path} is a file, expected a folder").format(path=folder))
    lists = write_lists(snapshot)
    there = sorted(name for name in lists if (folder / name).exists())
    if there and not arguments.replace:
        raise CommandError(
            _("{folder} holds {names} already; --replace writes over them").format(
                folder=folder, names=", ".join(there)
            )
        )
    folder.mkdir(parents=True, exist_ok=True)
    write_together([(folder / name, csv_bytes(rows)) for name, rows in lists.items()])
    for name in lists:
        print(_("{path} written").format(path=folder / name))
    for loss in list_losses(snapshot):
        say(loss)
    return 0
