"""Float switch."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["FloatSwitch"]


class FloatSwitch(Equipment, frozen=True, kw_only=True):
    """Float switch."""

    KIND: ClassVar[str] = "float_switch"
    NAME: ClassVar[str] = N_("Float switch")
    LETTERS: ClassVar[tuple[str, ...]] = ("B", "S")
    ROLE: ClassVar[Role] = "switch"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ALL, "bottom", must=True),
            Terminal("out", ALL, "top", must=True),
        )
