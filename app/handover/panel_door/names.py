"""What things are called on the cards: as it is written at them aboard, else in the owner's words."""

from __future__ import annotations

from collections.abc import Sequence

from app.handover.panel_door.card import plain
from engine.equipment.base import Equipment
from engine.installation.model import Snapshot
from engine.naming import natural
from engine.rules.wording import listed
from engine.units import show
from engine.words import _

__all__ = ["few", "long_names", "name", "rated", "rating", "said", "short"]


_LONGEST = 60  # characters


def name(snapshot: Snapshot, item: str) -> str:
    """Marking aboard, else label, else designation, else what it is."""
    record = snapshot.equipment[item]
    return short(plain(record.marking) or plain(record.label) or record.designation) or _(record.NAME) or record.KIND


def said(snapshot: Snapshot, item: str) -> str:
    """The label, with the marking where that says something else: what a reader knows it by."""
    record = snapshot.equipment[item]
    return short(record.label) or name(snapshot, item)


def short(text: str) -> str:
    """A text on one line, its end left out where it is too long for a card: `long_names` tells it in full."""
    text = plain(text)
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1].rstrip() + "…"


def long_names(snapshot: Snapshot) -> list[tuple[str, str]]:
    """Names whose end is left out: the short one, the whole."""
    made: dict[str, str] = {}
    for _item, record in sorted(snapshot.equipment.items(), key=lambda e: natural(snapshot.name(e[0]))):
        for text in (record.designation, record.marking, record.label):
            if short(text) != plain(text):
                made[short(text)] = plain(text)
    return list(made.items())


def few(snapshot: Snapshot, items: Sequence[str], most: int = 5) -> str:
    """*Main bus, DC panel and Inverter*; how many more there are."""
    names = list(dict.fromkeys(said(snapshot, item) for item in items))
    if len(names) > most:
        return _("{names} and {count} more").format(names=", ".join(names[:most]), count=len(names) - most)
    return listed(names)


def rated(record: Equipment) -> str:
    """The rating beside other words, where *not known* alone would say nothing."""
    trip, carries = record.trip(), record.carries()
    unknown = (trip is not None and trip.rating_a is None) or (
        trip is None and carries is not None and carries.continuous_a is None
    )
    return _("rating not known") if unknown else rating(record)


def rating(record: Equipment) -> str:
    """Amperes a device opens at or may carry; *not known* where it has a rating that is not recorded; else `""`."""
    trip = record.trip()
    if trip is not None:
        return show(trip.rating_a, "A")
    carries = record.carries()
    if carries is not None:
        return show(carries.continuous_a, "A")
    return ""
