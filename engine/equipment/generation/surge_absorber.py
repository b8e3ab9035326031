"""Surge absorber."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import DC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["SurgeAbsorber"]


class SurgeAbsorber(Equipment, frozen=True, kw_only=True):
    """Surge absorber."""

    KIND: ClassVar[str] = "surge_absorber"
    NAME: ClassVar[str] = N_("Surge absorber")
    LETTERS: ClassVar[tuple[str, ...]] = ("F", "R")
    ROLE: ClassVar[Role] = "protection"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("pos", DC, "bottom", must=True),
            Terminal("neg", ("-",), "bottom"),
        )
