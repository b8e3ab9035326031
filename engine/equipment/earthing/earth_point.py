"""Earth point."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import Equipment, Role, Terminal
from engine.words import N_

__all__ = ["EarthPoint"]


class EarthPoint(Equipment, frozen=True, kw_only=True):
    """Earth point."""

    KIND: ClassVar[str] = "earth_point"
    NAME: ClassVar[str] = N_("Earth point")
    LETTERS: ClassVar[tuple[str, ...]] = ("X",)
    ROLE: ClassVar[Role] = "earth"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("at", ("-", "PE"), "top", must=True),
        )
