"""A regulator apart from its alternator: it sets the field current. It carries no power."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import (
    ChargeVolts,
    DcVolts,
    EqualiseVolts,
    FloatVolts,
    ObeysStop,
    OnLoss,
    Profile,
    TemperatureSensed,
)
from engine.equipment._systems import figure, lines_of
from engine.equipment.base import Equipment, Role, Terminal
from engine.equipment.behaviour import Charging
from engine.equipment.parting import BatteryLost
from engine.record import Fact
from engine.words import N_, _

__all__ = ["AlternatorRegulator"]


class AlternatorRegulator(Equipment, frozen=True, kw_only=True):
    """What it lets the alternator do, and whether the battery can tell it to stop."""

    KIND: ClassVar[str] = "alternator_regulator"
    NAME: ClassVar[str] = N_("Alternator regulator")
    LETTERS: ClassVar[tuple[str, ...]] = ("K", "A")
    ROLE: ClassVar[Role] = "control"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    alternators: Annotated[tuple[str, ...], Fact(N_("alternators it regulates"), refers="equipment")] = ()
    dc_v: DcVolts = None
    profile: Profile = ""
    charge_v: ChargeVolts = None
    float_v: FloatVolts = None
    equalise_v: EqualiseVolts = None
    limit_a: Annotated[float | None, Fact(N_("alternator current it is set to hold"), "A", low=0)] = None
    obeys_stop: ObeysStop = None
    on_sense_loss: OnLoss = ""
    temperature_sensed: TemperatureSensed = None
    alternator_temperature_sensed: Annotated[
        bool | None, Fact(N_("reduces output when the alternator gets hot: yes, no or not known"))
    ] = None
    field_a: Annotated[float | None, Fact(N_("largest field current"), "A", low=0)] = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Signals only."""
        return (
            Terminal("field", ("S",), "left", must=True, help=N_("to the alternator's field")),
            Terminal("sense", ("S",), "right", help=N_("voltage sense and stop")),
        )

    def through_limit(self, terminal: str) -> float | None:
        """No power passes it."""
        return None

    def regulates(self) -> tuple[str, ...]:
        """The alternators recorded."""
        return self.alternators

    def charging(self) -> Charging:
        """What it is set to."""
        return Charging("", self.charge_v, self.float_v, self.equalise_v)

    def battery_lost(self) -> BatteryLost:
        """It stops its alternators when the battery says so, where it does."""
        return BatteryLost("machine", "", obeys_stop=self.obeys_stop)

    def summary(self) -> tuple[str, ...]:
        """Charging voltage, current it holds."""
        return lines_of(
            figure(self.charge_v, "V"),
            "" if self.limit_a is None else _("set to {amps}").format(amps=figure(self.limit_a, "A")),
        )
