"""Which of its deficiencies a drawing shows on paper."""

from __future__ import annotations

from typing import Literal

from engine.deficiencies import is_open
from engine.installation import Snapshot

__all__ = ["WHICH", "drawn_with"]

WHICH = ("all", "open", "none")


def drawn_with(snapshot: Snapshot, which: Literal["all", "open", "none"] | str) -> Snapshot:
    """The snapshot with all of its deficiencies, with those that are not closed, or with none."""
    if which == "all" or not snapshot.deficiencies:
        return snapshot
    kept = {i: d for i, d in snapshot.deficiencies.items() if which == "open" and is_open(d)}
    return Snapshot(tables=snapshot.tables | {"deficiencies": kept}, lone=snapshot.lone)
