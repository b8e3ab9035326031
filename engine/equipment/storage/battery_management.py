"""Battery management drawn by itself: it senses the cells and commands; it carries no power.

The contactors it opens are drawn as what they are and name it in `controlled_by`.
"""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import OnLoss, StandbyW
from engine.equipment._systems import figure, lines_of
from engine.equipment.base import Equipment, Role, Terminal
from engine.equipment.behaviour import Governs
from engine.record import Fact
from engine.words import N_, _

__all__ = ["BatteryManagement"]


class BatteryManagement(Equipment, frozen=True, kw_only=True):
    """Who it looks after, what it opens, whom it can tell to stop, and whose current it commands."""

    KIND: ClassVar[str] = "battery_management"
    NAME: ClassVar[str] = N_("Battery management")
    LETTERS: ClassVar[tuple[str, ...]] = ("K", "A")
    ROLE: ClassVar[Role] = "control"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    batteries: Annotated[tuple[str, ...], Fact(N_("banks it looks after"), refers="equipment")] = ()
    opens: Annotated[tuple[str, ...], Fact(N_("switches and contactors it opens"), refers="equipment")] = ()
    stops: Annotated[tuple[str, ...], Fact(N_("charging sources it can tell to stop"), refers="equipment")] = ()
    commands: Annotated[tuple[str, ...], Fact(N_("charging sources whose current it sets"), refers="equipment")] = ()
    charge_limit_a: Annotated[float | None, Fact(N_("charging limit"), "A", low=0)] = None
    discharge_limit_a: Annotated[float | None, Fact(N_("discharge limit"), "A", low=0)] = None
    cell_high_v: Annotated[float | None, Fact(N_("cell voltage at which it disconnects, high"), "V", low=0)] = None
    cell_low_v: Annotated[float | None, Fact(N_("cell voltage at which it disconnects, low"), "V", low=0)] = None
    lowest_charge_c: Annotated[
        float | None, Fact(N_("temperature below which it stops charging"), "degC", low=-60, high=60)
    ] = None
    alarm_before_shutdown: Annotated[
        bool | None, Fact(N_("gives an alarm before it disconnects: yes, no or not known"))
    ] = None
    stops_sources_first: Annotated[
        bool | None, Fact(N_("tells charging sources to stop before it disconnects: yes, no or not known"))
    ] = None
    link: Annotated[
        Literal["", "none", "wired contact", "data bus"], Fact(N_("how it tells charging sources to stop"))
    ] = ""
    on_link_loss: OnLoss = ""
    remote_cuts_coil: Annotated[
        bool | None, Fact(N_("its remote switch breaks the contactor's coil current itself: yes, no or not known"))
    ] = None
    standby_w: StandbyW = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Signals only."""
        return (
            Terminal("signal", ("S",), "right", help=N_("to contactors and charging sources")),
            Terminal("sense", ("S",), "left", help=N_("from the cells")),
        )

    def through_limit(self, terminal: str) -> float | None:
        """No power passes it."""
        return None

    def governs(self) -> Governs:
        """Its banks, what it sets, stops and opens, its limits."""
        return Governs(
            self.batteries,
            self.commands,
            self.stops,
            self.opens,
            self.charge_limit_a,
            self.discharge_limit_a,
            stops_first=self.stops_sources_first,
            linked={"": None, "none": False}.get(self.link, True),
            alarm=self.alarm_before_shutdown,
            remote_cuts_coil=self.remote_cuts_coil,
        )

    def summary(self) -> tuple[str, ...]:
        """Its two limits."""
        charge, discharge = self.charge_limit_a, self.discharge_limit_a
        return lines_of(
            "" if charge is None else _("charge {amps}").format(amps=figure(charge, "A")),
            "" if discharge is None else _("discharge {amps}").format(amps=figure(discharge, "A")),
        )
