"""Photographs of a drawing: taken in a process of its own, kept once beside the drawing, told when gone."""

from __future__ import annotations

from app.photographs.faults import PhotographFault
from app.photographs.kept import Kept, kept, strays
from app.photographs.records import existing, recorded
from app.photographs.store import FOLDER, Store, carried_over, store_of
from app.photographs.taking import Taken, take

__all__ = [
    "FOLDER",
    "Kept",
    "PhotographFault",
    "Store",
    "Taken",
    "carried_over",
    "existing",
    "kept",
    "recorded",
    "store_of",
    "strays",
    "take",
]
