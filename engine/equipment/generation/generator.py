"""An AC generator set."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import (
    AcVolts,
    ExposedMetal,
    Frequency,
    InternalDeviceA,
    LivePhases,
    ParallelWith,
    PowerFactor,
    SelfLimiting,
)
from engine.equipment._systems import (
    System,
    ac_sources,
    bond,
    case,
    figure,
    first,
    gaps,
    inside,
    lines_of,
    together,
)
from engine.equipment.base import AC, Contact, Equipment, Role, Source, Terminal, phase_names
from engine.equipment.behaviour import Machine, Touchable
from engine.record import Fact
from engine.words import N_, _

__all__ = ["Generator"]


class Generator(Equipment, frozen=True, kw_only=True):
    """Reactances are per unit of its own rating: 12 % is 0.12."""

    KIND: ClassVar[str] = "generator"
    NAME: ClassVar[str] = N_("Generator")
    LETTERS: ClassVar[tuple[str, ...]] = ("G",)
    ROLE: ClassVar[Role] = "source"

    power_va: Annotated[float | None, Fact(N_("continuous rating"), "VA", low=0)] = None
    rating_a: Annotated[float | None, Fact(N_("rated current of a line, where the plate gives it"), "A", low=0)] = None
    ac_v: AcVolts = None
    phases: LivePhases = "L1"
    frequency_hz: Frequency = None
    power_factor: PowerFactor = None
    self_limiting: SelfLimiting = None
    subtransient_pu: Annotated[float | None, Fact(N_("subtransient reactance x''d, per unit"), low=0, high=1)] = None
    transient_pu: Annotated[float | None, Fact(N_("transient reactance x'd, per unit"), low=0, high=2)] = None
    synchronous_pu: Annotated[float | None, Fact(N_("synchronous reactance xd, per unit"), low=0, high=10)] = None
    short_circuit_a: Annotated[float | None, Fact(N_("sustained short-circuit current"), "A", low=0)] = None
    breaker_a: InternalDeviceA = None
    breaker_poles: Annotated[int | None, Fact(N_("poles that device opens"), low=1, high=4)] = None
    bonds_neutral: Annotated[bool | None, Fact(N_("neutral bonded to its case: yes, no or not known"))] = None
    parallel_with: ParallelWith = ()
    fuel: Annotated[Literal["", "petrol", "diesel", "gas", "other"], Fact(N_("fuel"))] = ""
    starting: Annotated[Literal["", "by hand", "automatic"], Fact(N_("how it is started and stopped"))] = ""
    manual_panel: Annotated[
        bool | None, Fact(N_("can be started and stopped at a panel of its own: yes, no or not known"))
    ] = None
    exposed_metal: ExposedMetal = None

    def rated_current_a(self) -> float | None:
        """Rated current of a line, A: as recorded, else from VA and volts."""
        if self.power_va is None or not self.ac_v:
            return self.rating_a
        return first(self.rating_a, self.power_va / (self.ac_v * len(phase_names(self.phases))))

    def terminals(self) -> tuple[Terminal, ...]:
        """AC output and case."""
        return (
            Terminal("out", AC, "top", must=True, help=N_("AC output")),
            Terminal("earth", ("PE",), "right", help=N_("case to earth")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """The case is the protective earth of its output; the neutral may be bonded there."""
        return (case("out"), bond("out")) if self.bonds_neutral else (case("out"),)

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """One source of as many phases as it has."""
        rated = self.rated_current_a()
        missing = () if self.self_limiting is False else gaps(self, "self_limiting")
        if self.self_limiting is not False and rated is None:
            missing = (*missing, "rating_a")
        return ac_sources(
            "out",
            self.phases,
            volts=self.ac_v,
            frequency_hz=self.frequency_hz,
            limited=self.self_limiting,
            limit_a=rated,
            line="generator",
            rotating=True,
            protection=inside(self.breaker_a, "breaker_a", "breaker"),
            missing=missing,
        )

    def machine(self) -> Machine:
        """Rating, reactances, sustained short-circuit current."""
        count = self.quantity
        rated = self.rated_current_a()
        return Machine(
            rated_a=None if rated is None else rated * count,
            rated_va=None if self.power_va is None else self.power_va * count,
            subtransient_pu=self.subtransient_pu,
            transient_pu=self.transient_pu,
            synchronous_pu=self.synchronous_pu,
            short_circuit_a=None if self.short_circuit_a is None else self.short_circuit_a * count,
        )

    def nominal_volts(self, terminal: str) -> System | None:
        """Its own volts, line to neutral."""
        return ("ac", self.ac_v) if terminal == "out" else None

    def touchable(self) -> Touchable:
        """Its metal, by what is recorded."""
        return Touchable(
            self.exposed_metal,
            (
                "out",
                "earth",
            ),
        )

    def unsaid_bond(self) -> str:
        """Whether it is bonded there."""
        return "bonds_neutral" if self.bonds_neutral is None else ""

    def summary(self) -> tuple[str, ...]:
        """Rating, volts and hertz, current."""
        rated = self.rated_current_a()
        return lines_of(
            together(figure(self.power_va, "VA"), "" if rated is None else figure(round(rated, 1), "A")),
            together(figure(self.ac_v, "V"), figure(self.frequency_hz, "Hz")),
            _("self-limiting") if self.self_limiting else "",
        )
