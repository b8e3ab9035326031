"""Load."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Load"]


class Load(Equipment, frozen=True, kw_only=True):
    """Load."""

    KIND: ClassVar[str] = "load"
    NAME: ClassVar[str] = N_("Load")
    LETTERS: ClassVar[tuple[str, ...]] = ("E", "A", "P", "B")
    ROLE: ClassVar[Role] = "load"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ALL, "bottom", must=True),
            Terminal("neg", ("-",), "bottom"),
            Terminal("earth", ("PE",), "right"),
        )
