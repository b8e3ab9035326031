"""Residual-current device."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["ResidualCurrentDevice"]


class ResidualCurrentDevice(Equipment, frozen=True, kw_only=True):
    """Residual-current device."""

    KIND: ClassVar[str] = "residual_current_device"
    NAME: ClassVar[str] = N_("Residual-current device")
    LETTERS: ClassVar[tuple[str, ...]] = ("F", "Q")
    ROLE: ClassVar[Role] = "protection"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ALL, "bottom", must=True),
            Terminal("out", ALL, "top", must=True),
        )
