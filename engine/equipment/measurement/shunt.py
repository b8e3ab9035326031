"""A shunt: a known small resistance whose voltage tells the current. It opens nothing."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import Pole, RatingA
from engine.equipment._systems import figure, first, lines_of, together
from engine.equipment.base import ALL, Contact, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_

__all__ = ["Shunt"]


class Shunt(Equipment, frozen=True, kw_only=True):
    """It stands in the conductors named in `poles`; all others pass beside it."""

    KIND: ClassVar[str] = "shunt"
    NAME: ClassVar[str] = N_("Shunt")
    LETTERS: ClassVar[tuple[str, ...]] = ("B", "R")
    ROLE: ClassVar[Role] = "meter"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True
    SPARKS: ClassVar[bool] = False

    rating_a: RatingA = None
    drop_mv: Annotated[float | None, Fact(N_("voltage across it at its rating"), "mV", low=0)] = None
    poles: Annotated[tuple[Pole, ...], Fact(N_("conductors it stands in"))] = ("-",)
    sense_fused: Annotated[bool | None, Fact(N_("its sense leads have fuses of their own: yes, no or not known"))] = (
        None
    )

    def resistance_ohm(self) -> float | None:
        """Its resistance, ohm."""
        return None if self.drop_mv is None or not self.rating_a else self.drop_mv / 1000 / self.rating_a

    def contact_ohm(self) -> float | None:
        """Its resistance."""
        return self.resistance_ohm()

    def terminals(self) -> tuple[Terminal, ...]:
        """Two ends."""
        return (
            Terminal("in", ALL, "bottom", must=True, help=N_("one end")),
            Terminal("out", ALL, "top", must=True, help=N_("the other end")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """Everything goes through or beside it, always."""
        return (Contact("in", "out", self.poles),)

    def through_limit(self, terminal: str) -> float | None:
        """Its rating."""
        return first(self.through_a, self.rating_a)

    def missing_for_current(self) -> tuple[str, ...]:
        """Its rating."""
        return ("rating_a",) if self.through_limit("in") is None else ()

    def summary(self) -> tuple[str, ...]:
        """Rating and voltage."""
        return lines_of(together(figure(self.through_limit("in"), "A"), figure(self.drop_mv, "mV")))
