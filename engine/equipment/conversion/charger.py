"""Battery charger."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import AC, DC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Charger"]


class Charger(Equipment, frozen=True, kw_only=True):
    """Battery charger."""

    KIND: ClassVar[str] = "charger"
    NAME: ClassVar[str] = N_("Battery charger")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("ac", AC, "left", must=True),
            Terminal("dc", DC, "bottom", must=True),
            Terminal("neg", ("-",), "bottom"),
            Terminal("earth", ("PE",), "right"),
        )
