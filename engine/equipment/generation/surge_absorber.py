"""A surge absorber across an alternator's output: it takes the surge when the battery is cut off."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import DcVolts
from engine.equipment._systems import System, figure, lines_of, negative
from engine.equipment.base import DC, Contact, Equipment, Role, Terminal
from engine.equipment.parting import BatteryLost
from engine.record import Fact
from engine.words import N_, _

__all__ = ["SurgeAbsorber"]


class SurgeAbsorber(Equipment, frozen=True, kw_only=True):
    """It conducts above its clamping voltage only: in normal use it is no path."""

    KIND: ClassVar[str] = "surge_absorber"
    NAME: ClassVar[str] = N_("Surge absorber")
    LETTERS: ClassVar[tuple[str, ...]] = ("F", "R")
    ROLE: ClassVar[Role] = "protection"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    dc_v: DcVolts = None
    clamp_v: Annotated[float | None, Fact(N_("voltage it holds the surge to"), "V", low=0)] = None
    largest_alternator_a: Annotated[
        float | None, Fact(N_("output of the largest alternator it is made for"), "A", low=0)
    ] = None
    alternator: Annotated[str, Fact(N_("alternator it protects"), refers="equipment")] = ""

    def terminals(self) -> tuple[Terminal, ...]:
        """Across the pair."""
        return (
            Terminal("pos", DC, "bottom", must=True, help=N_("alternator output")),
            Terminal("neg", ("-",), "bottom", help=N_("negative drawn apart")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One negative."""
        return (negative("pos"),)

    def nominal_volts(self, terminal: str) -> System:
        """The system it is made for."""
        return "dc", self.dc_v

    def battery_lost(self) -> BatteryLost:
        """It takes the surge of a machine no larger than it is made for."""
        return BatteryLost("absorber", "pos", False, "largest_alternator_a", largest_a=self.largest_alternator_a)

    def summary(self) -> tuple[str, ...]:
        """Clamping voltage, largest alternator."""
        most = self.largest_alternator_a
        return lines_of(
            "" if self.clamp_v is None else _("clamps at {volts}").format(volts=figure(self.clamp_v, "V")),
            "" if most is None else _("for {amps}").format(amps=figure(most, "A")),
        )
