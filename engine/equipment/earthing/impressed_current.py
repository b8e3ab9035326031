"""Impressed-current protection."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import DC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["ImpressedCurrent"]


class ImpressedCurrent(Equipment, frozen=True, kw_only=True):
    """Impressed-current protection."""

    KIND: ClassVar[str] = "impressed_current"
    NAME: ClassVar[str] = N_("Impressed-current protection")
    LETTERS: ClassVar[tuple[str, ...]] = ("F", "T")
    ROLE: ClassVar[Role] = "load"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", DC, "bottom", must=True),
            Terminal("neg", ("-",), "bottom"),
            Terminal("anode", ("PE",), "right"),
        )
