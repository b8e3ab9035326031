"""Rectifier."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import AC, DC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Rectifier"]


class Rectifier(Equipment, frozen=True, kw_only=True):
    """Rectifier."""

    KIND: ClassVar[str] = "rectifier"
    NAME: ClassVar[str] = N_("Rectifier")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("ac", AC, "top", must=True),
            Terminal("pos", DC, "bottom", must=True),
            Terminal("neg", ("-",), "bottom"),
        )
