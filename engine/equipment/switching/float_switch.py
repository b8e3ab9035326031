"""A float switch: the water level closes it."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import BreaksLoad, ContinuousA, ManualOverride, Poles
from engine.equipment._systems import figure, first, lines_of, opened, poles_in_words, together
from engine.equipment.base import ALL, CLOSED, OPEN_CLOSED, Contact, Equipment, Role, Terminal
from engine.equipment.behaviour import Carries
from engine.record import Fact
from engine.words import N_

__all__ = ["FloatSwitch"]


class FloatSwitch(Equipment, frozen=True, kw_only=True):
    """The water moves it, so every position must be safe."""

    KIND: ClassVar[str] = "float_switch"
    NAME: ClassVar[str] = N_("Float switch")
    LETTERS: ClassVar[tuple[str, ...]] = ("B", "S")
    ROLE: ClassVar[Role] = "switch"
    AUTOMATIC: ClassVar[bool] = True
    CLOSES_ON_NEED: ClassVar[bool] = True

    poles: Poles = ()
    continuous_a: ContinuousA = None
    breaks_load: BreaksLoad = None
    closes_when: Annotated[str, Fact(N_("level at which it closes"))] = ""
    manual_override: ManualOverride = None
    alarm: Annotated[bool | None, Fact(N_("also gives an alarm: yes, no or not known"))] = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Supply and pump."""
        return (
            Terminal("in", ALL, "bottom", must=True, help=N_("supply")),
            Terminal("out", ALL, "top", must=True, help=N_("pump or alarm")),
        )

    def positions(self) -> tuple[str, ...]:
        """Open, closed."""
        return OPEN_CLOSED

    def contacts(self) -> tuple[Contact, ...]:
        """Closed by the water; every other conductor passes straight."""
        return (Contact("in", "out", opened(self.poles), CLOSED),)

    def through_limit(self, terminal: str) -> float | None:
        """Its continuous rating."""
        return first(self.through_a, self.continuous_a)

    def missing_for_current(self) -> tuple[str, ...]:
        """Its continuous rating."""
        return ("continuous_a",) if self.through_limit("in") is None else ()

    def carries(self) -> Carries:
        """Its ratings."""
        return Carries(first(self.continuous_a, self.through_a), None, None)

    def summary(self) -> tuple[str, ...]:
        """Rating and poles."""
        return lines_of(together(figure(self.through_limit("in"), "A"), poles_in_words(self.poles)))
