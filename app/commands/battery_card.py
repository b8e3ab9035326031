"""`linewright battery-card FILE [BANK] -o card.pdf`: what to do when a battery has shut itself off."""

from __future__ import annotations

import argparse

from app.commands.card import add_paper
from app.commands.figures import studied, write
from app.commands.opening import CommandError, output, say
from app.commands.size import named
from engine.words import N_, _, ngettext

__all__ = ["HELP", "NAME", "add_arguments", "run"]

NAME = "battery-card"
HELP = N_("what to do when a battery has shut itself off, as cards to be hung up aboard (PDF, A5 or A4)")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, bank, paper, output."""
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    parser.add_argument(
        "designation",
        nargs="?",
        metavar="BANK",
        help=_("battery bank; every one that may shut itself off where none is named"),
    )
    add_paper(parser)


def run(arguments: argparse.Namespace) -> int:
    """0: written."""
    from app.figures.battery_off import banks

    target = output(arguments.output, (".pdf",), arguments.file)
    study = studied(arguments)
    if arguments.designation is None:
        chosen = banks(study)
        if not chosen:
            raise CommandError(_("no battery bank on this drawing may shut itself off"))
    else:
        equipment = study.snapshot.equipment
        found = named(study.snapshot, arguments.designation)
        chosen = [item for item in found if item in equipment and equipment[item].store() is not None]
        if not chosen:
            raise CommandError(_("{name!r} is no battery bank").format(name=arguments.designation))
    from app.paper.battery_card import write_battery_cards
    from app.paper.files import lacking

    written = write_battery_cards(study, chosen, target, size=arguments.size)
    if written.missing_characters:
        say(lacking(target, written.missing_characters))
    pages = ngettext("{path} written: {count} card", "{path} written: {count} cards", written.pages)
    write(pages.format(path=target, count=written.pages))
    return 0
