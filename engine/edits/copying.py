"""What is copied, as a value and as text for the clipboard."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import msgspec

from engine.installation.model import Snapshot

__all__ = ["Clip", "copy"]


class Clip(msgspec.Struct, frozen=True):
    """Equipment, the runs between them, and how both are drawn."""

    tables: dict[str, dict[str, Any]]

    def to_text(self) -> str:
        """For the clipboard."""
        raise NotImplementedError

    @classmethod
    def from_text(cls, text: str) -> Clip:
        """Reads what `to_text` wrote; raises `EditError` for anything else."""
        raise NotImplementedError


def copy(snapshot: Snapshot, items: Iterable[str]) -> Clip:
    """What equipment, runs or placements (by id) stand for."""
    raise NotImplementedError
