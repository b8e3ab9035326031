"""Equipment: everything drawn, with its ratings, where it stands, what it is marked with, what its plate says."""

from __future__ import annotations

from app.handover.schedules.aboard import Aboard, Notes
from app.handover.schedules.systems import system_name
from app.paper.table import Column, Table, Value
from engine.equipment.base import LIVE
from engine.words import _

__all__ = ["equipment"]


def equipment(aboard: Aboard) -> Table:
    """One row a piece, by designation."""
    notes = Notes(aboard)
    systems = _systems(aboard)
    rows = [_row(aboard, item, systems.get(item, ())) for item in aboard.sorted(aboard.snapshot.equipment)]
    if not rows:
        notes.say(_("No equipment is drawn."))
    else:
        notes.say(_("Serial numbers are not kept in the drawing: the column is for writing them in by hand."))
    columns = (
        Column("item", _("Designation"), width=28),
        Column("label", _("What it is"), width=50),
        Column("kind", _("Kind"), width=36),
        Column("system", _("System"), width=28),
        Column("ratings", _("Ratings"), width=60),
        Column("quantity", _("Pieces"), "", "right"),
        Column("panel", _("Panel, position"), width=34),
        Column("place", _("Place"), width=32),
        Column("marking", _("Marked (before the refit)"), width=38),
        Column("status", _("Status"), width=22),
        Column("maker", _("Maker"), width=34),
        Column("part_number", _("Part number"), width=34),
        Column("year", _("Made")),
        Column("serial", _("Serial number"), least=36, blank=True),
        Column("note", _("Note"), width=50),
    )
    return Table("equipment", _("Equipment"), columns, tuple(rows), notes.texts())


def _row(aboard: Aboard, item: str, systems: tuple[str, ...]) -> tuple[Value, ...]:
    record = aboard.snapshot.equipment[item]
    marking = record.marking
    if record.old_marking and record.old_marking != marking:
        marking = f"{marking} ({record.old_marking})".strip()
    year = getattr(record, "year", None)
    return (
        record.designation or _("without designation"),
        record.label,
        _(record.NAME),
        ", ".join(systems) or None,
        "; ".join(record.summary()) or None,
        record.quantity,
        aboard.panel(record) or _("none recorded"),
        aboard.place(record) or None,
        marking or None,
        _(record.status),
        record.maker or None,
        record.part_number or None,
        str(year) if year is not None else None if hasattr(record, "year") else _("n/a"),
        None,
        record.note,
    )


def _systems(aboard: Aboard) -> dict[str, tuple[str, ...]]:
    """The systems whose live conductors arrive at it; of what has none, those of its negative; else earth."""
    live: dict[str, dict[str, None]] = {}
    rest: dict[str, dict[str, None]] = {}
    earth: dict[str, dict[str, None]] = {}
    volts: tuple[float, ...]
    for number, node in enumerate(aboard.study.circuit.nodes):
        if node.conductor in ("PE", "S"):
            into, kind, volts = earth, "signal" if node.conductor == "S" else "earth", ()
        else:
            into = live if node.conductor in LIVE else rest
            kind, volts = aboard.zones.system(number)
        name = system_name(kind, volts)
        if name:
            into.setdefault(node.equipment, {})[name] = None
    made = {**earth, **rest, **live}  # what comes last stands
    return {item: tuple(sorted(names)) for item, names in made.items()}
