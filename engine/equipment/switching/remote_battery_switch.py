"""Remote battery switch."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["RemoteBatterySwitch"]


class RemoteBatterySwitch(Equipment, frozen=True, kw_only=True):
    """Remote battery switch."""

    KIND: ClassVar[str] = "remote_battery_switch"
    NAME: ClassVar[str] = N_("Remote battery switch")
    LETTERS: ClassVar[tuple[str, ...]] = ("Q",)
    ROLE: ClassVar[Role] = "switch"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ALL, "bottom", must=True),
            Terminal("out", ALL, "top", must=True),
            Terminal("control", ("S",), "left"),
        )
