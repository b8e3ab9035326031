"""An operating condition as every analysis of currents takes it: positions, sources that run, consumers that draw.

* Positions are the condition's, else those drawn. A float switch (anything that opens and closes by itself and stands
  before consumers) that the condition does not name counts as closed: its pump is to be carried when it runs.
* Consumers draw that have hours in the condition, all at the same time: what must be carried, not what is likely.
  Where the condition records no hours at all, every consumer draws; so too as drawn. An engine's starter draws only
  while it starts (`engine.circuit.flow.starting`).
* Sources that must run or be plugged in do where the condition lists them. Where it lists none, nobody recorded which:
  then shore and generators feed what they are joined to, and nothing charges (the worse case for a bank's circuits).
  A solar array gives its power where it is listed.

What was taken as so stands in `taken`, in sentences.
"""

from __future__ import annotations

from typing import NamedTuple

from engine.installation.model import Snapshot
from engine.words import _

__all__ = ["STARTER", "Operation", "operation", "operations", "positions_in"]

STARTER = "engine starter"


class Operation(NamedTuple):
    """One condition. `hours` of consumers with recorded hours; `on` are those that draw."""

    condition: str  # id, "" as drawn
    name: str
    positions: dict[str, str]  # of everything that has positions
    running: frozenset[str] | None  # None: not recorded
    hours: dict[str, float]
    on: frozenset[str]
    has_hours: bool  # whether the condition records any
    taken: tuple[str, ...] = ()


def positions_in(snapshot: Snapshot, condition: str) -> dict[str, str]:
    """The position of everything that has positions, as the condition has it, else as drawn.

    A setting that names what is not there, or a position it does not have, is left out.
    """
    shown = {item: record.drawn_position() for item, record in snapshot.equipment.items() if record.positions()}
    record = snapshot.conditions.get(condition)
    for setting in record.settings if record is not None else ():
        if setting.equipment in shown and setting.position in snapshot.equipment[setting.equipment].positions():
            shown[setting.equipment] = setting.position
    return shown


def operation(snapshot: Snapshot, condition: str = "") -> Operation:
    """A condition by id; as drawn for `""` or one that is gone."""
    record = snapshot.conditions.get(condition)
    positions = positions_in(snapshot, condition)
    taken: list[str] = []
    named = {s.equipment for s in record.settings} if record is not None else set()
    floats = [
        item
        for item, at in positions.items()
        if item not in named and at == "open" and snapshot.equipment[item].CLOSES_ON_NEED
    ]
    for item in floats:
        positions[item] = "closed"
    if floats:
        taken.append(
            _("{items}: taken as closed, so that what stands behind counts as running").format(
                items=", ".join(snapshot.name(item) for item in floats)
            )
        )
    hours: dict[str, float] = {}
    consumers: list[str] = []
    for item, equipment in snapshot.equipment.items():
        use = equipment.use()
        if use is None or equipment.status == "spare":
            continue
        if use.service != STARTER:
            consumers.append(item)
        if record is not None:
            hours.update((item, amount) for of, amount in use.duty if of == condition)
    if record is not None:
        known = set(consumers)
        hours.update((duty.equipment, duty.hours_a_day) for duty in record.duties if duty.equipment in known)
    has_hours = bool(hours)
    on = frozenset(item for item in consumers if not has_hours or hours.get(item, 0.0) > 0)
    if not has_hours:
        taken.append(_("no hours of any load are recorded: every load counts as drawing at the same time"))
    running = frozenset(record.running) if record is not None and record.running else None
    if running is None:
        taken.append(
            _("which sources run is not recorded: shore and generators feed what they are joined to, nothing charges")
        )
    name = record.name if record is not None else _("as drawn")
    return Operation(
        condition if record is not None else "", name, positions, running, hours, on, has_hours, tuple(taken)
    )


def operations(snapshot: Snapshot) -> tuple[Operation, ...]:
    """Every condition recorded, in their order; as drawn where there is none."""
    every = sorted(snapshot.conditions, key=lambda c: (snapshot.conditions[c].order, c))
    return tuple(operation(snapshot, item) for item in every) or (operation(snapshot),)
