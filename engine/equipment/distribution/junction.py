"""Junction."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Junction"]


class Junction(Equipment, frozen=True, kw_only=True):
    """Junction."""

    KIND: ClassVar[str] = "junction"
    NAME: ClassVar[str] = N_("Junction")
    LETTERS: ClassVar[tuple[str, ...]] = ("X", "W")
    ROLE: ClassVar[Role] = "junction"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("at", ALL, "top", must=True),
        )
