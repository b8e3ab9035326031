"""`linewright revise FILE -o OUT`: a new revision of an issued drawing is begun; its designations may be changed."""

from __future__ import annotations

import argparse

from app.commands.opening import add_copy, bring_along, changeable, copy_to, write_drawing
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "revise"
HELP = N_("begin a new revision of an issued drawing: its designations may be changed again")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The drawing, the index, where to write."""
    add_copy(parser)
    parser.add_argument(
        "--index", default="", metavar="INDEX", help=_("index of the new revision; the next without it")
    )
    parser.add_argument("--text", default="", metavar="TEXT", help=_("what is to change"))


def run(arguments: argparse.Namespace) -> int:
    """Write the drawing with the new revision begun."""
    from engine.edits import apply
    from engine.edits.issuing import begin, in_order
    from engine.files.drawing import sha256_at

    target = copy_to(arguments)
    over = sha256_at(target)
    installation = changeable(arguments.file)
    apply(installation, begin(installation.snapshot(), installation.last_id, arguments.index, arguments.text))
    write_drawing(installation, target, over)
    bring_along(arguments.file, target, installation.snapshot())
    record = in_order(installation.snapshot())[-1][1]
    print(_("{path} written: revision {index} begun").format(path=target, index=record.index))
    return 0
