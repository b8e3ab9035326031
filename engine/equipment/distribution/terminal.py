"""A terminal: a stud, a post or a way of a terminal block where runs meet."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import RatingA
from engine.equipment._systems import figure, first, lines_of
from engine.equipment.base import ALL, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_

__all__ = ["TerminalPoint"]


class TerminalPoint(Equipment, frozen=True, kw_only=True):
    """Everything on it is one node."""

    KIND: ClassVar[str] = "terminal"
    NAME: ClassVar[str] = N_("Terminal")
    LETTERS: ClassVar[tuple[str, ...]] = ("X",)
    ROLE: ClassVar[Role] = "junction"
    SPARKS: ClassVar[bool] = False

    rating_a: RatingA = None
    stud_size: Annotated[str, Fact(N_("size of the stud"))] = ""
    most_terminals: Annotated[int | None, Fact(N_("terminals its maker allows on it"), low=1)] = None
    largest_size: Annotated[str, Fact(N_("largest conductor it takes"), "size")] = ""

    def terminals(self) -> tuple[Terminal, ...]:
        """One place for every run."""
        return (Terminal("at", (*ALL, "S"), "top", must=True, help=N_("the terminal")),)

    def through_limit(self, terminal: str) -> float | None:
        """Its rating."""
        return first(self.through_a, self.rating_a)

    def terminals_on(self, terminal: str) -> tuple[int | None, str]:
        """Of the terminal."""
        return self.most_terminals, "most_terminals"

    def summary(self) -> tuple[str, ...]:
        """Rating."""
        return lines_of(figure(self.through_limit("at"), "A"))
