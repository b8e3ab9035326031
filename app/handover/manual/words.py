"""Names and figures as an owner reads them; a figure that is not recorded says so."""

from __future__ import annotations

from collections.abc import Iterable

from app.handover.panel_door.names import name as called
from app.handover.schedules.aboard import Aboard
from engine.units import number
from engine.words import _

__all__ = ["and_where", "figure", "items", "known_by", "yes_no"]


def known_by(aboard: Aboard, item: str) -> str:
    """What is written at it, with its designation: *HOUSE (Q1)*."""
    name = called(aboard.snapshot, item)
    designation = aboard.snapshot.equipment[item].designation
    return f"{name} ({designation})" if designation and designation != name else name


def and_where(aboard: Aboard, item: str) -> str:
    """The same and where it stands."""
    where = aboard.where(aboard.snapshot.equipment[item])
    told = str(where) if where is not None else _("where it stands is not recorded")
    return f"{known_by(aboard, item)}: {told}"


def items(aboard: Aboard, found: Iterable[str]) -> str:
    """Several, F2 before F10; *none* for none."""
    return ", ".join(known_by(aboard, item) for item in aboard.sorted(found)) or _("none")


def figure(value: float | None, unit: str) -> str:
    """*14.4 V*, *not known*."""
    return _("not known") if value is None else f"{number(value, 4)} {unit}"


def yes_no(value: bool | None) -> str:
    """Yes, no, not known."""
    return _("not known") if value is None else _("yes") if value else _("no")
