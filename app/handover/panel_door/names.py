"""What things are called on the cards: as it is written at them aboard, else in the owner's words."""

from __future__ import annotations

from collections.abc import Sequence

from app.handover.panel_door.card import plain
from engine.equipment.base import Equipment
from engine.installation.model import Snapshot
from engine.rules.wording import listed
from engine.units import show
from engine.words import _

__all__ = ["few", "name", "rating", "said"]


def name(snapshot: Snapshot, item: str) -> str:
    """Marking aboard, else label, else designation, else what it is."""
    record = snapshot.equipment[item]
    return plain(record.marking) or plain(record.label) or plain(record.designation) or _(record.NAME) or record.KIND


def said(snapshot: Snapshot, item: str) -> str:
    """The label, with the marking where that says something else: what a reader knows it by."""
    record = snapshot.equipment[item]
    return plain(record.label) or name(snapshot, item)


def few(snapshot: Snapshot, items: Sequence[str], most: int = 5) -> str:
    """*Main bus, DC panel and Inverter*; how many more there are."""
    names = list(dict.fromkeys(said(snapshot, item) for item in items))
    if len(names) > most:
        return _("{names} and {count} more").format(names=", ".join(names[:most]), count=len(names) - most)
    return listed(names)


def rating(record: Equipment) -> str:
    """Amperes a device opens at or may carry; *not known* where it has a rating that is not recorded; else `""`."""
    trip = record.trip()
    if trip is not None:
        return show(trip.rating_a, "A")
    carries = record.carries()
    if carries is not None:
        return show(carries.continuous_a, "A")
    return ""
