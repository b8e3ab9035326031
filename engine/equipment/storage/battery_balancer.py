"""Battery balancer."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import DC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["BatteryBalancer"]


class BatteryBalancer(Equipment, frozen=True, kw_only=True):
    """Battery balancer."""

    KIND: ClassVar[str] = "battery_balancer"
    NAME: ClassVar[str] = N_("Battery balancer")
    LETTERS: ClassVar[tuple[str, ...]] = ("T", "K")
    ROLE: ClassVar[Role] = "converter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("pos", DC, "top", must=True),
            Terminal("mid", ("+",), "left", must=True),
            Terminal("neg", ("-",), "bottom"),
        )
