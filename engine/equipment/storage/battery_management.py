"""Battery management."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import Equipment, Role, Terminal
from engine.words import N_

__all__ = ["BatteryManagement"]


class BatteryManagement(Equipment, frozen=True, kw_only=True):
    """Battery management."""

    KIND: ClassVar[str] = "battery_management"
    NAME: ClassVar[str] = N_("Battery management")
    LETTERS: ClassVar[tuple[str, ...]] = ("K", "A")
    ROLE: ClassVar[Role] = "control"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("signal", ("S",), "right"),
            Terminal("sense", ("S",), "left"),
        )
