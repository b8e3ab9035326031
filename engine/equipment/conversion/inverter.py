"""An inverter: battery in, AC out."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import (
    AcVolts,
    DcVolts,
    Efficiency,
    ExposedMetal,
    Frequency,
    HighestVolts,
    InternalDeviceA,
    LivePhases,
    MinimumVolts,
    ParallelWith,
    StandbyW,
)
from engine.equipment._systems import (
    System,
    ac_sources,
    bond,
    case,
    figure,
    gaps,
    inside,
    lines_of,
    negative,
)
from engine.equipment.base import AC, DC, Contact, Conversion, Draw, Equipment, Role, Source, Terminal
from engine.equipment.behaviour import Converter, Touchable
from engine.record import Fact
from engine.words import N_

__all__ = ["Inverter"]


class Inverter(Equipment, frozen=True, kw_only=True):
    """Its DC current is worst at the lowest battery voltage."""

    KIND: ClassVar[str] = "inverter"
    NAME: ClassVar[str] = N_("Inverter")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    dc_v: DcVolts = None
    minimum_v: MinimumVolts = None
    highest_v: HighestVolts = None
    ac_v: AcVolts = None
    phases: LivePhases = "L1"
    frequency_hz: Frequency = None
    power_w: Annotated[float | None, Fact(N_("continuous output"), "W", low=0)] = None
    peak_w: Annotated[float | None, Fact(N_("short-time output"), "W", low=0)] = None
    output_limit_a: Annotated[float | None, Fact(N_("current it limits its own AC output to"), "A", low=0)] = None
    output_device_a: InternalDeviceA = None
    efficiency: Efficiency = None
    standby_w: StandbyW = None
    bonds_neutral: Annotated[bool | None, Fact(N_("neutral bonded to its case: yes, no or not known"))] = None
    needs_pre_charge: Annotated[
        bool | None, Fact(N_("its input capacitors are charged before it is switched on: yes, no or not known"))
    ] = None
    parallel_with: ParallelWith = ()
    exposed_metal: ExposedMetal = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Battery below, AC above."""
        return (
            Terminal("dc", DC, "bottom", must=True, help=N_("battery")),
            Terminal("neg", ("-",), "bottom", help=N_("battery negative drawn apart")),
            Terminal("ac_out", AC, "top", must=True, help=N_("AC to the loads")),
            Terminal("earth", ("PE",), "right", help=N_("case to earth")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One negative; the case is the protective earth of its output; the neutral may be bonded there."""
        made = (negative("dc"), case("ac_out"))
        return (*made, bond("ac_out")) if self.bonds_neutral else made

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """Its bridge, up to the current it limits itself to."""
        limit = self.output_limit_a
        return ac_sources(
            "ac_out",
            self.phases,
            volts=self.ac_v,
            frequency_hz=self.frequency_hz,
            limited=None if limit is None else True,
            limit_a=limit,
            line="bridge",
            protection=inside(self.output_device_a, "output_device_a", "breaker"),
            missing=gaps(self, "output_limit_a"),
        )

    def conversions(self) -> tuple[Conversion, ...]:
        """Battery to AC."""
        return (Conversion("dc", "ac_out", self.efficiency),)

    def draws(self) -> tuple[Draw, ...]:
        """Its own consumption on the battery."""
        return (Draw("dc", "dc", "power", self.standby_w, DC, missing=gaps(self, "standby_w")),)

    def output_va(self) -> float | None:
        """Continuous output."""
        rated = self.power_w
        return None if rated is None else rated * self.quantity

    def converter(self) -> Converter:
        """What it asks of its input, and when it works."""
        return Converter(lowest_dc_v=self.minimum_v)

    def nominal_volts(self, terminal: str) -> System | None:
        """Battery volts below, AC volts at the output."""
        if terminal == "earth":
            return None
        return ("ac", self.ac_v) if terminal == "ac_out" else ("dc", self.dc_v)

    def touchable(self) -> Touchable:
        """Its metal, by what is recorded."""
        return Touchable(
            self.exposed_metal,
            (
                "ac_out",
                "earth",
            ),
        )

    def unsaid_bond(self) -> str:
        """Whether it is bonded there."""
        return "bonds_neutral" if self.bonds_neutral is None else ""

    def summary(self) -> tuple[str, ...]:
        """Output; DC and AC volts."""
        return lines_of(
            figure(self.power_w, "W"), "/".join(p for p in (figure(self.dc_v, "V"), figure(self.ac_v, "V")) if p)
        )
