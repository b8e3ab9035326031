"""A battery charger fed from AC."""

from __future__ import annotations

import itertools
from typing import Annotated, ClassVar

from engine.equipment._facts import (
    ChargeA,
    ChargeVolts,
    DcVolts,
    Efficiency,
    EqualiseVolts,
    ExposedMetal,
    FloatVolts,
    Frequency,
    InternalDeviceA,
    LivePhases,
    NeedsBattery,
    ObeysStop,
    PlateVolts,
    PowerFactor,
    Profile,
    SelfLimiting,
    StandbyW,
    TemperatureSensed,
)
from engine.equipment._systems import (
    System,
    case,
    figure,
    first,
    inside,
    limit_gaps,
    lines_of,
    negative,
    to_neutral,
    together,
)
from engine.equipment.base import AC, DC, Contact, Conversion, Equipment, Role, Source, Terminal
from engine.equipment.behaviour import Charging, Converter, Touchable
from engine.equipment.parting import BatteryLost
from engine.record import Fact
from engine.words import N_, _

__all__ = ["Charger"]

OUTPUTS = ("dc", "dc2", "dc3")


class Charger(Equipment, frozen=True, kw_only=True):
    """AC and DC sides do not conduct to each other, nor do the positives of its outputs; their negative is one.

    Each output may give all that the charger gives, unless `output_a` says less.
    """

    KIND: ClassVar[str] = "charger"
    NAME: ClassVar[str] = N_("Battery charger")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True

    dc_v: DcVolts = None
    charge_a: ChargeA = None
    output_a: Annotated[
        float | None, Fact(N_("most current of one of several outputs; empty: all of it"), "A", low=0, above=0)
    ] = None
    self_limiting: SelfLimiting = None
    charge_v: ChargeVolts = None
    float_v: FloatVolts = None
    equalise_v: EqualiseVolts = None
    profile: Profile = ""
    temperature_sensed: TemperatureSensed = None
    obeys_stop: ObeysStop = None
    needs_battery: NeedsBattery = None
    output_fuse_a: InternalDeviceA = None
    ac_v: PlateVolts = None
    phases: LivePhases = "L1"
    frequency_hz: Frequency = None
    lowest_ac_v: Annotated[float | None, Fact(N_("lowest AC voltage it takes"), "V", low=0)] = None
    highest_ac_v: Annotated[float | None, Fact(N_("highest AC voltage it takes"), "V", low=0)] = None
    input_a: Annotated[float | None, Fact(N_("AC current at full output"), "A", low=0)] = None
    power_factor: PowerFactor = None
    efficiency: Efficiency = None
    standby_w: StandbyW = None
    exposed_metal: ExposedMetal = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Mains, up to three batteries, case."""
        return (
            Terminal("ac", AC, "left", must=True, help=N_("mains")),
            Terminal("dc", DC, "bottom", must=True, help=N_("battery")),
            Terminal("dc2", DC, "bottom", help=N_("second battery, isolated from the first")),
            Terminal("dc3", DC, "right", help=N_("third battery, isolated from the others")),
            Terminal("neg", ("-",), "bottom", help=N_("battery negative drawn apart")),
            Terminal("earth", ("PE",), "right", help=N_("case to earth")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One negative; the case is the protective earth of the mains."""
        shared = tuple(Contact(a, b, ("-",), straight=False) for a, b in itertools.combinations(OUTPUTS, 2))
        return (*(negative(output) for output in OUTPUTS), *shared, case("ac"))

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """Its charging current, at each output in use."""
        outputs = [output for output in OUTPUTS if output in joined] or ["dc"]
        return tuple(
            Source(
                output,
                "+",
                "dc",
                nominal_v=self.dc_v,
                highest_v=self.charge_v,
                limited=self.self_limiting,
                limit_a=first(self.output_a, self.charge_a),
                line="charger",
                protection=inside(self.output_fuse_a, "output_fuse_a"),
                missing=limit_gaps(self, "self_limiting", "charge_a" if self.output_a is None else "output_a"),
            )
            for output in outputs
        )

    def conversions(self) -> tuple[Conversion, ...]:
        """Mains to battery."""
        return tuple(Conversion("ac", output, self.efficiency) for output in OUTPUTS)

    def converter(self) -> Converter:
        """What it asks of its input, and when it works."""
        return Converter(
            charge_a=self.charge_a,
            obeys_stop=self.obeys_stop,
            power_factor=self.power_factor,
            lowest_ac_v=self.lowest_ac_v,
        )

    def battery_lost(self) -> BatteryLost:
        """What its maker says."""
        return BatteryLost("mains", "dc", self.needs_battery, "needs_battery", obeys_stop=self.obeys_stop)

    def nominal_volts(self, terminal: str) -> System | None:
        """Battery volts below, mains volts at `ac`."""
        if terminal == "earth":
            return None
        return ("ac", to_neutral(self.ac_v, self.phases)) if terminal == "ac" else ("dc", self.dc_v)

    def touchable(self) -> Touchable:
        """Its metal, by what is recorded."""
        return Touchable(
            self.exposed_metal,
            (
                "ac",
                "earth",
            ),
        )

    def charging(self) -> Charging:
        """What its output is set to."""
        return Charging("dc", self.charge_v, self.float_v, self.equalise_v)

    def summary(self) -> tuple[str, ...]:
        """Volts and amperes; whether it limits itself."""
        return lines_of(
            together(figure(self.dc_v, "V"), figure(self.charge_a, "A")),
            _("self-limiting") if self.self_limiting else "",
        )
