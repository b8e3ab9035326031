"""Charging relay."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["ChargingRelay"]


class ChargingRelay(Equipment, frozen=True, kw_only=True):
    """Charging relay."""

    KIND: ClassVar[str] = "charging_relay"
    NAME: ClassVar[str] = N_("Charging relay")
    LETTERS: ClassVar[tuple[str, ...]] = ("Q", "K")
    ROLE: ClassVar[Role] = "switch"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("a", ALL, "left", must=True),
            Terminal("b", ALL, "right", must=True),
        )
