"""Photographs as the drawing records them: one record for one photograph, however often it is taken."""

from __future__ import annotations

from app.photographs.taking import Taken
from engine.edits.draft import Draft
from engine.installation.model import Snapshot

__all__ = ["existing", "recorded"]


def existing(snapshot: Snapshot, taken: Taken) -> str:
    """The id of the record of the same photograph, "" where there is none."""
    source = taken.record.source_sha256
    for item, record in sorted(snapshot.photographs.items()):
        if record.sha256 == taken.record.sha256 or (source and record.source_sha256 == source):
            return item
    return ""


def recorded(draft: Draft, taken: Taken) -> str:
    """The id under which a draft has a photograph: that of the record there is, else of a new one."""
    return existing(draft.snapshot(), taken) or draft.add("photographs", taken.record)
