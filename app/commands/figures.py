"""What `flow`, `faults`, `energy` and `size` have in common: their file, condition and format."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from app.commands.check import one_of
from app.commands.opening import CommandError, add_book, book_for, opened
from engine.books import load
from engine.installation.model import Snapshot
from engine.study import Study
from engine.words import _

__all__ = ["add_common", "chosen", "studied", "write", "write_json"]

FORMATS = ("text", "json")


def add_common(parser: argparse.ArgumentParser, condition: str = "") -> None:
    """FILE, --condition (told of in the words of `condition`, "" for none), --format, --book."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    if condition:
        parser.add_argument("--condition", metavar="C", help=condition)
    parser.add_argument(
        "--format", type=one_of(FORMATS), default="text", metavar="FORMAT", help=_("text or json (text)")
    )
    add_book(parser)


def studied(arguments: argparse.Namespace) -> Study:
    """The study of the file named. Raises `FileError`, `BookError`."""
    snapshot = opened(arguments.file).installation.snapshot()
    return Study(snapshot, load(book_for(arguments.book, arguments.file, snapshot)))


def chosen(snapshot: Snapshot, name: str | None) -> list[str]:
    """Ids of the conditions asked for, in order; `""`, as drawn, where none is recorded. Raises `CommandError`."""
    conditions = snapshot.conditions
    order = sorted(conditions, key=lambda c: (conditions[c].order, c))
    if name is None:
        return order or [""]
    if name.casefold() == _("as drawn").casefold():
        return [""]
    found = [item for item in order if conditions[item].name.casefold() == name.strip().casefold()]
    if not found:
        there = ", ".join(conditions[item].name for item in order)
        raise CommandError(
            _("there is no operating condition {name!r}; there are: {names}").format(name=name, names=there)
            if there
            else _("there is no operating condition {name!r}; none is recorded").format(name=name)
        )
    return found


def write(text: str) -> None:
    """A report to the output."""
    print(text)


def write_json(made: list[Any], several: bool) -> None:
    """One object, or a list where several were asked for."""
    from engine.report import dumps

    sys.stdout.write(dumps(made if several else made[0]).decode())
