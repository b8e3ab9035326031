"""Battery switch."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["BatterySwitch"]


class BatterySwitch(Equipment, frozen=True, kw_only=True):
    """Battery switch."""

    KIND: ClassVar[str] = "battery_switch"
    NAME: ClassVar[str] = N_("Battery switch")
    LETTERS: ClassVar[tuple[str, ...]] = ("Q", "S")
    ROLE: ClassVar[Role] = "switch"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ALL, "bottom", must=True),
            Terminal("out", ALL, "top", must=True),
        )
