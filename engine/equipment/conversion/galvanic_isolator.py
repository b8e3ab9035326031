"""A galvanic isolator in the shore's protective earth: blocks the small DC of corrosion, carries fault current."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import RatingA
from engine.equipment._systems import figure, first, lines_of
from engine.equipment.base import Contact, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_, _

__all__ = ["GalvanicIsolator"]


class GalvanicIsolator(Equipment, frozen=True, kw_only=True):
    """To a fault it is a conductor; one that is not fail-safe may leave the earth open."""

    KIND: ClassVar[str] = "galvanic_isolator"
    NAME: ClassVar[str] = N_("Galvanic isolator")
    LETTERS: ClassVar[tuple[str, ...]] = ("F", "R")
    ROLE: ClassVar[Role] = "earth"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True
    SPARKS: ClassVar[bool] = False

    rating_a: RatingA = None
    fail_safe: Annotated[bool | None, Fact(N_("a failed one still conducts: yes, no or not known"))] = None
    monitored: Annotated[bool | None, Fact(N_("its state is shown: yes, no or not known"))] = None
    blocks_v: Annotated[float | None, Fact(N_("DC voltage it blocks"), "V", low=0)] = None
    fault_a: Annotated[float | None, Fact(N_("fault current it withstands"), "A", low=0)] = None
    fault_s: Annotated[float | None, Fact(N_("for how long"), "s", low=0)] = None

    def terminals(self) -> tuple[Terminal, ...]:
        """In the earth conductor."""
        return (
            Terminal("in", ("PE",), "left", must=True, help=N_("towards the inlet")),
            Terminal("out", ("PE",), "right", must=True, help=N_("towards the boat's earth")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """Earth goes through."""
        return (Contact("in", "out", ("PE",), straight=False),)

    def through_limit(self, terminal: str) -> float | None:
        """Its rating."""
        return first(self.through_a, self.rating_a)

    def missing_for_current(self) -> tuple[str, ...]:
        """Its rating."""
        return ("rating_a",) if self.through_limit("in") is None else ()

    def blocks_corrosion(self) -> bool:
        """That is what it is for."""
        return True

    def fails_open(self) -> bool | None:
        """Unless a failed one still conducts."""
        return None if self.fail_safe is None else not self.fail_safe

    def summary(self) -> tuple[str, ...]:
        """Rating; whether it fails safe."""
        safe = {True: _("fail-safe"), False: _("not fail-safe"), None: ""}[self.fail_safe]
        return lines_of(figure(self.through_limit("in"), "A"), safe)
