"""Inverter."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import AC, DC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Inverter"]


class Inverter(Equipment, frozen=True, kw_only=True):
    """Inverter."""

    KIND: ClassVar[str] = "inverter"
    NAME: ClassVar[str] = N_("Inverter")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("dc", DC, "bottom", must=True),
            Terminal("neg", ("-",), "bottom"),
            Terminal("ac_out", AC, "top", must=True),
            Terminal("earth", ("PE",), "right"),
        )
