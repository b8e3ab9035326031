"""An open end: where a run ends without equipment."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_

__all__ = ["OpenEnd"]


class OpenEnd(Equipment, frozen=True, kw_only=True):
    """Nothing is bought for it."""

    KIND: ClassVar[str] = "open_end"
    NAME: ClassVar[str] = N_("Open end")
    LETTERS: ClassVar[tuple[str, ...]] = ("X", "W")
    ROLE: ClassVar[Role] = "junction"
    SPARKS: ClassVar[bool] = False

    insulated: Annotated[bool | None, Fact(N_("insulated and secured: yes, no or not known"))] = None
    leads_to: Annotated[str, Fact(N_("where it goes on, or what it was for"))] = ""

    def terminals(self) -> tuple[Terminal, ...]:
        """The end of the run."""
        return (Terminal("at", (*ALL, "S"), "bottom", help=N_("end of the run")),)

    def pieces(self) -> int:
        """No article."""
        return 0
