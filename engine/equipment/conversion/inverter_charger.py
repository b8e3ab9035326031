"""An inverter/charger: AC in, AC out, battery; a transfer relay passes shore through or puts the bridge on the output."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment.base import AC, DC, Contact, Conversion, Draw, Equipment, Phases, Role, Source, Terminal
from engine.equipment.base import phase_names as names
from engine.record import Fact
from engine.words import N_

__all__ = ["InverterCharger"]

INVERT = frozenset({"invert"})
PASS = frozenset({"pass"})


class InverterCharger(Equipment, frozen=True, kw_only=True):
    """Its transfer relay stands in off, invert or pass and is moved by its own controller."""

    KIND: ClassVar[str] = "inverter_charger"
    NAME: ClassVar[str] = N_("Inverter/charger")
    LETTERS: ClassVar[tuple[str, ...]] = ("T", "U")
    ROLE: ClassVar[Role] = "converter"
    AUTOMATIC: ClassVar[bool] = True

    dc_v: Annotated[float | None, Fact(N_("nominal battery voltage"), "V", low=0)] = None
    ac_v: Annotated[float | None, Fact(N_("AC voltage, line to neutral"), "V", low=0)] = None
    phases: Annotated[Phases, Fact(N_("live conductors"))] = "L1"
    frequency_hz: Annotated[float | None, Fact(N_("frequency"), "Hz", low=0)] = None
    power_w: Annotated[float | None, Fact(N_("continuous output"), "W", low=0)] = None
    output_limit_a: Annotated[
        float | None, Fact(N_("current the bridge limits its own AC output to"), "A", low=0)
    ] = None
    charge_a: Annotated[float | None, Fact(N_("charging current at the battery"), "A", low=0)] = None
    charge_v: Annotated[float | None, Fact(N_("highest charging voltage"), "V", low=0)] = None
    self_limiting: Annotated[
        bool | None, Fact(N_("charging output limits itself: yes, no or not known"))
    ] = None
    efficiency: Annotated[float | None, Fact(N_("efficiency as inverter"), "", low=0, high=1)] = None
    standby_w: Annotated[float | None, Fact(N_("own consumption when on"), "W", low=0)] = None
    bonds_neutral: Annotated[
        bool | None, Fact(N_("bonds neutral to earth when inverting, lifts it when passing"))
    ] = None
    obeys_stop: Annotated[
        bool | None, Fact(N_("stops charging when the battery says so: yes, no or not known"))
    ] = None
    parallel_with: Annotated[
        tuple[str, ...], Fact(N_("sources it is built to run in parallel with"), refers="equipment")
    ] = ()

    def terminals(self) -> tuple[Terminal, ...]:
        """Battery side below, AC above."""
        return (
            Terminal("dc", DC, "bottom", must=True, help=N_("battery")),
            Terminal("neg", ("-",), "bottom", help=N_("battery negative drawn apart")),
            Terminal("ac_in", AC, "left", help=N_("AC from shore or generator")),
            Terminal("ac_out", AC, "top", help=N_("AC to the loads")),
            Terminal("earth", ("PE",), "right", help=N_("case to earth")),
        )

    def positions(self) -> tuple[str, ...]:
        """Off, invert (bridge on the output), pass (input on the output)."""
        return ("off", "invert", "pass")

    def normal_position(self) -> str:
        """Inverting."""
        return "invert"

    def contacts(self) -> tuple[Contact, ...]:
        """The relay passes every live conductor and the neutral; earth goes straight through."""
        poles = (*names(self.phases), "N")
        made = [
            Contact("dc", "neg", cross=("-", "-"), straight=False),
            Contact("ac_in", "ac_out", poles, PASS),
            Contact("ac_out", "earth", cross=("PE", "PE"), straight=False),
        ]
        if self.bonds_neutral:
            made.append(Contact("ac_out", "ac_out", positions=INVERT, cross=("N", "PE"), straight=False))
        return tuple(made)

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """The bridge on the output when inverting; the charger on the battery when passing."""
        bridge_limit = self.output_limit_a
        bridge = tuple(
            Source(
                "ac_out",
                conductor,
                "ac",
                nominal_v=self.ac_v,
                highest_v=self.ac_v,
                limited=None if bridge_limit is None else True,
                limit_a=bridge_limit,
                line="bridge",
                positions=INVERT,
                frequency_hz=self.frequency_hz,
                missing=("output_limit_a",) if bridge_limit is None else (),
            )
            for conductor in names(self.phases)
        )
        unknown = tuple(
            name
            for name, value in (("charge_a", self.charge_a), ("self_limiting", self.self_limiting))
            if value is None
        )
        charger = Source(
            "dc",
            "+",
            "dc",
            nominal_v=self.dc_v,
            highest_v=self.charge_v,
            limited=self.self_limiting,
            limit_a=self.charge_a,
            line="charger",
            positions=PASS,
            missing=unknown,
        )
        return (*bridge, charger)

    def conversions(self) -> tuple[Conversion, ...]:
        """Battery to output when inverting, input to battery when passing."""
        return (
            Conversion("dc", "ac_out", self.efficiency, positions=INVERT),
            Conversion("ac_in", "dc", self.efficiency, positions=PASS),
        )

    def draws(self) -> tuple[Draw, ...]:
        """Its own consumption on the battery."""
        return (Draw("dc", "dc", "power", self.standby_w, missing=("standby_w",) if self.standby_w is None else ()),)

    def nominal_volts(self, terminal: str) -> tuple[Literal["dc", "ac"], float | None] | None:
        """Battery volts on `dc`, AC volts on the AC terminals."""
        if terminal in ("dc", "neg"):
            return "dc", self.dc_v
        return None if terminal == "earth" else ("ac", self.ac_v)

    def through_limit(self, terminal: str) -> float | None:
        """`through_a` is the rating of the transfer relay, asked at the AC input."""
        return self.through_a if terminal == "ac_in" else None

    def summary(self) -> tuple[str, ...]:
        """Output and charging current."""
        return tuple(
            p
            for p in (
                "" if self.power_w is None else f"{self.power_w:g} W",
                "" if self.charge_a is None else f"charges {self.charge_a:g} A",
            )
            if p
        )
