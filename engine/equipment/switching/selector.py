"""Battery selector."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Selector"]


class Selector(Equipment, frozen=True, kw_only=True):
    """Battery selector."""

    KIND: ClassVar[str] = "selector"
    NAME: ClassVar[str] = N_("Battery selector")
    LETTERS: ClassVar[tuple[str, ...]] = ("Q", "S")
    ROLE: ClassVar[Role] = "switch"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("one", ALL, "bottom", must=True),
            Terminal("two", ALL, "bottom", must=True),
            Terminal("common", ALL, "top", must=True),
        )
