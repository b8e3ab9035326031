"""A battery switch or disconnect, worked by hand."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import BreaksLoad, ContinuousA, CrankingA, FieldContact, FiveMinuteA, Poles
from engine.equipment._systems import opened, poles_in_words, switch_ratings, together
from engine.equipment.base import ALL, CLOSED, OPEN_CLOSED, Contact, Equipment, Role, Terminal
from engine.equipment.behaviour import Carries
from engine.record import Fact
from engine.words import N_

__all__ = ["BatterySwitch"]


class BatterySwitch(Equipment, frozen=True, kw_only=True):
    """It opens the conductors named in `poles`, all at once."""

    KIND: ClassVar[str] = "battery_switch"
    NAME: ClassVar[str] = N_("Battery switch")
    LETTERS: ClassVar[tuple[str, ...]] = ("Q", "S")
    ROLE: ClassVar[Role] = "switch"

    poles: Poles = ()
    continuous_a: ContinuousA = None
    five_minute_a: FiveMinuteA = None
    cranking_a: CrankingA = None
    breaks_load: BreaksLoad = None
    field_contact: FieldContact = None
    emergency_access: Annotated[bool | None, Fact(N_("can be reached in an emergency: yes, no or not known"))] = None
    lockable: Annotated[bool | None, Fact(N_("can be locked open: yes, no or not known"))] = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Supply and load."""
        return (
            Terminal("in", ALL, "bottom", must=True, help=N_("supply")),
            Terminal("out", ALL, "top", must=True, help=N_("load")),
        )

    def positions(self) -> tuple[str, ...]:
        """Open, closed."""
        return OPEN_CLOSED

    def contacts(self) -> tuple[Contact, ...]:
        """Its poles when closed; every other conductor passes straight."""
        return (Contact("in", "out", opened(self.poles), CLOSED),)

    def carries(self) -> Carries:
        """Its ratings."""
        return Carries(self.continuous_a, self.five_minute_a, self.cranking_a)

    def summary(self) -> tuple[str, ...]:
        """Continuous rating and poles; five-minute and cranking ratings."""
        ratings = switch_ratings(self.continuous_a, self.five_minute_a, self.cranking_a)
        first_line = together(ratings[0], poles_in_words(self.poles))
        return tuple(line for line in (first_line, ratings[1]) if line)
