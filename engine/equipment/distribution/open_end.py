"""Open end."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["OpenEnd"]


class OpenEnd(Equipment, frozen=True, kw_only=True):
    """Open end."""

    KIND: ClassVar[str] = "open_end"
    NAME: ClassVar[str] = N_("Open end")
    LETTERS: ClassVar[tuple[str, ...]] = ("X", "W")
    ROLE: ClassVar[Role] = "junction"

    def pieces(self) -> int:
        """A loose end is no article."""
        return 0

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("at", ALL, "bottom"),
        )
