"""A battery selector: off, 1, both, 2, in a ring."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment._facts import (
    BreaksLoad,
    ContinuousA,
    CrankingA,
    FieldContact,
    FiveMinuteA,
    MakesBeforeBreaks,
    Poles,
)
from engine.equipment._systems import lines_of, opened, ring, switch_ratings
from engine.equipment.base import ALL, Contact, Equipment, Role, Terminal
from engine.equipment.behaviour import Carries
from engine.words import N_

__all__ = ["Selector"]

RING = ("off", "1", "both", "2")


class Selector(Equipment, frozen=True, kw_only=True):
    """It passes only between neighbours of the ring: from 1 to 2 through both or through off."""

    KIND: ClassVar[str] = "selector"
    NAME: ClassVar[str] = N_("Battery selector")
    LETTERS: ClassVar[tuple[str, ...]] = ("Q", "S")
    ROLE: ClassVar[Role] = "switch"

    poles: Poles = ()
    continuous_a: ContinuousA = None
    five_minute_a: FiveMinuteA = None
    cranking_a: CrankingA = None
    breaks_load: BreaksLoad = None
    makes_before_breaks: MakesBeforeBreaks = None
    field_contact: FieldContact = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Two banks, one common."""
        return (
            Terminal("one", ALL, "bottom", must=True, help=N_("bank 1")),
            Terminal("two", ALL, "bottom", must=True, help=N_("bank 2")),
            Terminal("common", ALL, "top", must=True, help=N_("common")),
        )

    def positions(self) -> tuple[str, ...]:
        """In the order of the ring."""
        return RING

    def normal_position(self) -> str:
        """Bank 1."""
        return "1"

    def moves(self) -> tuple[tuple[str, str], ...]:
        """Between neighbours of the ring, both ways."""
        return ring(RING)

    def contacts(self) -> tuple[Contact, ...]:
        """Either bank, or both, to the common; every other conductor passes straight."""
        return (
            Contact("one", "common", opened(self.poles), frozenset({"1", "both"})),
            Contact("two", "common", opened(self.poles), frozenset({"2", "both"})),
        )

    def carries(self) -> Carries:
        """Its ratings."""
        return Carries(self.continuous_a, self.five_minute_a, self.cranking_a)

    def summary(self) -> tuple[str, ...]:
        """Continuous rating; five-minute and cranking ratings."""
        return lines_of(*switch_ratings(self.continuous_a, self.five_minute_a, self.cranking_a))
