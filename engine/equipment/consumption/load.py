"""A load that is no motor: lights, electronics, heaters, appliances, a panel not drawn further."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import (
    DcVolts,
    DropClass,
    Duties,
    DutyShare,
    Essential,
    ExposedMetal,
    Frequency,
    HighestVolts,
    LeakageKind,
    LivePhases,
    MinimumVolts,
    PlateVolts,
    PowerFactor,
    Service,
    UsesNeutral,
)
from engine.equipment._systems import System, case, consumer_draw, consumer_volts, figure, lines_of, negative, together
from engine.equipment.base import ALL, Contact, Draw, Equipment, Role, Terminal
from engine.equipment.behaviour import Touchable, Use
from engine.record import Fact
from engine.words import N_

__all__ = ["Load"]


class Load(Equipment, frozen=True, kw_only=True):
    """Figures are those of one piece; `quantity` pieces draw together.

    `dc_v` or `ac_v` says for which system it is made. Power, current or resistance: the first recorded decides how it
    behaves when the voltage falls, unless `behaves` does.
    """

    KIND: ClassVar[str] = "load"
    NAME: ClassVar[str] = N_("Load")
    LETTERS: ClassVar[tuple[str, ...]] = ("E", "A", "P", "B")
    ROLE: ClassVar[Role] = "load"

    service: Service = ""
    dc_v: DcVolts = None
    ac_v: PlateVolts = None
    phases: LivePhases = "L1"
    frequency_hz: Frequency = None
    uses_neutral: UsesNeutral = None
    power_w: Annotated[float | None, Fact(N_("power of one"), "W", low=0)] = None
    current_a: Annotated[float | None, Fact(N_("current of one"), "A", low=0)] = None
    resistance_ohm: Annotated[float | None, Fact(N_("resistance of one"), "ohm", low=0)] = None
    behaves: Annotated[
        Literal["", "constant power", "constant current", "constant resistance"],
        Fact(N_("what stays the same when the voltage falls")),
    ] = ""
    power_factor: PowerFactor = None
    inrush_a: Annotated[float | None, Fact(N_("current when switched on"), "A", low=0)] = None
    minimum_v: MinimumVolts = None
    highest_v: HighestVolts = None
    essential: Essential = None
    drop_class: DropClass = ""
    duty: Duties = ()
    duty_share: DutyShare = None
    exposed_metal: ExposedMetal = None
    leakage: LeakageKind = ""
    leakage_ma: Annotated[float | None, Fact(N_("leakage to earth in normal use"), "mA", low=0)] = None

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
        """All its pieces together."""
        return (
            consumer_draw(
                terminal="in",
                behaves=self.behaves,
                power_w=self.power_w,
                current_a=self.current_a,
                resistance_ohm=self.resistance_ohm,
                dc_v=self.dc_v,
                ac_v=self.ac_v,
                phases=self.phases,
                neutral=self.uses_neutral,
                power_factor=self.power_factor,
                count=self.quantity,
            ),
        )

    def use(self) -> Use:
        """What it serves, its inrush as its start."""
        count = self.quantity
        return Use(
            service=self.service,
            essential=self.essential,
            drop_class=self.drop_class,
            minimum_v=self.minimum_v,
            highest_v=self.highest_v,
            duty=tuple((d.condition, d.hours_a_day) for d in self.duty),
            duty_share=self.duty_share,
            running_a=None if self.current_a is None else self.current_a * count,
            starting_a=None if self.inrush_a is None else self.inrush_a * count,
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

    def summary(self) -> tuple[str, ...]:
        """How many, and what one takes."""
        one = figure(self.power_w, "W") or figure(self.current_a, "A") or figure(self.resistance_ohm, "ohm")
        return lines_of(together(f"{self.quantity} ×" if one and self.quantity > 1 else "", one))

    def article(self) -> tuple[str, ...]:
        """What one takes."""
        return lines_of(
            together(
                figure(self.dc_v, "V"),
                figure(self.ac_v, "V"),
                figure(self.power_w, "W") or figure(self.current_a, "A") or figure(self.resistance_ohm, "ohm"),
            )
        )
