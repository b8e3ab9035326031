"""Leading a run over a sheet: by hand, or found again."""

from __future__ import annotations

from collections.abc import Iterable

from engine.edits import Several
from engine.installation import Snapshot

__all__ = ["lead", "lead_anew"]


def lead(
    snapshot: Snapshot, run: str, sheet: str, corners: Iterable[tuple[int, int]], *, last_id: int | None = None
) -> Several:
    """Lead a run over these corners; they stay when an end moves."""
    raise NotImplementedError


def lead_anew(snapshot: Snapshot, runs: Iterable[str], sheet: str, *, last_id: int | None = None) -> Several:
    """Find runs a way again."""
    raise NotImplementedError
