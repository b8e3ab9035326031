"""Taking things off the drawing, so that nothing is left that names them."""

from __future__ import annotations

from collections.abc import Iterable

from engine.edits.edit import Several
from engine.installation.model import Snapshot

__all__ = ["remove"]


def remove(snapshot: Snapshot, last_id: int, items: Iterable[str], *, with_runs: bool = False) -> Several:
    """Take equipment, runs or placements (by id) away."""
    raise NotImplementedError
