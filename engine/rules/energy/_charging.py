"""What charges a bank: the sources that can reach it, their currents and volts."""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.expand import Feed
from engine.equipment.behaviour import Charging, Store
from engine.study import Study

__all__ = ["Bank", "banks", "regulator_of"]


class Bank(NamedTuple):
    """A bank and the charging sources that can reach it."""

    item: str
    store: Store
    sources: tuple[Feed, ...]


def banks(study: Study) -> tuple[Bank, ...]:
    """Every bank on the drawing, and what reaches it in some state the interlocks allow."""
    made = []
    for feed in study.circuit.feeds:
        store = study.snapshot.equipment[feed.equipment].store()
        if store is None:
            continue
        sources = tuple(
            one
            for one in study.reaching.feeds(feed.node)
            if one.equipment != feed.equipment and not one.source.battery and one.source.system == "dc"
        )
        made.append(Bank(feed.equipment, store, sources))
    return tuple(made)


def regulator_of(study: Study, item: str) -> tuple[str, Charging] | None:
    """What sets the volts of a source in its stead, and to what."""
    for other, record in study.snapshot.equipment.items():
        told = record.charging()
        if told is not None and item in record.regulates():
            return other, told
    return None
