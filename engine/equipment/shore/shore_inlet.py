"""The shore inlet. Where no run arrives from a shore supply, it stands for that supply and is the source itself."""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import (
    AcVolts,
    FaultA,
    Frequency,
    LivePhases,
    NeutralEarthed,
    ParallelWith,
    Polarised,
    RatingA,
    ResidualMa,
    ResidualMs,
    ResidualType,
)
from engine.equipment._systems import System, ac_sources, bond, figure, first, gaps, lines_of, together
from engine.equipment.base import AC, Contact, Equipment, Protection, Role, Source, Terminal
from engine.equipment.behaviour import Ashore, Machine
from engine.record import Fact
from engine.words import N_, _

__all__ = ["ShoreInlet"]


class ShoreInlet(Equipment, frozen=True, kw_only=True):
    """The facts of the supply ashore are asked here too, for a boat whose drawing begins at her inlet."""

    KIND: ClassVar[str] = "shore_inlet"
    NAME: ClassVar[str] = N_("Shore inlet")
    LETTERS: ClassVar[tuple[str, ...]] = ("X",)
    ROLE: ClassVar[Role] = "source"

    rating_a: RatingA = None
    ac_v: AcVolts = None
    phases: LivePhases = "L1"
    frequency_hz: Frequency = None
    supply_breaker_a: Annotated[
        float | None, Fact(N_("breaker ashore where no supply is drawn"), "A", low=0, above=0)
    ] = None
    supply_fault_a: FaultA = None
    supply_residual_ma: ResidualMa = None
    supply_residual_ms: ResidualMs = None
    supply_residual_type: ResidualType = ""
    polarised: Polarised = None
    neutral_earthed: NeutralEarthed = None
    connector: Annotated[str, Fact(N_("form of the inlet"))] = ""
    weatherproof: Annotated[bool | None, Fact(N_("weatherproof when open: yes, no or not known"))] = None
    labelled: Annotated[
        bool | None, Fact(N_("voltage, frequency and current marked beside it: yes, no or not known"))
    ] = None
    parallel_with: ParallelWith = ()

    def terminals(self) -> tuple[Terminal, ...]:
        """Pins outside, wiring inside."""
        return (
            Terminal("shore", AC, "bottom", help=N_("pins, towards the shore")),
            Terminal("out", AC, "top", must=True, help=N_("towards the boat")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """Every pin goes through. The bond is ashore; it shows here where no shore supply is drawn."""
        through = Contact("shore", "out")
        return (through, bond("out")) if self.neutral_earthed else (through,)

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """The shore, unless a run brings it."""
        if "shore" in joined:
            return ()
        return ac_sources(
            "out",
            self.phases,
            volts=self.ac_v,
            frequency_hz=self.frequency_hz,
            limited=False,
            line="shore",
            protection=Protection(self.supply_breaker_a, "breaker", "supply_breaker_a"),
            missing=gaps(self, "ac_v", "supply_breaker_a"),
        )

    def machine(self) -> Machine:
        """The breaker ashore, the prospective current there."""
        return Machine(rated_a=self.supply_breaker_a, short_circuit_a=self.supply_fault_a)

    def nominal_volts(self, terminal: str) -> System:
        """The supply's volts, line to neutral."""
        return "ac", self.ac_v

    def through_limit(self, terminal: str) -> float | None:
        """The rating of its pins."""
        return first(self.through_a, self.rating_a)

    def missing_for_current(self) -> tuple[str, ...]:
        """The rating of its pins."""
        return ("rating_a",) if self.through_limit("out") is None else ()

    def ashore(self) -> Ashore:
        """The boat's inlet."""
        return Ashore("out", True, self.polarised, self.labelled)

    def unsaid_bond(self) -> str:
        """Whether it is bonded ashore."""
        return "neutral_earthed" if self.neutral_earthed is None else ""

    def summary(self) -> tuple[str, ...]:
        """Volts, hertz and rating; breaker ashore."""
        breaker = self.supply_breaker_a
        return lines_of(
            together(figure(self.ac_v, "V"), figure(self.frequency_hz, "Hz"), figure(self.through_limit("out"), "A")),
            "" if breaker is None else _("{amps} breaker ashore").format(amps=figure(breaker, "A")),
        )
