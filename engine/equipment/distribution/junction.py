"""A junction: runs spliced or tapped together, with no terminal to undo."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import RatingA
from engine.equipment._systems import figure, first, lines_of
from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_

__all__ = ["Junction"]


class Junction(Equipment, frozen=True, kw_only=True):
    """Everything on it is one node."""

    KIND: ClassVar[str] = "junction"
    NAME: ClassVar[str] = N_("Junction")
    LETTERS: ClassVar[tuple[str, ...]] = ("X", "W")
    ROLE: ClassVar[Role] = "junction"
    SPARKS: ClassVar[bool] = False

    form: Annotated[
        Literal["", "crimped splice", "soldered splice", "tap", "connector", "other"], Fact(N_("how it is made"))
    ] = ""
    rating_a: RatingA = None
    sealed: Annotated[bool | None, Fact(N_("sealed against water: yes, no or not known"))] = None

    def terminals(self) -> tuple[Terminal, ...]:
        """One place for every run."""
        return (Terminal("at", (*ALL, "S"), "top", must=True, help=N_("the junction")),)

    def through_limit(self, terminal: str) -> float | None:
        """Its rating."""
        return first(self.through_a, self.rating_a)

    def summary(self) -> tuple[str, ...]:
        """Rating."""
        return lines_of(figure(self.through_limit("at"), "A"))
