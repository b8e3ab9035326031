"""Which conductors a device opens where they pass it, by its poles or because nothing else is there."""

from __future__ import annotations

from engine.equipment.base import ALL, Contact
from engine.study import Study

__all__ = ["able_to_open", "opens"]


def able_to_open(study: Study, item: str) -> list[Contact]:
    """Contacts of a piece of equipment that a hand, a controller or a current can open."""
    every = study.snapshot.equipment[item].contacts()
    return [c for c in every if (c.positions is not None or c.protection is not None) and c.cross is None]


def opens(study: Study, item: str, contact: Contact, conductor: str) -> bool:
    """Whether a contact opens a conductor that is there at both its ends.

    Where its poles are not recorded they are taken as the live ones; with nothing but one conductor there, it is that.
    """
    there = {c for c in ALL for t in (contact.a, contact.b) if study.circuit.node(item, t, c) is not None}
    if any(study.circuit.node(item, t, conductor) is None for t in (contact.a, contact.b)):
        return False
    if contact.poles is None or conductor in contact.poles:
        return True
    record = study.snapshot.equipment[item]
    recorded = getattr(record, "poles", getattr(record, "conductor", None))
    return recorded is not None and not recorded and there == {conductor}
