"""A motor: pump, windlass, thruster, winch, engine starter; with its own contactor where that comes with it."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import (
    DcVolts,
    DropClass,
    Duties,
    DutyShare,
    Efficiency,
    Essential,
    ExposedMetal,
    Frequency,
    HighestVolts,
    LeakageKind,
    LivePhases,
    MinimumVolts,
    OnLoss,
    PlateVolts,
    PowerFactor,
    Service,
    UsesNeutral,
)
from engine.equipment._systems import (
    System,
    case,
    consumer_draw,
    consumer_volts,
    figure,
    first,
    lines_of,
    negative,
    together,
)
from engine.equipment.base import ALL, Contact, Draw, Equipment, Role, Terminal
from engine.equipment.behaviour import Touchable, Use
from engine.record import Fact
from engine.words import N_, _

__all__ = ["Motor"]


class Motor(Equipment, frozen=True, kw_only=True):
    """`power_w` is what it takes from the circuit when running, `shaft_w` what it gives. Figures are those of one."""

    KIND: ClassVar[str] = "motor"
    NAME: ClassVar[str] = N_("Motor")
    LETTERS: ClassVar[tuple[str, ...]] = ("M",)
    ROLE: ClassVar[Role] = "load"

    service: Service = ""
    dc_v: DcVolts = None
    ac_v: PlateVolts = None
    phases: LivePhases = "L1"
    frequency_hz: Frequency = None
    uses_neutral: UsesNeutral = None
    running_a: Annotated[float | None, Fact(N_("running current"), "A", low=0)] = None
    power_w: Annotated[float | None, Fact(N_("power it takes when running"), "W", low=0)] = None
    shaft_w: Annotated[float | None, Fact(N_("power at its shaft"), "W", low=0)] = None
    efficiency: Efficiency = None
    power_factor: PowerFactor = None
    starting_a: Annotated[float | None, Fact(N_("starting current"), "A", low=0)] = None
    starting_s: Annotated[float | None, Fact(N_("time it takes to start"), "s", low=0)] = None
    starting_power_factor: Annotated[float | None, Fact(N_("power factor when starting"), low=0, high=1)] = None
    stalled_a: Annotated[float | None, Fact(N_("current when stalled"), "A", low=0)] = None
    stalled_s: Annotated[float | None, Fact(N_("time it withstands being stalled"), "s", low=0)] = None
    thermal_protection: Annotated[bool | None, Fact(N_("opens by itself when too hot: yes, no or not known"))] = None
    soft_start: Annotated[bool | None, Fact(N_("started by electronics: yes, no or not known"))] = None
    longest_run_s: Annotated[float | None, Fact(N_("longest time it may run at once"), "s", low=0)] = None
    own_contactor: Annotated[bool | None, Fact(N_("comes with a contactor not drawn apart: yes, no or not known"))] = (
        None
    )
    contactor_a: Annotated[float | None, Fact(N_("rating of that contactor"), "A", low=0)] = None
    contactor_on_loss: OnLoss = ""
    minimum_v: MinimumVolts = None
    highest_v: HighestVolts = None
    essential: Essential = None
    drop_class: DropClass = ""
    duty: Duties = ()
    duty_share: DutyShare = None
    isolated_return: Annotated[bool | None, Fact(N_("negative isolated from its case: yes, no or not known"))] = None
    exposed_metal: ExposedMetal = None
    leakage: LeakageKind = ""
    engine: Annotated[str, Fact(N_("engine it starts"), refers="equipment")] = ""

    def taken_w(self) -> float | None:
        """Power it takes, W: as recorded, else shaft power over efficiency."""
        if self.power_w is None and self.shaft_w is not None and self.efficiency:
            return self.shaft_w / self.efficiency
        return self.power_w

    def terminals(self) -> tuple[Terminal, ...]:
        """Supply, negative drawn apart, case."""
        return (
            Terminal("in", ALL, "bottom", must=True, help=N_("supply")),
            Terminal("neg", ("-",), "bottom", help=N_("negative drawn apart")),
            Terminal("earth", ("PE",), "right", help=N_("case to earth")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One negative, one earth."""
        return (negative("in"), case("in"))

    def draws(self) -> tuple[Draw, ...]:
        """Running: constant power, which takes more current as the voltage falls; else its running current."""
        return (
            consumer_draw(
                terminal="in",
                behaves="",
                power_w=self.taken_w(),
                current_a=self.running_a,
                dc_v=self.dc_v,
                ac_v=self.ac_v,
                phases=self.phases,
                neutral=self.uses_neutral,
                power_factor=self.power_factor,
                count=self.quantity,
                missing="running_a",
            ),
        )

    def use(self) -> Use:
        """Running, starting, stalled: all its pieces together."""
        count = self.quantity
        return Use(
            service=self.service,
            essential=self.essential,
            drop_class=self.drop_class,
            minimum_v=self.minimum_v,
            highest_v=self.highest_v,
            duty=tuple((d.condition, d.hours_a_day) for d in self.duty),
            duty_share=self.duty_share,
            running_a=None if self.running_a is None else self.running_a * count,
            starting_a=None if self.starting_a is None else self.starting_a * count,
            starting_s=self.starting_s,
            starting_power_factor=self.starting_power_factor,
            stalled_a=None if self.stalled_a is None else self.stalled_a * count,
            stalled_s=self.stalled_s,
            thermal_protection=self.thermal_protection,
            soft_start=self.soft_start,
            is_motor=True,
            starts=self.engine,
            leakage=self.leakage,
        )

    def nominal_volts(self, terminal: str) -> System | None:
        """The system whose volts are recorded; AC line to neutral."""
        return consumer_volts(self.dc_v, self.ac_v, self.phases) if terminal == "in" else None

    def touchable(self) -> Touchable:
        """Its metal, by what is recorded."""
        return Touchable(
            self.exposed_metal,
            (
                "in",
                "earth",
            ),
        )

    def engine_mounted(self) -> str:
        """The engine recorded."""
        return self.engine

    def summary(self) -> tuple[str, ...]:
        """Power or current; when stalled or starting."""
        one = figure(first(self.power_w, self.shaft_w), "W") or figure(self.running_a, "A")
        if self.stalled_a is not None:
            second = _("stalled {amps}").format(amps=figure(self.stalled_a, "A"))
        else:
            amps = figure(self.starting_a, "A")
            second = _("starting {amps}").format(amps=amps) if amps else ""
        return lines_of(together(f"{self.quantity} ×" if one and self.quantity > 1 else "", one), second)

    def article(self) -> tuple[str, ...]:
        """Volts, power or current of one."""
        one = figure(first(self.power_w, self.shaft_w), "W") or figure(self.running_a, "A")
        return lines_of(together(figure(self.dc_v, "V"), figure(self.ac_v, "V"), one))
