"""A drawing as it stands in an operating condition: its switches in that condition's positions."""

from __future__ import annotations

import msgspec

from engine.circuit.flow.operating import positions_in as positions_shown
from engine.installation import Snapshot

__all__ = ["in_condition", "positions_shown"]


def in_condition(snapshot: Snapshot, condition: str) -> Snapshot:
    """The snapshot with every switch drawn as it stands in a condition. For drawing only: nothing is judged by it."""
    record = snapshot.conditions.get(condition)
    if record is None or not record.settings:
        return snapshot
    equipment = dict(snapshot.equipment)
    for setting in record.settings:
        there = equipment.get(setting.equipment)
        if there is not None and setting.position in there.positions() and there.in_position != setting.position:
            equipment[setting.equipment] = msgspec.structs.replace(there, in_position=setting.position)
    return Snapshot(tables=snapshot.tables | {"equipment": equipment}, lone=snapshot.lone)
