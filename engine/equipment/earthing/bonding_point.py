"""Bonding point."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import Equipment, Role, Terminal
from engine.words import N_

__all__ = ["BondingPoint"]


class BondingPoint(Equipment, frozen=True, kw_only=True):
    """Bonding point."""

    KIND: ClassVar[str] = "bonding_point"
    NAME: ClassVar[str] = N_("Bonding point")
    LETTERS: ClassVar[tuple[str, ...]] = ("X", "W")
    ROLE: ClassVar[Role] = "earth"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("at", ("PE",), "top", must=True),
        )
