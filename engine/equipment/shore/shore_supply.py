"""Shore supply."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import AC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["ShoreSupply"]


class ShoreSupply(Equipment, frozen=True, kw_only=True):
    """Shore supply."""

    KIND: ClassVar[str] = "shore_supply"
    NAME: ClassVar[str] = N_("Shore supply")
    LETTERS: ClassVar[tuple[str, ...]] = ("G", "X")
    ROLE: ClassVar[Role] = "source"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("out", AC, "top", must=True),
        )
