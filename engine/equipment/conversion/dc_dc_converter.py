"""A DC-DC converter: supply or charger from one DC system to another."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import (
    ChargeVolts,
    Efficiency,
    FloatVolts,
    HighestVolts,
    InternalDeviceA,
    MinimumVolts,
    NeedsBattery,
    ObeysStop,
    Profile,
    SelfLimiting,
    StandbyW,
)
from engine.equipment._systems import System, figure, gaps, inside, limit_gaps, lines_of, negative, together
from engine.equipment.base import DC, Contact, Conversion, Draw, Equipment, Role, Source, Terminal
from engine.equipment.behaviour import Charging, Converter
from engine.equipment.parting import BatteryLost
from engine.record import Fact
from engine.units import spelled
from engine.words import N_, _

__all__ = ["DcDcConverter"]


class DcDcConverter(Equipment, frozen=True, kw_only=True):
    """Isolated or with a common negative; one way or both."""

    KIND: ClassVar[str] = "dc_dc_converter"
    NAME: ClassVar[str] = N_("DC-DC converter")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    in_v: Annotated[float | None, Fact(N_("nominal input voltage"), "V", low=0)] = None
    out_v: Annotated[float | None, Fact(N_("nominal output voltage"), "V", low=0)] = None
    output_a: Annotated[float | None, Fact(N_("rated output current"), "A", low=0)] = None
    power_w: Annotated[float | None, Fact(N_("rated output"), "W", low=0)] = None
    input_a: Annotated[float | None, Fact(N_("input current at full output"), "A", low=0)] = None
    self_limiting: SelfLimiting = None
    output_fuse_a: InternalDeviceA = None
    isolated: Annotated[bool | None, Fact(N_("input and output isolated: yes, no or not known"))] = None
    bidirectional: Annotated[bool | None, Fact(N_("works both ways: yes, no or not known"))] = None
    reverse_a: Annotated[float | None, Fact(N_("current it gives at its input when it works back"), "A", low=0)] = None
    charges_battery: Annotated[bool | None, Fact(N_("its output charges a battery: yes, no or not known"))] = None
    charge_v: ChargeVolts = None
    float_v: FloatVolts = None
    profile: Profile = ""
    obeys_stop: ObeysStop = None
    needs_battery: NeedsBattery = None
    runs_when: Annotated[
        Literal["", "always", "engine runs", "input is charging", "commanded"], Fact(N_("when it runs"))
    ] = ""
    minimum_v: MinimumVolts = None
    highest_v: HighestVolts = None
    efficiency: Efficiency = None
    standby_w: StandbyW = None

    def rated_output_a(self) -> float | None:
        """Rated output current, A: as recorded, else from watts and volts."""
        if self.output_a is None and self.power_w is not None and self.out_v:
            return self.power_w / self.out_v
        return self.output_a

    def terminals(self) -> tuple[Terminal, ...]:
        """Input below, output above."""
        return (
            Terminal("in", DC, "bottom", must=True, help=N_("input")),
            Terminal("out", DC, "top", must=True, help=N_("output")),
            Terminal("neg", ("-",), "bottom", help=N_("input negative drawn apart")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """Negatives are common where the record says it is not isolated."""
        made = (negative("in"),)
        if self.isolated is not False:
            return made
        return (*made, Contact("in", "out", ("-",), straight=False), negative("out"))

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """Its output; its input too where it works both ways, or may as far as the record tells."""
        rated = self.rated_output_a()
        missing = () if self.self_limiting is False else gaps(self, "self_limiting")
        if self.self_limiting is not False and rated is None:
            missing = (*missing, "output_a")
        made = [
            Source(
                "out",
                "+",
                "dc",
                nominal_v=self.out_v,
                highest_v=self.charge_v,
                limited=self.self_limiting,
                limit_a=rated,
                line="output",
                protection=inside(self.output_fuse_a, "output_fuse_a"),
                missing=missing,
            )
        ]
        if self.bidirectional is not False:
            made.append(
                Source(
                    "in",
                    "+",
                    "dc",
                    nominal_v=self.in_v,
                    limited=self.self_limiting,
                    limit_a=self.reverse_a,
                    line="reverse",
                    missing=limit_gaps(self, "self_limiting", "reverse_a"),
                    supposed="" if self.bidirectional else "bidirectional",
                )
            )
        return tuple(made)

    def conversions(self) -> tuple[Conversion, ...]:
        """Input to output, and back where it works both ways."""
        forward = Conversion("in", "out", self.efficiency)
        return (forward, Conversion("out", "in", self.efficiency)) if self.bidirectional else (forward,)

    def draws(self) -> tuple[Draw, ...]:
        """Its own consumption at the input."""
        return (Draw("in", "dc", "power", self.standby_w, DC, missing=gaps(self, "standby_w")),)

    def converter(self) -> Converter:
        """What it asks of its input, and when it works."""
        return Converter(
            runs_when=self.runs_when,
            charges=self.charges_battery,
            obeys_stop=self.obeys_stop,
            lowest_dc_v=self.minimum_v,
        )

    def battery_lost(self) -> BatteryLost | None:
        """What its maker says, unless it is recorded as charging nothing."""
        if self.charges_battery is False:
            return None
        return BatteryLost("battery", "out", self.needs_battery, "needs_battery", obeys_stop=self.obeys_stop)

    def nominal_volts(self, terminal: str) -> System:
        """Input and output volts."""
        return "dc", self.out_v if terminal == "out" else self.in_v

    def charging(self) -> Charging:
        """What its output is set to."""
        return Charging("out", self.charge_v, self.float_v, None)

    def summary(self) -> tuple[str, ...]:
        """Volts in and out; amperes, whether isolated."""
        volts = "/".join("?" if v is None else spelled(f"{v:g}") for v in (self.in_v, self.out_v))
        isolated = {True: _("isolated"), False: _("common negative"), None: ""}[self.isolated]
        rated = self.rated_output_a()
        return lines_of(
            "" if volts == "?/?" else f"{volts} V",
            together("" if rated is None else figure(round(rated, 1), "A"), isolated),
        )
