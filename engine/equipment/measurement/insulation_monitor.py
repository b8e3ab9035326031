"""Insulation monitor."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["InsulationMonitor"]


class InsulationMonitor(Equipment, frozen=True, kw_only=True):
    """Insulation monitor."""

    KIND: ClassVar[str] = "insulation_monitor"
    NAME: ClassVar[str] = N_("Insulation monitor")
    LETTERS: ClassVar[tuple[str, ...]] = ("B", "P")
    ROLE: ClassVar[Role] = "meter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("sense", ALL, "bottom", must=True),
            Terminal("earth", ("PE",), "right"),
        )
