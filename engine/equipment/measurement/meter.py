"""Meter."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Meter"]


class Meter(Equipment, frozen=True, kw_only=True):
    """Meter."""

    KIND: ClassVar[str] = "meter"
    NAME: ClassVar[str] = N_("Meter")
    LETTERS: ClassVar[tuple[str, ...]] = ("P",)
    ROLE: ClassVar[Role] = "meter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("sense", ALL, "bottom", must=True),
        )
