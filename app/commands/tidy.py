"""`linewright tidy FILE -o OUT [--sheet N]`: a copy of a drawing, its sheets laid out anew where that reads easier."""

from __future__ import annotations

import argparse

from app.commands.opening import CommandError, add_copy, bring_along, changeable, copy_to, write_drawing
from engine.words import N_, _

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "tidy"
HELP = N_("write a copy of a drawing whose sheets are laid out so that they read easily")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, the copy to write, which sheet."""
    add_copy(parser)
    parser.add_argument("--sheet", type=int, metavar="N", help=_("number of the one sheet to tidy; else every sheet"))


def run(arguments: argparse.Namespace) -> int:
    """Tidy each sheet that is wanted and say what came of it; one without room is told and stays as it is."""
    from app.drawing.tidy import score_of, standing, tidy_sheet
    from engine.edits import EditError, apply
    from engine.files.drawing import sha256_at

    target = copy_to(arguments)
    over = sha256_at(target)
    installation = changeable(arguments.file)
    sheets = sorted(installation.snapshot().sheets.items(), key=lambda each: each[1].number)
    if not sheets:
        raise CommandError(_("{path} has no sheet; `linewright print` lays out all of it").format(path=arguments.file))
    wanted = [item for item, record in sheets if arguments.sheet in (None, record.number)]
    if not wanted:
        raise CommandError(_("{path} has no sheet {number}").format(path=arguments.file, number=arguments.sheet))
    for item in wanted:
        number = installation.get("sheets", item).number
        before = installation.snapshot()
        try:
            made = tidy_sheet(before, item)
        except EditError as why:
            print(_("Sheet {number}: {why}").format(number=number, why=why))
            continue
        apply(installation, made.edit)
        print(
            _("Sheet {number}, before: {told}").format(
                number=number, told=score_of(standing(before, item), item).told()
            )
        )
        print(_("Sheet {number}, tidied: {told}").format(number=number, told=made.after.told()))
    write_drawing(installation, target, over)
    bring_along(arguments.file, target, installation.snapshot())
    print(_("{path} written").format(path=target))
    return 0
