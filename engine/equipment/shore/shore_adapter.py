"""Shore adapter."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import AC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["ShoreAdapter"]


class ShoreAdapter(Equipment, frozen=True, kw_only=True):
    """Shore adapter."""

    KIND: ClassVar[str] = "shore_adapter"
    NAME: ClassVar[str] = N_("Shore adapter")
    LETTERS: ClassVar[tuple[str, ...]] = ("X",)
    ROLE: ClassVar[Role] = "junction"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", AC, "bottom", must=True),
            Terminal("out", AC, "top", must=True),
        )
