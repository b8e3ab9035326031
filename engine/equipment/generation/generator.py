"""Generator."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import AC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Generator"]


class Generator(Equipment, frozen=True, kw_only=True):
    """Generator."""

    KIND: ClassVar[str] = "generator"
    NAME: ClassVar[str] = N_("Generator")
    LETTERS: ClassVar[tuple[str, ...]] = ("G",)
    ROLE: ClassVar[Role] = "source"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("out", AC, "top", must=True),
            Terminal("earth", ("PE",), "right"),
        )
