"""An inverter/charger: AC in, AC out, battery; a relay passes shore through or puts the bridge on the output."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import (
    AcVolts,
    ChargeA,
    ChargeVolts,
    DcVolts,
    Efficiency,
    EqualiseVolts,
    ExposedMetal,
    FloatVolts,
    Frequency,
    HighestVolts,
    LivePhases,
    MinimumVolts,
    ObeysStop,
    ParallelWith,
    Profile,
    StandbyW,
    TemperatureSensed,
)
from engine.equipment._systems import (
    System,
    ac_sources,
    bond,
    case,
    figure,
    gaps,
    limit_gaps,
    lines_of,
    negative,
    together,
)
from engine.equipment.base import AC, DC, Contact, Conversion, Draw, Equipment, Role, Source, Terminal, phase_names
from engine.equipment.behaviour import Charging, Converter, Touchable
from engine.equipment.parting import BatteryLost
from engine.record import Fact
from engine.words import N_, _

__all__ = ["InverterCharger"]

INVERT = frozenset({"invert"})
PASS = frozenset({"pass"})


class InverterCharger(Equipment, frozen=True, kw_only=True):
    """Its transfer relay stands in off, invert or pass and is moved by its own controller.

    `through_a` is the rating of that relay.
    """

    KIND: ClassVar[str] = "inverter_charger"
    NAME: ClassVar[str] = N_("Inverter/charger")
    LETTERS: ClassVar[tuple[str, ...]] = ("T", "U")
    ROLE: ClassVar[Role] = "converter"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True
    AUTOMATIC: ClassVar[bool] = True

    dc_v: DcVolts = None
    minimum_v: MinimumVolts = None
    highest_v: HighestVolts = None
    ac_v: AcVolts = None
    phases: LivePhases = "L1"
    frequency_hz: Frequency = None
    power_w: Annotated[float | None, Fact(N_("continuous output"), "W", low=0)] = None
    power_va: Annotated[float | None, Fact(N_("continuous output, apparent"), "VA", low=0)] = None
    peak_w: Annotated[float | None, Fact(N_("short-time output"), "W", low=0)] = None
    output_limit_a: Annotated[float | None, Fact(N_("current the bridge limits its own AC output to"), "A", low=0)] = (
        None
    )
    input_limit_a: Annotated[float | None, Fact(N_("current it is set to take from its AC input"), "A", low=0)] = None
    supports_input: Annotated[
        bool | None, Fact(N_("adds the bridge's current to what the input gives: yes, no or not known"))
    ] = None
    transfer_ms: Annotated[float | None, Fact(N_("time its relay takes to transfer"), "ms", low=0)] = None
    charge_a: ChargeA = None
    charge_v: ChargeVolts = None
    float_v: FloatVolts = None
    equalise_v: EqualiseVolts = None
    profile: Profile = ""
    temperature_sensed: TemperatureSensed = None
    self_limiting: Annotated[bool | None, Fact(N_("charging output limits itself: yes, no or not known"))] = None
    obeys_stop: ObeysStop = None
    efficiency: Efficiency = None
    charger_efficiency: Annotated[float | None, Fact(N_("efficiency as charger, as a share"), low=0, high=1)] = None
    standby_w: StandbyW = None
    bonds_neutral: Annotated[bool | None, Fact(N_("bonds neutral to earth when inverting, lifts it when passing"))] = (
        None
    )
    needs_pre_charge: Annotated[
        bool | None, Fact(N_("its input capacitors are charged before it is switched on: yes, no or not known"))
    ] = None
    parallel_with: ParallelWith = ()
    exposed_metal: ExposedMetal = None

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
        """The relay passes every live conductor and the neutral; earth goes straight through, and to the case."""
        made = (
            negative("dc"),
            Contact("ac_in", "ac_out", (*phase_names(self.phases), "N"), PASS, straight=False),
            Contact("ac_in", "ac_out", ("PE",), straight=False),
            case("ac_out"),
            case("ac_in"),
        )
        return (*made, bond("ac_out", INVERT)) if self.bonds_neutral else made

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """The bridge on the output when inverting; the charger on the battery when passing.

        A bridge that supports its input stays on the output when passing, in step with whatever feeds the input.
        """
        limit = self.output_limit_a
        made: list[Source] = []
        for positions, wanted in ((INVERT, True), (PASS, bool(self.supports_input))):
            if not wanted:
                continue
            made += ac_sources(
                "ac_out",
                self.phases,
                volts=self.ac_v,
                frequency_hz=self.frequency_hz,
                limited=None if limit is None else True,
                limit_a=limit,
                line="bridge",
                positions=positions,
                in_step=positions is PASS,
                missing=gaps(self, "output_limit_a"),
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
            missing=limit_gaps(self, "self_limiting", "charge_a"),
        )
        return (*made, charger)

    def conversions(self) -> tuple[Conversion, ...]:
        """Battery to output when inverting, input to battery when passing."""
        made = (
            Conversion("dc", "ac_out", self.efficiency, positions=INVERT),
            Conversion("ac_in", "dc", self.charger_efficiency, positions=PASS),
        )
        return (*made, Conversion("dc", "ac_out", self.efficiency, positions=PASS)) if self.supports_input else made

    def draws(self) -> tuple[Draw, ...]:
        """Its own consumption on the battery."""
        return (Draw("dc", "dc", "power", self.standby_w, DC, missing=gaps(self, "standby_w")),)

    def output_va(self) -> float | None:
        """Continuous output."""
        rated = self.power_va if self.power_va is not None else self.power_w
        return None if rated is None else rated * self.quantity

    def converter(self) -> Converter:
        """What it asks of its input, and when it works."""
        return Converter(charge_a=self.charge_a, obeys_stop=self.obeys_stop, lowest_dc_v=self.minimum_v)

    def battery_lost(self) -> BatteryLost:
        """Its charger goes on without a battery; whether that harms anything no field tells."""
        return BatteryLost("mains", "dc", None, "", obeys_stop=self.obeys_stop)

    def nominal_volts(self, terminal: str) -> System | None:
        """Battery volts on `dc`, AC volts on the AC terminals."""
        if terminal in ("dc", "neg"):
            return "dc", self.dc_v
        return None if terminal == "earth" else ("ac", self.ac_v)

    def through_limit(self, terminal: str) -> float | None:
        """`through_a` is the rating of the transfer relay, asked at the AC input."""
        return self.through_a if terminal == "ac_in" else None

    def missing_for_current(self) -> tuple[str, ...]:
        """The rating of the transfer relay."""
        return gaps(self, "through_a")

    def touchable(self) -> Touchable:
        """Its metal, by what is recorded."""
        return Touchable(
            self.exposed_metal,
            (
                "ac_in",
                "ac_out",
                "earth",
            ),
        )

    def charging(self) -> Charging:
        """What its output is set to."""
        return Charging("dc", self.charge_v, self.float_v, self.equalise_v)

    def unsaid_bond(self) -> str:
        """Whether it is bonded there."""
        return "bonds_neutral" if self.bonds_neutral is None else ""

    def summary(self) -> tuple[str, ...]:
        """Output and charging current; what its relay carries."""
        power = figure(self.power_w, "W") if self.power_va is None else figure(self.power_va, "VA")
        return lines_of(
            together(power, figure(self.charge_a, "A")),
            "" if self.through_a is None else _("relay {amps}").format(amps=figure(self.through_a, "A")),
        )
