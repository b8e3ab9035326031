"""Solar array."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import DC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["SolarArray"]


class SolarArray(Equipment, frozen=True, kw_only=True):
    """Solar array."""

    KIND: ClassVar[str] = "solar_array"
    NAME: ClassVar[str] = N_("Solar array")
    LETTERS: ClassVar[tuple[str, ...]] = ("G",)
    ROLE: ClassVar[Role] = "source"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("pos", DC, "bottom", must=True),
            Terminal("neg", ("-",), "bottom"),
        )
