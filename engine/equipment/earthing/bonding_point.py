"""A bonding point: metal that is joined to the bonding system."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment.base import Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_

__all__ = ["BondingPoint"]


class BondingPoint(Equipment, frozen=True, kw_only=True):
    """Tank, through-hull fitting, rail, mast step."""

    KIND: ClassVar[str] = "bonding_point"
    NAME: ClassVar[str] = N_("Bonding point")
    LETTERS: ClassVar[tuple[str, ...]] = ("X", "W")
    ROLE: ClassVar[Role] = "earth"
    SPARKS: ClassVar[bool] = False
    SEA_FIELD: ClassVar[str] = "under_water"

    bonds: Annotated[str, Fact(N_("what is bonded"))] = ""
    under_water: Annotated[bool | None, Fact(N_("it touches the sea: yes, no or not known"))] = None
    lightning: Annotated[bool | None, Fact(N_("part of the lightning protection: yes, no or not known"))] = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Bonding."""
        return (Terminal("at", ("PE",), "top", must=True, help=N_("the point")),)

    def touches_sea(self) -> bool | None:
        """By what is recorded."""
        return self.under_water
