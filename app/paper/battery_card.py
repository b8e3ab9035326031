"""The card *the battery has shut itself off*, to be hung up aboard: large type, numbered steps. A5 or A4."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from app.figures.battery_off import Line, cut_inverter, never, reconnect, start_engine, still_works
from app.figures.order_report import called
from app.paper.cards import Cards, Head
from app.paper.cards_transfer import about
from app.paper.pdf import Written, write_pictures
from engine.picture import Picture
from engine.study import Study
from engine.words import _

__all__ = ["battery_cards", "write_battery_cards"]

BELOW = 30.0  # mm left under a heading: a step of three lines


def write_battery_cards(study: Study, banks: Sequence[str], path: Path | str, *, size: str = "A5") -> Written:
    """Write the cards of some banks. Raises `OSError`."""
    block = study.snapshot.title_block
    pictures = [picture for bank in banks for picture in battery_cards(study, bank, size)]
    title = _("The battery has shut itself off")
    return write_pictures(pictures, path, title=title, author=block.creator, language=block.language)


def battery_cards(study: Study, bank: str, size: str = "A5") -> tuple[Picture, ...]:
    """The cards of one bank."""
    snapshot = study.snapshot
    record = snapshot.equipment[bank]
    name = record.label or study.name(bank)
    title = _("{bank} has shut itself off").format(bank=name)
    if called(snapshot, bank) not in (name, study.name(bank)):
        title = _("{bank} ({marking}) has shut itself off").format(bank=name, marking=called(snapshot, bank))
    cards = Cards(size, Head(snapshot.vessel.name, title, about(snapshot)))
    cards.heading(_("Emergency: cut the inverter"), BELOW)
    _put(cards, list(cut_inverter(study)) or [Line(_("No inverter is drawn"))], numbered=True)
    cards.heading(_("What still works"), BELOW)
    _put(cards, list(still_works(study, bank)) or [Line(_("No load is recorded as essential"))])
    cards.heading(_("To start the engine"), BELOW)
    _put(cards, start_engine(study, bank))
    cards.heading(_("To reconnect"), BELOW)
    _put(cards, reconnect(study, bank), numbered=True)
    cards.heading(_("Do not reconnect"), BELOW)
    _put(cards, never(study, bank))
    return cards.finished()


def _put(cards: Cards, lines: Iterable[Line], numbered: bool = False) -> None:
    for number, each in enumerate(lines, 1):
        told = [(each.deed, True)] + ([(each.about, False)] if each.about else [])
        cards.step(f"{number}." if numbered else "", told)
