"""A contactor or relay: a coil joins or parts its poles."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import (
    BreaksLoad,
    BreaksOneWay,
    ContinuousA,
    ControlA,
    ControlledBy,
    ControlVolts,
    CrankingA,
    FieldContact,
    FiveMinuteA,
    LineTerminal,
    ManualOverride,
    OnLoss,
    Poles,
)
from engine.equipment._systems import first, opened, poles_in_words, switch_ratings, together
from engine.equipment.base import ALL, CLOSED, OPEN_CLOSED, Contact, Equipment, Role, Terminal
from engine.equipment.behaviour import Carries, Remote
from engine.record import Fact
from engine.words import N_

__all__ = ["Contactor"]


class Contactor(Equipment, frozen=True, kw_only=True):
    """A controller moves it, so every position must be safe."""

    KIND: ClassVar[str] = "contactor"
    NAME: ClassVar[str] = N_("Contactor")
    LETTERS: ClassVar[tuple[str, ...]] = ("Q", "K")
    ROLE: ClassVar[Role] = "switch"
    AUTOMATIC: ClassVar[bool] = True

    poles: Poles = ()
    continuous_a: ContinuousA = None
    five_minute_a: FiveMinuteA = None
    cranking_a: CrankingA = None
    breaks_load: BreaksLoad = None
    field_contact: FieldContact = None
    control_v: ControlVolts = None
    control_a: ControlA = None
    hold_a: Annotated[float | None, Fact(N_("coil current once pulled in"), "A", low=0)] = None
    controlled_by: ControlledBy = ""
    on_loss: OnLoss = ""
    manual_override: ManualOverride = None
    position_reported: Annotated[
        bool | None, Fact(N_("an auxiliary contact reports its position: yes, no or not known"))
    ] = None
    polarised: BreaksOneWay = None
    line_terminal: LineTerminal = ""

    def terminals(self) -> tuple[Terminal, ...]:
        """Supply, load, coil."""
        return (
            Terminal("in", ALL, "bottom", must=True, help=N_("supply")),
            Terminal("out", ALL, "top", must=True, help=N_("load")),
            Terminal("coil", ("S",), "left", help=N_("coil")),
        )

    def positions(self) -> tuple[str, ...]:
        """Open, closed."""
        return OPEN_CLOSED

    def remotes(self) -> tuple[Remote, ...]:
        """The whole of it."""
        return (Remote(self.controlled_by, self.on_loss, self.manual_override),)

    def contacts(self) -> tuple[Contact, ...]:
        """Its poles when closed; every other conductor passes straight."""
        return (Contact("in", "out", opened(self.poles), CLOSED),)

    def through_limit(self, terminal: str) -> float | None:
        """Its continuous rating."""
        return first(self.through_a, self.continuous_a)

    def missing_for_current(self) -> tuple[str, ...]:
        """Its continuous rating."""
        return ("continuous_a",) if self.through_limit("in") is None else ()

    def carries(self) -> Carries:
        """Its ratings."""
        return Carries(first(self.continuous_a, self.through_a), self.five_minute_a, self.cranking_a)

    def summary(self) -> tuple[str, ...]:
        """Continuous rating and poles; five-minute and cranking ratings."""
        ratings = switch_ratings(self.through_limit("in"), self.five_minute_a, self.cranking_a)
        first_line = together(ratings[0], poles_in_words(self.poles))
        return tuple(line for line in (first_line, ratings[1]) if line)
