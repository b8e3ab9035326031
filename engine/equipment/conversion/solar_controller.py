"""Solar controller."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import DC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["SolarController"]


class SolarController(Equipment, frozen=True, kw_only=True):
    """Solar controller."""

    KIND: ClassVar[str] = "solar_controller"
    NAME: ClassVar[str] = N_("Solar controller")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("pv", DC, "top", must=True),
            Terminal("dc", DC, "bottom", must=True),
            Terminal("neg", ("-",), "bottom"),
        )
