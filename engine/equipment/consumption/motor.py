"""Motor."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Motor"]


class Motor(Equipment, frozen=True, kw_only=True):
    """Motor."""

    KIND: ClassVar[str] = "motor"
    NAME: ClassVar[str] = N_("Motor")
    LETTERS: ClassVar[tuple[str, ...]] = ("M",)
    ROLE: ClassVar[Role] = "load"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ALL, "bottom", must=True),
            Terminal("neg", ("-",), "bottom"),
            Terminal("earth", ("PE",), "right"),
        )
