"""Bus bar."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["BusBar"]


class BusBar(Equipment, frozen=True, kw_only=True):
    """Bus bar."""

    KIND: ClassVar[str] = "bus_bar"
    NAME: ClassVar[str] = N_("Bus bar")
    LETTERS: ClassVar[tuple[str, ...]] = ("W", "X")
    ROLE: ClassVar[Role] = "bus"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("bar", ALL, "top", must=True),
        )
