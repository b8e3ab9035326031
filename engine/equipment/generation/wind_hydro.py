"""Wind or water generator."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import DC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["WindHydro"]


class WindHydro(Equipment, frozen=True, kw_only=True):
    """Wind or water generator."""

    KIND: ClassVar[str] = "wind_hydro"
    NAME: ClassVar[str] = N_("Wind or water generator")
    LETTERS: ClassVar[tuple[str, ...]] = ("G",)
    ROLE: ClassVar[Role] = "source"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("pos", DC, "bottom", must=True),
            Terminal("neg", ("-",), "bottom"),
        )
