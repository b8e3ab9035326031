"""Terminal."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["TerminalPoint"]


class TerminalPoint(Equipment, frozen=True, kw_only=True):
    """Terminal."""

    KIND: ClassVar[str] = "terminal"
    NAME: ClassVar[str] = N_("Terminal")
    LETTERS: ClassVar[tuple[str, ...]] = ("X",)
    ROLE: ClassVar[Role] = "junction"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("at", ALL, "top", must=True),
        )
