"""Isolation transformer."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import AC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["IsolationTransformer"]


class IsolationTransformer(Equipment, frozen=True, kw_only=True):
    """Isolation transformer."""

    KIND: ClassVar[str] = "isolation_transformer"
    NAME: ClassVar[str] = N_("Isolation transformer")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("primary", AC, "bottom", must=True),
            Terminal("secondary", AC, "top", must=True),
            Terminal("earth", ("PE",), "right"),
        )
