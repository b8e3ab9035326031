"""The bill of materials: what is to be ordered for an installation. Only what has the status *new* is."""

from __future__ import annotations

from collections.abc import Sequence

from app.handover.labels.signs import Sign
from app.handover.parts.cable import cable_table
from app.handover.parts.changes import change_tables
from app.handover.parts.drums import drum_table
from app.handover.parts.ends import lug_table, sleeve_table
from app.handover.parts.equipment import equipment_table
from app.handover.parts.fuses import holder_table, link_table
from app.handover.parts.labels import label_table
from app.handover.parts.wanted import PartsWanted
from app.paper.table import Table
from engine.installation import Snapshot

__all__ = ["bill", "whole_bill"]


def bill(snapshot: Snapshot) -> tuple[Table, Table]:
    """Equipment to order and cable to order."""
    return equipment_table(snapshot), cable_table(snapshot)


def whole_bill(
    snapshot: Snapshot,
    wanted: PartsWanted | None = None,
    before: Snapshot | None = None,
    signs: Sequence[Sign] | None = None,
) -> tuple[Table, ...]:
    """All that is to be ordered, then what becomes of everything since the issue `before`, else what is removed.

    `signs`: those the book asks for, `None` where the drawing has not been judged.
    """
    wanted = wanted or PartsWanted()
    return (
        *bill(snapshot),
        drum_table(snapshot, wanted),
        lug_table(snapshot),
        sleeve_table(snapshot, wanted),
        holder_table(snapshot),
        link_table(snapshot, wanted),
        label_table(snapshot, signs),
        *change_tables(snapshot, before),
    )
