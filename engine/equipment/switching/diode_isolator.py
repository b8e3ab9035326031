"""Diode isolator."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["DiodeIsolator"]


class DiodeIsolator(Equipment, frozen=True, kw_only=True):
    """Diode isolator."""

    KIND: ClassVar[str] = "diode_isolator"
    NAME: ClassVar[str] = N_("Diode isolator")
    LETTERS: ClassVar[tuple[str, ...]] = ("R",)
    ROLE: ClassVar[Role] = "switch"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ALL, "bottom", must=True),
            Terminal("out1", ALL, "top", must=True),
            Terminal("out2", ALL, "top", must=True),
            Terminal("out3", ALL, "top"),
        )
