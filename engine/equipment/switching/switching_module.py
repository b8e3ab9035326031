"""Switching module."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import DC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["SwitchingModule"]


class SwitchingModule(Equipment, frozen=True, kw_only=True):
    """Switching module."""

    KIND: ClassVar[str] = "switching_module"
    NAME: ClassVar[str] = N_("Switching module")
    LETTERS: ClassVar[tuple[str, ...]] = ("A", "K", "Q")
    ROLE: ClassVar[Role] = "switch"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("supply", DC, "bottom", must=True),
            Terminal("neg", ("-",), "bottom"),
        )
