"""Contactor."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Contactor"]


class Contactor(Equipment, frozen=True, kw_only=True):
    """Contactor."""

    KIND: ClassVar[str] = "contactor"
    NAME: ClassVar[str] = N_("Contactor")
    LETTERS: ClassVar[tuple[str, ...]] = ("Q", "K")
    ROLE: ClassVar[Role] = "switch"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ALL, "bottom", must=True),
            Terminal("out", ALL, "top", must=True),
            Terminal("coil", ("S",), "left"),
        )
