"""Anode."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Anode"]


class Anode(Equipment, frozen=True, kw_only=True):
    """Anode."""

    KIND: ClassVar[str] = "anode"
    NAME: ClassVar[str] = N_("Anode")
    LETTERS: ClassVar[tuple[str, ...]] = ("F",)
    ROLE: ClassVar[Role] = "earth"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("at", ("PE",), "top", must=True),
        )
