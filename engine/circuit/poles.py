"""Which conductors a device opens, and which it leaves closed meanwhile.

Read from the contacts of the record and the conductors drawn at their terminals: a conductor that no run brings
is not there to be left.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.equipment.base import Contact

__all__ = ["Opening", "openings"]


class Opening(NamedTuple):
    """What a device does between two of its terminals.

    `opens`: conductors it can open, each with the positions in which it is closed (`None`: a fuse, which opens by
    overcurrent alone); `passes`: those it never opens. `protects`: an overcurrent device opens one of them.
    """

    equipment: str
    a: str
    b: str
    opens: dict[str, frozenset[str] | None]
    passes: frozenset[str]
    protects: bool

    def left_by(self, conductor: str) -> frozenset[str]:
        """Conductors that can be closed while `conductor` is open."""
        closed = self.opens[conductor]
        others = {c for c, positions in self.opens.items() if c != conductor and _outlasts(positions, closed)}
        return self.passes | others

    def by_hand(self) -> bool:
        """Whether it opens in a position, not by overcurrent alone."""
        return any(positions is not None for positions in self.opens.values())


def _outlasts(other: frozenset[str] | None, closed: frozenset[str] | None) -> bool:
    return other is None or closed is None or bool(other - closed)


def openings(circuit: Circuit) -> Iterator[Opening]:
    """Every device that opens something, one opening a pair of terminals, in id order."""
    for item, record in circuit.snapshot.equipment.items():
        pairs: dict[tuple[str, str], list[Contact]] = {}
        for contact in record.contacts():
            if contact.cross is None and contact.a != contact.b:
                pairs.setdefault((contact.a, contact.b), []).append(contact)
        for (a, b), contacts in pairs.items():
            if any(contact.positions is not None or contact.protection is not None for contact in contacts):
                made = _opening(circuit, item, a, b, contacts)
                if made.opens:
                    yield made


def _opening(circuit: Circuit, item: str, a: str, b: str, contacts: Iterable[Contact]) -> Opening:
    opens: dict[str, frozenset[str] | None] = {}
    passes: set[str] = set()
    protects = False
    for contact in contacts:
        for conductor in ("+", "-", "L1", "L2", "L3", "N", "PE"):
            if circuit.node(item, a, conductor) is None or circuit.node(item, b, conductor) is None:
                continue
            if contact.poles is None or conductor in contact.poles:
                if contact.positions is not None or contact.protection is not None:
                    opens[conductor] = contact.positions
                    protects |= contact.protection is not None
                else:
                    passes.add(conductor)
            elif contact.straight:
                passes.add(conductor)
    return Opening(item, a, b, opens, frozenset(passes - opens.keys()), protects)
