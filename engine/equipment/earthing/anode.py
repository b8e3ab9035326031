"""A sacrificial anode."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._systems import figure, lines_of, together, word
from engine.equipment.base import Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_

__all__ = ["Anode"]


class Anode(Equipment, frozen=True, kw_only=True):
    """On the bonding system, in the sea."""

    KIND: ClassVar[str] = "anode"
    NAME: ClassVar[str] = N_("Anode")
    LETTERS: ClassVar[tuple[str, ...]] = ("F",)
    ROLE: ClassVar[Role] = "earth"
    SPARKS: ClassVar[bool] = False

    metal: Annotated[Literal["", "zinc", "aluminium", "magnesium", "iron"], Fact(N_("metal"))] = ""
    mass_kg: Annotated[float | None, Fact(N_("mass of one"), "kg", low=0)] = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Bonding."""
        return (Terminal("at", ("PE",), "top", must=True, help=N_("bonding")),)

    def touches_sea(self) -> bool:
        """It does."""
        return True

    def summary(self) -> tuple[str, ...]:
        """Metal and mass."""
        return lines_of(together(word(self.metal), figure(self.mass_kg, "kg")))
