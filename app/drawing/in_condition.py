"""A drawing as it stands in an operating condition, or in a state that none stores: its switches in those positions."""

from __future__ import annotations

import msgspec

from engine.circuit.flow.operating import positions_in
from engine.installation import Snapshot

__all__ = ["State", "in_condition", "positions_shown", "running_in"]


class State(msgspec.Struct, frozen=True):
    """Positions that are shown and that no condition stores, of everything that stands otherwise than drawn or not."""

    positions: tuple[tuple[str, str], ...]  # (equipment, position)
    running: tuple[str, ...] | None = None  # sources that run; None: any may
    about: tuple[str, ...] = ()  # ids of what it is shown for: the way between sources among them is marked
    gone: tuple[str, ...] = ()  # equipment that joins nothing and gives nothing: failed, or a fuse that is drawn
    silent: tuple[str, ...] = ()  # equipment that gives nothing and joins as before


def positions_shown(snapshot: Snapshot, condition: str, state: State | None = None) -> dict[str, str]:
    """Where everything that has positions stands: in a state, else in a condition, else as drawn."""
    if state is None:
        return positions_in(snapshot, condition)
    shown = positions_in(snapshot, "")
    for item, position in state.positions:
        if item in shown and position in snapshot.equipment[item].positions():
            shown[item] = position
    return shown


def running_in(snapshot: Snapshot, condition: str, state: State | None = None) -> tuple[str, ...] | None:
    """The sources that run; `None`: nobody recorded which, any may (as drawn, or in a state that does not say)."""
    if state is not None:
        return state.running
    record = snapshot.conditions.get(condition)
    return None if record is None else record.running


def in_condition(snapshot: Snapshot, condition: str, state: State | None = None) -> Snapshot:
    """The snapshot with every switch drawn as it stands. For drawing only: nothing is judged by it."""
    record = snapshot.conditions.get(condition)
    if state is None and (record is None or not record.settings):
        return snapshot
    equipment = dict(snapshot.equipment)
    for item, position in positions_shown(snapshot, condition, state).items():
        there = equipment[item]
        if there.in_position != position and there.drawn_position() != position:
            equipment[item] = msgspec.structs.replace(there, in_position=position)
    return Snapshot(tables=snapshot.tables | {"equipment": equipment}, lone=snapshot.lone)
