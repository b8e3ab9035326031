"""A socket outlet, AC or DC. What is plugged in is not known: `expected_w` is what the circuit is planned for."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import (
    DcVolts,
    Duties,
    DutyShare,
    LivePhases,
    PlateVolts,
    Polarised,
    PowerFactor,
    RatingA,
    ResidualMa,
    ResidualMs,
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
    together,
)
from engine.equipment.base import ALL, Contact, Draw, Equipment, Role, Terminal
from engine.equipment.behaviour import Residual, Touchable, Use
from engine.record import Fact
from engine.words import N_

__all__ = ["SocketOutlet"]


class SocketOutlet(Equipment, frozen=True, kw_only=True):
    """`residual_ma` is that of personnel protection built into it; `quantity` outlets may stand as one symbol."""

    KIND: ClassVar[str] = "socket_outlet"
    NAME: ClassVar[str] = N_("Socket outlet")
    LETTERS: ClassVar[tuple[str, ...]] = ("X",)
    ROLE: ClassVar[Role] = "load"

    rating_a: RatingA = None
    dc_v: DcVolts = None
    ac_v: PlateVolts = None
    phases: LivePhases = "L1"
    uses_neutral: UsesNeutral = None
    form: Annotated[str, Fact(N_("form of the outlet"))] = ""
    earth_contact: Annotated[bool | None, Fact(N_("has an earth contact: yes, no or not known"))] = None
    polarised: Polarised = None
    weatherproof: Annotated[bool | None, Fact(N_("weatherproof: yes, no or not known"))] = None
    residual_ma: ResidualMa = None
    residual_ms: ResidualMs = None
    protects_onward: Annotated[
        bool | None, Fact(N_("its residual-current protection covers the outlets after it: yes, no or not known"))
    ] = None
    expected_w: Annotated[float | None, Fact(N_("power expected at one outlet"), "W", low=0)] = None
    power_factor: PowerFactor = None
    duty: Duties = ()
    duty_share: DutyShare = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Supply, box."""
        return (
            Terminal("in", ALL, "bottom", must=True, help=N_("supply")),
            Terminal("earth", ("PE",), "right", help=N_("box to earth")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """Its earth contact is the earth of its supply."""
        return (case("in"),)

    def draws(self) -> tuple[Draw, ...]:
        """What is expected at all its outlets."""
        return (
            consumer_draw(
                terminal="in",
                behaves="",
                power_w=self.expected_w,
                current_a=None,
                dc_v=self.dc_v,
                ac_v=self.ac_v,
                phases=self.phases,
                neutral=self.uses_neutral,
                power_factor=self.power_factor,
                count=self.quantity,
                missing="expected_w",
            ),
        )

    def use(self) -> Use:
        """Its hours; what is plugged in is nobody's safety."""
        return Use(
            essential=False,
            duty=tuple((d.condition, d.hours_a_day) for d in self.duty),
            duty_share=self.duty_share,
        )

    def nominal_volts(self, terminal: str) -> System | None:
        """The system whose volts are recorded; AC line to neutral."""
        return consumer_volts(self.dc_v, self.ac_v, self.phases) if terminal == "in" else None

    def through_limit(self, terminal: str) -> float | None:
        """Its rating."""
        return first(self.through_a, self.rating_a)

    def missing_for_current(self) -> tuple[str, ...]:
        """Its rating."""
        return ("rating_a",) if self.through_limit("in") is None else ()

    def touchable(self) -> Touchable:
        """Its earth contact."""
        return Touchable(True, ("in", "earth"), is_socket=True)

    def residual(self) -> Residual | None:
        """Its own personnel protection; of the outlets after it only where the record says so."""
        if self.residual_ma is None:
            return None
        return Residual(
            "in",
            "",
            self.residual_ma,
            self.residual_ms,
            poles=("L1", "L2", "L3", "N"),
            covers_after=self.protects_onward,
        )

    def summary(self) -> tuple[str, ...]:
        """How many, and the rating of one; residual current where it has its own protection."""
        rating = figure(self.through_limit("in"), "A")
        return lines_of(
            together(f"{self.quantity} ×" if rating and self.quantity > 1 else "", rating),
            figure(self.residual_ma, "mA"),
        )

    def article(self) -> tuple[str, ...]:
        """Form, volts and rating of one; residual current."""
        volts = figure(self.dc_v, "V") or figure(self.ac_v, "V")
        return lines_of(
            together(self.form, volts, figure(self.through_limit("in"), "A")), figure(self.residual_ma, "mA")
        )
