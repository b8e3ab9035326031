"""A bus bar: studs in a row, numbered by the runs that arrive (`End.stud_number`)."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import RatingA
from engine.equipment._systems import bond, figure, lines_of
from engine.equipment.base import ALL, Contact, Equipment, Role, Terminal
from engine.equipment.behaviour import Carries
from engine.record import Fact
from engine.words import N_

__all__ = ["BusBar"]


class BusBar(Equipment, frozen=True, kw_only=True):
    """Everything on it is one node; what flows between its studs depends on their order."""

    KIND: ClassVar[str] = "bus_bar"
    NAME: ClassVar[str] = N_("Bus bar")
    LETTERS: ClassVar[tuple[str, ...]] = ("W", "X")
    ROLE: ClassVar[Role] = "bus"
    SPARKS: ClassVar[bool] = False

    rating_a: RatingA = None
    purpose: Annotated[
        Literal["", "positive", "negative", "pair", "line", "neutral", "protective earth", "bonding"],
        Fact(N_("what it distributes")),
    ] = ""
    studs: Annotated[int | None, Fact(N_("studs"), low=1)] = None
    stud_size: Annotated[str, Fact(N_("size of the studs"))] = ""
    terminals_per_stud: Annotated[int | None, Fact(N_("terminals its maker allows on a stud"), low=1)] = None
    section_mm2: Annotated[float | None, Fact(N_("cross-section of the bar"), "mm2", low=0)] = None
    short_time_a: Annotated[float | None, Fact(N_("fault current it withstands for a second"), "A", low=0)] = None
    bonds_neutral: Annotated[
        bool | None, Fact(N_("neutral bonded to protective earth on it: yes, no or not known; taken as no"))
    ] = None

    def terminals(self) -> tuple[Terminal, ...]:
        """All its studs."""
        return (Terminal("bar", ALL, "top", must=True, help=N_("any stud")),)

    def contacts(self) -> tuple[Contact, ...]:
        """The bond of neutral and earth, where it has one."""
        return (bond("bar"),) if self.bonds_neutral else ()

    def carries(self) -> Carries:
        """Its ratings."""
        return Carries(continuous_a=self.rating_a, short_time_a=self.short_time_a)

    def is_earth_bus(self) -> bool:
        """By what it distributes."""
        return self.purpose == "protective earth"

    def terminals_on(self, terminal: str) -> tuple[int | None, str]:
        """Of each of its studs."""
        return self.terminals_per_stud, "terminals_per_stud"

    def stud_count(self) -> int | None:
        """By what is recorded."""
        return self.studs

    def summary(self) -> tuple[str, ...]:
        """Rating."""
        return lines_of(figure(self.rating_a, "A"))
