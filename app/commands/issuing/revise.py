"""`linewright revise FILE -o OUT`: a new revision of an issued drawing is begun; its designations may be changed."""

from __future__ import annotations

import argparse

from app.commands.opening import CommandError, opened, output
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "revise"
HELP = N_("begin a new revision of an issued drawing: its designations may be changed again")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The drawing, the index, where to write."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file; it stays as it is"))
    parser.add_argument("-o", "--output", required=True, metavar="OUT", help=_("drawing file to write"))
    parser.add_argument("--replace", action="store_true", help=_("write over OUT where it is there already"))
    parser.add_argument(
        "--index", default="", metavar="INDEX", help=_("index of the new revision; the next without it")
    )
    parser.add_argument("--text", default="", metavar="TEXT", help=_("what is to change"))


def run(arguments: argparse.Namespace) -> int:
    """Write the drawing with the new revision begun."""
    from engine.edits import apply
    from engine.edits.issuing import begin, in_order
    from engine.files.drawing import save

    target = output(arguments.output, (".linewright",), arguments.file)
    if target.exists() and not arguments.replace:
        raise CommandError(_("{path} is there already; --replace writes over it").format(path=target))
    installation = opened(arguments.file).installation
    if installation.read_only:
        raise CommandError(_("{path} cannot be changed: {why}").format(path=arguments.file, why=installation.read_only))
    apply(installation, begin(installation.snapshot(), installation.last_id, arguments.index, arguments.text))
    save(installation, target)
    record = in_order(installation.snapshot())[-1][1]
    print(_("{path} written: revision {index} begun").format(path=target, index=record.index))
    return 0
