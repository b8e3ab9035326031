"""Alternator."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import DC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Alternator"]


class Alternator(Equipment, frozen=True, kw_only=True):
    """Alternator."""

    KIND: ClassVar[str] = "alternator"
    NAME: ClassVar[str] = N_("Alternator")
    LETTERS: ClassVar[tuple[str, ...]] = ("G",)
    ROLE: ClassVar[Role] = "source"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("pos", DC, "bottom", must=True),
            Terminal("neg", ("-",), "bottom"),
            Terminal("field", ("S",), "right"),
        )
