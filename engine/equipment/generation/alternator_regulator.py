"""Alternator regulator."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import Equipment, Role, Terminal
from engine.words import N_

__all__ = ["AlternatorRegulator"]


class AlternatorRegulator(Equipment, frozen=True, kw_only=True):
    """Alternator regulator."""

    KIND: ClassVar[str] = "alternator_regulator"
    NAME: ClassVar[str] = N_("Alternator regulator")
    LETTERS: ClassVar[tuple[str, ...]] = ("K", "A")
    ROLE: ClassVar[Role] = "control"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("field", ("S",), "left", must=True),
            Terminal("sense", ("S",), "right"),
        )
