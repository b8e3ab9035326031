"""`linewright card FILE --from A --to B -o card.pdf`: an order of switching as cards to be hung up aboard."""

from __future__ import annotations

import argparse

from app.commands.figures import studied, write
from app.commands.opening import add_book, output, say
from app.commands.switch import add_ends, worked_out
from engine.words import N_, _, ngettext

__all__ = ["HELP", "NAME", "add_arguments", "add_paper", "run"]

NAME = "card"
HELP = N_("an order of switching as cards to be hung up aboard (PDF, A5 or A4)")
SIZES = ("A5", "A4")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """File, two conditions, loads to keep fed, paper, output."""
    parser.epilog = _("Exit code: 0, 1 where there is no safe order (nothing is written then), 2 bad input.")
    parser.add_argument("file", metavar="FILE", help=_("drawing file"))
    add_ends(parser)
    add_paper(parser)


def add_paper(parser: argparse.ArgumentParser) -> None:
    """Output, paper, book: what every card is asked with."""
    parser.add_argument("-o", "--output", required=True, metavar="OUT", help=_("PDF file to write"))
    parser.add_argument("--size", type=_size, default="A5", metavar="SIZE", help=_("A5 or A4 (A5)"))
    add_book(parser)


def _size(text: str) -> str:
    if text.upper() not in SIZES:
        raise argparse.ArgumentTypeError(
            _("expected one of {sizes}, found {text!r}").format(sizes=", ".join(SIZES), text=text)
        )
    return text.upper()


def run(arguments: argparse.Namespace) -> int:
    """Work out the order, then write it."""
    target = output(arguments.output, (".pdf",), arguments.file)
    study = studied(arguments)
    order = worked_out(study, arguments)
    if not order.found:
        say(_("{path} is not written. {reason}").format(path=target, reason=order.reason))
        return 1
    from app.paper.cards_transfer import write_transfer_cards
    from app.paper.files import lacking

    written = write_transfer_cards(study.snapshot, order, target, size=arguments.size)
    if written.missing_characters:
        say(lacking(target, written.missing_characters))
    told = ngettext("{path} written: {count} card", "{path} written: {count} cards", written.pages)
    write(told.format(path=target, count=written.pages))
    return 0
