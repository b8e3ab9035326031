"""A combined inverter with two legs, each with a bridge and a transfer relay of its own, moved together."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import (
    AcVolts,
    ChargeA,
    ChargeVolts,
    DcVolts,
    Efficiency,
    ExposedMetal,
    FloatVolts,
    Frequency,
    HighestVolts,
    Line,
    MinimumVolts,
    ObeysStop,
    ParallelWith,
    Profile,
    StandbyW,
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
from engine.equipment.base import AC, DC, Contact, Conversion, Draw, Equipment, Role, Source, Terminal
from engine.equipment.behaviour import Charging, Converter, Touchable
from engine.equipment.parting import BatteryLost
from engine.record import Fact
from engine.words import N_, _

__all__ = ["CombinedInverter"]

INVERT = frozenset({"invert"})
PASS = frozenset({"pass"})


class CombinedInverter(Equipment, frozen=True, kw_only=True):
    """Each leg is a source class of its own: the two have no common phase. `through_a` is the rating of each relay.

    An input of one line feeds both legs, in phase; an input of two lines feeds one leg each.
    """

    KIND: ClassVar[str] = "combined_inverter"
    NAME: ClassVar[str] = N_("Inverter with independent legs")
    LETTERS: ClassVar[tuple[str, ...]] = ("T", "U")
    ROLE: ClassVar[Role] = "converter"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True
    AUTOMATIC: ClassVar[bool] = True

    dc_v: DcVolts = None
    minimum_v: MinimumVolts = None
    highest_v: HighestVolts = None
    ac_v: AcVolts = None
    frequency_hz: Frequency = None
    input_phases: Annotated[Literal["L1", "L1 L2"], Fact(N_("live conductors of its input"))] = "L1 L2"
    leg1_phase: Annotated[Line, Fact(N_("conductor the first leg feeds"))] = "L1"
    leg2_phase: Annotated[Line, Fact(N_("conductor the second leg feeds"))] = "L2"
    leg_power_w: Annotated[float | None, Fact(N_("continuous output of a leg"), "W", low=0)] = None
    leg_peak_w: Annotated[float | None, Fact(N_("short-time output of a leg"), "W", low=0)] = None
    leg_limit_a: Annotated[float | None, Fact(N_("current each bridge limits its own output to"), "A", low=0)] = None
    legs_relation: Annotated[
        Literal["", "free", "in phase", "opposed"], Fact(N_("phase of the two legs to each other when inverting"))
    ] = ""
    common_neutral: Annotated[bool | None, Fact(N_("both legs share one neutral: yes, no or not known"))] = None
    charge_a: ChargeA = None
    charge_v: ChargeVolts = None
    float_v: FloatVolts = None
    profile: Profile = ""
    self_limiting: Annotated[bool | None, Fact(N_("charging output limits itself: yes, no or not known"))] = None
    obeys_stop: ObeysStop = None
    efficiency: Efficiency = None
    charger_efficiency: Annotated[float | None, Fact(N_("efficiency as charger, as a share"), low=0, high=1)] = None
    standby_w: StandbyW = None
    transfer_ms: Annotated[float | None, Fact(N_("time its relays take to transfer"), "ms", low=0)] = None
    bonds_neutral: Annotated[bool | None, Fact(N_("bonds neutral to earth when inverting, lifts it when passing"))] = (
        None
    )
    needs_pre_charge: Annotated[
        bool | None, Fact(N_("its input capacitors are charged before it is switched on: yes, no or not known"))
    ] = None
    parallel_with: ParallelWith = ()
    exposed_metal: ExposedMetal = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Battery below, input left, legs above."""
        return (
            Terminal("dc", DC, "bottom", must=True, help=N_("battery")),
            Terminal("neg", ("-",), "bottom", help=N_("battery negative drawn apart")),
            Terminal("ac_in", AC, "left", help=N_("AC from shore or generator")),
            Terminal("leg1", AC, "top", help=N_("first leg")),
            Terminal("leg2", AC, "top", help=N_("second leg")),
            Terminal("earth", ("PE",), "right", help=N_("case to earth")),
        )

    def positions(self) -> tuple[str, ...]:
        """Off, invert (bridges on the legs), pass (input on the legs)."""
        return ("off", "invert", "pass")

    def normal_position(self) -> str:
        """Inverting."""
        return "invert"

    def contacts(self) -> tuple[Contact, ...]:
        """Relays pass a line and the neutral to each leg; earth goes straight through, and to the case."""
        made = [negative("dc")]
        for leg, line, phase in (
            ("leg1", "L1", self.leg1_phase),
            ("leg2", self.input_phases.split()[-1], self.leg2_phase),
        ):
            made.append(Contact("ac_in", leg, positions=PASS, cross=(line, phase), straight=False))
            made.append(Contact("ac_in", leg, ("N",), PASS, straight=False))
            made.append(Contact("ac_in", leg, ("PE",), straight=False))
            made.append(case(leg))
            if self.bonds_neutral:
                made.append(bond(leg, INVERT))
        made.append(case("ac_in"))
        shared = ("N", "PE") if self.common_neutral else ("PE",)
        made.append(Contact("leg1", "leg2", shared, straight=False))
        return tuple(made)

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """A bridge on each leg when inverting; the charger on the battery when passing."""
        limit = self.leg_limit_a
        bridges = [
            source
            for leg, phase in (("leg1", self.leg1_phase), ("leg2", self.leg2_phase))
            for source in ac_sources(
                leg,
                phase,
                volts=self.ac_v,
                frequency_hz=self.frequency_hz,
                limited=None if limit is None else True,
                limit_a=limit,
                line=leg,
                positions=INVERT,
                missing=gaps(self, "leg_limit_a"),
            )
        ]
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
        return (*bridges, charger)

    def conversions(self) -> tuple[Conversion, ...]:
        """Battery to each leg when inverting, input to battery when passing."""
        return (
            Conversion("dc", "leg1", self.efficiency, positions=INVERT),
            Conversion("dc", "leg2", self.efficiency, positions=INVERT),
            Conversion("ac_in", "dc", self.charger_efficiency, positions=PASS),
        )

    def draws(self) -> tuple[Draw, ...]:
        """Its own consumption on the battery."""
        return (Draw("dc", "dc", "power", self.standby_w, DC, missing=gaps(self, "standby_w")),)

    def output_va(self) -> float | None:
        """Continuous output of both legs."""
        return None if self.leg_power_w is None else 2 * self.leg_power_w * self.quantity

    def converter(self) -> Converter:
        """What it asks of its input, and when it works."""
        return Converter(
            charge_a=self.charge_a,
            obeys_stop=self.obeys_stop,
            lowest_dc_v=self.minimum_v,
            second_leg=self.legs_relation,
        )

    def battery_lost(self) -> BatteryLost:
        """Its charger goes on without a battery; whether that harms anything no field tells."""
        return BatteryLost("mains", "dc", None, "", obeys_stop=self.obeys_stop)

    def nominal_volts(self, terminal: str) -> System | None:
        """Battery volts on `dc`, AC volts on the AC terminals."""
        if terminal in ("dc", "neg"):
            return "dc", self.dc_v
        return None if terminal == "earth" else ("ac", self.ac_v)

    def through_limit(self, terminal: str) -> float | None:
        """`through_a` is the rating of each transfer relay, asked at the AC input."""
        return self.through_a if terminal == "ac_in" else None

    def missing_for_current(self) -> tuple[str, ...]:
        """The rating of the transfer relays."""
        return gaps(self, "through_a")

    def touchable(self) -> Touchable:
        """Its metal, by what is recorded."""
        return Touchable(
            self.exposed_metal,
            (
                "ac_in",
                "leg1",
                "leg2",
                "earth",
            ),
        )

    def charging(self) -> Charging:
        """What its output is set to."""
        return Charging("dc", self.charge_v, self.float_v, None)

    def unsaid_bond(self) -> str:
        """Whether it is bonded there."""
        return "bonds_neutral" if self.bonds_neutral is None else ""

    def summary(self) -> tuple[str, ...]:
        """Output of both legs and charging current; what each relay carries."""
        power = "" if self.leg_power_w is None else f"2 × {figure(self.leg_power_w, 'W')}"
        return lines_of(
            together(power, figure(self.charge_a, "A")),
            "" if self.through_a is None else _("relays {amps}").format(amps=figure(self.through_a, "A")),
        )
