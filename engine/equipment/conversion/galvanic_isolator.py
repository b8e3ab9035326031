"""Galvanic isolator."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import Equipment, Role, Terminal
from engine.words import N_

__all__ = ["GalvanicIsolator"]


class GalvanicIsolator(Equipment, frozen=True, kw_only=True):
    """Galvanic isolator."""

    KIND: ClassVar[str] = "galvanic_isolator"
    NAME: ClassVar[str] = N_("Galvanic isolator")
    LETTERS: ClassVar[tuple[str, ...]] = ("F", "R")
    ROLE: ClassVar[Role] = "earth"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ("PE",), "left", must=True),
            Terminal("out", ("PE",), "right", must=True),
        )
