"""Socket outlet."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.words import N_

__all__ = ["SocketOutlet"]


class SocketOutlet(Equipment, frozen=True, kw_only=True):
    """Socket outlet."""

    KIND: ClassVar[str] = "socket_outlet"
    NAME: ClassVar[str] = N_("Socket outlet")
    LETTERS: ClassVar[tuple[str, ...]] = ("X",)
    ROLE: ClassVar[Role] = "load"

    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs arrive."""
        return (
            Terminal("in", ALL, "bottom", must=True),
            Terminal("earth", ("PE",), "right"),
        )
