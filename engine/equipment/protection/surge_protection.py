"""Surge protection."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["SurgeProtection"]


class SurgeProtection(Equipment, frozen=True, kw_only=True):
    """Surge protection."""

    KIND: ClassVar[str] = "surge_protection"
    NAME: ClassVar[str] = N_("Surge protection")
    LETTERS: ClassVar[tuple[str, ...]] = ("F",)
    ROLE: ClassVar[Role] = "protection"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("line", ALL, "bottom", must=True),
            Terminal("earth", ("PE",), "top"),
        )
