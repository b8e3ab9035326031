"""`linewright compare A B`: what differs between two drawings, what is aboard first, then how it is drawn."""

from __future__ import annotations

import argparse
import json

from app.commands.opening import opened, output, say
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "compare"
HELP = N_("what differs between two drawings, field by field; two lists of one boat are matched by likeness")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The two drawings, how they are matched, how it is told."""
    parser.add_argument("before", metavar="A", help=_("the older drawing"))
    parser.add_argument("after", metavar="B", help=_("the newer drawing"))
    parser.add_argument(
        "--match",
        choices=("auto", "ids", "likeness"),
        default="auto",
        help=_("whether things are matched by their ids or by what is recorded of them; auto finds out (auto)"),
    )
    parser.add_argument("--why", action="store_true", help=_("tell what was taken for what, with its score and why"))
    parser.add_argument("--format", choices=("text", "json"), default="text", help=_("how it is told (text)"))
    parser.add_argument(
        "-o", "--output", metavar="FILE", help=_("write the marked sheets too: .pdf, .svg, .png or .dxf")
    )
    parser.add_argument("--mono", action="store_true", help=_("black and grey instead of colours"))


def run(arguments: argparse.Namespace) -> int:
    """0 nothing differs, 1 something does."""
    from app.comparing import as_json, as_text
    from app.text_report import output_width
    from engine.comparing import differences

    target = None
    if arguments.output:
        from app.handover.redlines.writing import ENDINGS

        target = output(arguments.output, ENDINGS)
    files = (arguments.before, arguments.after)
    before, after = (opened(file).installation.snapshot() for file in files)
    made = differences(before, after, arguments.match)
    if arguments.format == "json":
        print(json.dumps(as_json(files, before, after, made), ensure_ascii=False, indent=1))
    else:
        print(as_text(files, before, after, made, pairs=arguments.why, width=output_width()))
    if target is not None:
        from app.handover.redlines.writing import write_redlines

        written = write_redlines(before, after, made, target, named=files, mono=arguments.mono)
        for line in written.told:
            say(line)
        for path in written.files:
            say(_("{path} written").format(path=path))
    return 1 if made else 0
