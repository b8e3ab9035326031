"""A battery switch worked from afar, by a motor or a latching coil."""

from __future__ import annotations

from typing import ClassVar

from engine.equipment._facts import (
    BreaksLoad,
    ContinuousA,
    ControlA,
    ControlledBy,
    ControlVolts,
    CrankingA,
    FieldContact,
    FiveMinuteA,
    ManualOverride,
    OnLoss,
    Poles,
)
from engine.equipment._systems import opened, poles_in_words, switch_ratings, together
from engine.equipment.base import ALL, CLOSED, OPEN_CLOSED, Contact, Equipment, Role, Terminal
from engine.equipment.behaviour import Carries, Remote
from engine.words import N_

__all__ = ["RemoteBatterySwitch"]


class RemoteBatterySwitch(Equipment, frozen=True, kw_only=True):
    """It opens the conductors named in `poles`, all at once."""

    KIND: ClassVar[str] = "remote_battery_switch"
    NAME: ClassVar[str] = N_("Remote battery switch")
    LETTERS: ClassVar[tuple[str, ...]] = ("Q",)
    ROLE: ClassVar[Role] = "switch"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    poles: Poles = ()
    continuous_a: ContinuousA = None
    five_minute_a: FiveMinuteA = None
    cranking_a: CrankingA = None
    breaks_load: BreaksLoad = None
    field_contact: FieldContact = None
    control_v: ControlVolts = None
    control_a: ControlA = None
    controlled_by: ControlledBy = ""
    on_loss: OnLoss = ""
    manual_override: ManualOverride = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Supply, load, control."""
        return (
            Terminal("in", ALL, "bottom", must=True, help=N_("supply")),
            Terminal("out", ALL, "top", must=True, help=N_("load")),
            Terminal("control", ("S",), "left", help=N_("control")),
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

    def carries(self) -> Carries:
        """Its ratings."""
        return Carries(self.continuous_a, self.five_minute_a, self.cranking_a)

    def summary(self) -> tuple[str, ...]:
        """Continuous rating and poles; five-minute and cranking ratings."""
        ratings = switch_ratings(self.continuous_a, self.five_minute_a, self.cranking_a)
        first_line = together(ratings[0], poles_in_words(self.poles))
        return tuple(line for line in (first_line, ratings[1]) if line)
