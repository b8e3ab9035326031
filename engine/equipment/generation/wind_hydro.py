"""A wind or water generator with DC output."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import ChargeVolts, DcVolts, NeedsBattery, ObeysStop, RatingA, SelfLimiting, Yields
from engine.equipment._systems import System, figure, limit_gaps, lines_of, negative, together
from engine.equipment.base import DC, Contact, Equipment, Role, Source, Terminal
from engine.equipment.behaviour import Charging, Harvest, Machine
from engine.equipment.parting import BatteryLost
from engine.record import Fact
from engine.words import N_, _

__all__ = ["WindHydro"]


class WindHydro(Equipment, frozen=True, kw_only=True):
    """It must have somewhere to put its energy: its battery, a dump load, or a brake."""

    KIND: ClassVar[str] = "wind_hydro"
    NAME: ClassVar[str] = N_("Wind or water generator")
    LETTERS: ClassVar[tuple[str, ...]] = ("G",)
    ROLE: ClassVar[Role] = "source"

    driven_by: Annotated[Literal["", "wind", "water"], Fact(N_("what drives it"))] = ""
    dc_v: DcVolts = None
    power_w: Annotated[float | None, Fact(N_("rated power"), "W", low=0)] = None
    rating_a: RatingA = None
    self_limiting: SelfLimiting = None
    charge_v: ChargeVolts = None
    open_circuit_v: Annotated[float | None, Fact(N_("voltage when it runs unloaded"), "V", low=0)] = None
    obeys_stop: ObeysStop = None
    needs_battery: NeedsBattery = None
    dump_load: Annotated[bool | None, Fact(N_("has a dump load: yes, no or not known"))] = None
    dump_w: Annotated[float | None, Fact(N_("power of the dump load"), "W", low=0)] = None
    dump_a: Annotated[float | None, Fact(N_("current of the dump load"), "A", low=0)] = None
    brake: Annotated[bool | None, Fact(N_("can be stopped by a brake: yes, no or not known"))] = None
    yields: Yields = ()

    def terminals(self) -> tuple[Terminal, ...]:
        """DC output of its own rectifier and controller."""
        return (
            Terminal("pos", DC, "bottom", must=True, help=N_("output")),
            Terminal("neg", ("-",), "bottom", help=N_("negative drawn apart")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One negative."""
        return (negative("pos"),)

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """Up to its rating where it limits itself."""
        return (
            Source(
                "pos",
                "+",
                "dc",
                nominal_v=self.dc_v,
                highest_v=self.charge_v,
                limited=self.self_limiting,
                limit_a=self.rating_a,
                rotating=True,
                missing=limit_gaps(self, "self_limiting", "rating_a"),
            ),
        )

    def machine(self) -> Machine:
        """Its rating."""
        rated = None if self.rating_a is None else self.rating_a * self.quantity
        return Machine(rated_a=rated, obeys_stop=self.obeys_stop)

    def harvest(self) -> Harvest:
        """Rated power, yields recorded."""
        watts = None if self.power_w is None else self.power_w * self.quantity
        return Harvest(watts, False, tuple((y.condition, y.wh_a_day) for y in self.yields))

    def nominal_volts(self, terminal: str) -> System:
        """The battery it charges."""
        return "dc", self.dc_v

    def charging(self) -> Charging:
        """What its output is set to."""
        return Charging("pos", self.charge_v, None, None)

    def battery_lost(self) -> BatteryLost:
        """What its maker says; with a dump load it has somewhere to put its energy."""
        harmed = False if self.dump_load else self.needs_battery
        return BatteryLost("weather", "pos", harmed, "needs_battery", obeys_stop=self.obeys_stop)

    def summary(self) -> tuple[str, ...]:
        """Volts, power and current; dump load."""
        return lines_of(
            together(figure(self.dc_v, "V"), figure(self.power_w, "W"), figure(self.rating_a, "A")),
            _("dump load") if self.dump_load else "",
        )
