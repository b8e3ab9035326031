"""Inverter with independent legs."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import AC, DC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["CombinedInverter"]


class CombinedInverter(Equipment, frozen=True, kw_only=True):
    """Inverter with independent legs."""

    KIND: ClassVar[str] = "combined_inverter"
    NAME: ClassVar[str] = N_("Inverter with independent legs")
    LETTERS: ClassVar[tuple[str, ...]] = ("T", "U")
    ROLE: ClassVar[Role] = "converter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("dc", DC, "bottom", must=True),
            Terminal("neg", ("-",), "bottom"),
            Terminal("ac_in", AC, "left"),
            Terminal("leg1", AC, "top"),
            Terminal("leg2", AC, "top"),
            Terminal("earth", ("PE",), "right"),
        )
