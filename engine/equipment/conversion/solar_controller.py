"""A solar controller between an array and a battery."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import (
    ChargeA,
    ChargeVolts,
    DcVolts,
    Efficiency,
    EqualiseVolts,
    FloatVolts,
    NeedsBattery,
    ObeysStop,
    Profile,
    SelfLimiting,
    StandbyW,
    TemperatureSensed,
)
from engine.equipment._systems import System, figure, gaps, limit_gaps, lines_of, negative, together
from engine.equipment.base import DC, Contact, Conversion, Draw, Equipment, Role, Source, Terminal
from engine.equipment.behaviour import ArrayInput, Charging, Converter
from engine.equipment.parting import BatteryLost
from engine.record import Fact
from engine.words import N_, _

__all__ = ["SolarController"]


class SolarController(Equipment, frozen=True, kw_only=True):
    """A tracking one converts; a series or shunt one connects the array to the battery."""

    KIND: ClassVar[str] = "solar_controller"
    NAME: ClassVar[str] = N_("Solar controller")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    method: Annotated[Literal["", "tracking", "series", "shunt"], Fact(N_("how it controls"))] = ""
    dc_v: DcVolts = None
    charge_a: ChargeA = None
    self_limiting: SelfLimiting = None
    highest_input_v: Annotated[float | None, Fact(N_("highest input voltage"), "V", low=0)] = None
    largest_input_a: Annotated[float | None, Fact(N_("largest short-circuit current at its input"), "A", low=0)] = None
    charge_v: ChargeVolts = None
    float_v: FloatVolts = None
    equalise_v: EqualiseVolts = None
    profile: Profile = ""
    temperature_sensed: TemperatureSensed = None
    obeys_stop: ObeysStop = None
    needs_battery: NeedsBattery = None
    common: Annotated[
        Literal["", "negative", "positive", "none"], Fact(N_("conductor that array and battery share in it"))
    ] = ""
    blocks_reverse: Annotated[
        bool | None,
        Fact(N_("keeps battery current out of the array: yes, no or not known; a tracking one does unless it says no")),
    ] = None
    efficiency: Efficiency = None
    standby_w: StandbyW = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Array above, battery below."""
        return (
            Terminal("pv", DC, "top", must=True, help=N_("array")),
            Terminal("dc", DC, "bottom", must=True, help=N_("battery")),
            Terminal("neg", ("-",), "bottom", help=N_("battery negative drawn apart")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """The conductor both sides share; the other one too where nothing keeps the battery out of the array.

        Whether a series or shunt one does is supposed either way where it is not recorded.
        """
        shared = {"negative": ("-",), "positive": ("+",)}.get(self.common, ())
        joined = tuple(c for c in DC if c in shared or (c == "+" and self.blocks_reverse is False))
        made = [negative("dc")]
        if joined:
            made.append(Contact("pv", "dc", joined, straight=False))
        if self.blocks_reverse is None and self.method != "tracking" and "+" not in joined:
            made.append(Contact("pv", "dc", ("+",), straight=False, supposed="blocks_reverse"))
        return tuple(made)

    def assumed(self) -> tuple[str, ...]:
        """That a tracking one, which converts, lets nothing back."""
        if self.blocks_reverse is None and self.method == "tracking":
            return (N_("taken as keeping battery current out of the array, as a tracking controller does"),)
        return ()

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """Its charging current."""
        return (
            Source(
                "dc",
                "+",
                "dc",
                nominal_v=self.dc_v,
                highest_v=self.charge_v,
                limited=self.self_limiting,
                limit_a=self.charge_a,
                line="controller",
                missing=limit_gaps(self, "self_limiting", "charge_a"),
            ),
        )

    def conversions(self) -> tuple[Conversion, ...]:
        """Array to battery."""
        return (Conversion("pv", "dc", self.efficiency),)

    def draws(self) -> tuple[Draw, ...]:
        """Its own consumption on the battery."""
        return (Draw("dc", "dc", "power", self.standby_w, DC, missing=gaps(self, "standby_w")),)

    def converter(self) -> Converter:
        """What it asks of its input, and when it works."""
        return Converter(charge_a=self.charge_a, obeys_stop=self.obeys_stop)

    def nominal_volts(self, terminal: str) -> System | None:
        """Battery volts; the array side takes any up to its highest."""
        return None if terminal == "pv" else ("dc", self.dc_v)

    def charging(self) -> Charging:
        """What its output is set to."""
        return Charging("dc", self.charge_v, self.float_v, self.equalise_v)

    def battery_lost(self) -> BatteryLost:
        """What its maker says."""
        return BatteryLost("weather", "dc", self.needs_battery, "needs_battery", obeys_stop=self.obeys_stop)

    def array_input(self) -> ArrayInput:
        """Its plate."""
        return ArrayInput("pv", self.highest_input_v, self.largest_input_a)

    def summary(self) -> tuple[str, ...]:
        """Volts and amperes; highest input voltage."""
        most = self.highest_input_v
        return lines_of(
            together(figure(self.dc_v, "V"), figure(self.charge_a, "A")),
            "" if most is None else _("array to {volts}").format(volts=figure(most, "V")),
        )
