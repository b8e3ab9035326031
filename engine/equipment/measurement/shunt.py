"""Shunt."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Shunt"]


class Shunt(Equipment, frozen=True, kw_only=True):
    """Shunt."""

    KIND: ClassVar[str] = "shunt"
    NAME: ClassVar[str] = N_("Shunt")
    LETTERS: ClassVar[tuple[str, ...]] = ("B", "R")
    ROLE: ClassVar[Role] = "meter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ALL, "bottom", must=True),
            Terminal("out", ALL, "top", must=True),
        )
