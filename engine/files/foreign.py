"""Equipment of a kind that this version does not know: kept as it was read, never judged, never saved."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_

__all__ = ["Foreign"]


class Foreign(Equipment, frozen=True, kw_only=True):
    """Stands where runs arrive and conducts nothing. All its members are in `unknown`, the kind among them.

    Its `KIND` is empty: `kinds()` does not list it, and a drawing that holds one opens read-only.
    """

    NAME: ClassVar[str] = N_("Equipment of an unknown kind")
    ROLE: ClassVar[Role] = "junction"

    arrivals: Annotated[tuple[str, ...], Fact(N_("terminals that runs name"))] = ()

    def terminals(self) -> tuple[Terminal, ...]:
        """Those that runs arrive at; what they can carry is not known."""
        return tuple(Terminal(name, (*ALL, "S")) for name in self.arrivals)
