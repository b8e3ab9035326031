"""Shore inlet."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import AC, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["ShoreInlet"]


class ShoreInlet(Equipment, frozen=True, kw_only=True):
    """Shore inlet."""

    KIND: ClassVar[str] = "shore_inlet"
    NAME: ClassVar[str] = N_("Shore inlet")
    LETTERS: ClassVar[tuple[str, ...]] = ("X",)
    ROLE: ClassVar[Role] = "source"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("shore", AC, "bottom"),
            Terminal("out", AC, "top", must=True),
        )
