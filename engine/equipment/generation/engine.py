"""Engine."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import Equipment, Role, Terminal
from engine.words import N_

__all__ = ["Engine"]


class Engine(Equipment, frozen=True, kw_only=True):
    """Engine."""

    KIND: ClassVar[str] = "engine"
    NAME: ClassVar[str] = N_("Engine")
    LETTERS: ClassVar[tuple[str, ...]] = ("M",)
    ROLE: ClassVar[Role] = "earth"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("block", ("-", "PE"), "bottom"),
        )
