"""The shore supply: the outlet ashore, with the breaker behind it."""

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
    ResidualMa,
    ResidualMs,
    ResidualType,
)
from engine.equipment._systems import System, ac_sources, bond, figure, gaps, lines_of, residual_type_in_words, together
from engine.equipment.base import AC, Contact, Equipment, Protection, Role, Source, Terminal
from engine.equipment.behaviour import Ashore, Machine
from engine.record import Fact
from engine.words import N_, _

__all__ = ["ShoreSupply"]


class ShoreSupply(Equipment, frozen=True, kw_only=True):
    """An AC source that does not limit itself, behind a breaker ashore."""

    KIND: ClassVar[str] = "shore_supply"
    NAME: ClassVar[str] = N_("Shore supply")
    LETTERS: ClassVar[tuple[str, ...]] = ("G", "X")
    ROLE: ClassVar[Role] = "source"

    ac_v: AcVolts = None
    phases: LivePhases = "L1"
    frequency_hz: Frequency = None
    breaker_a: Annotated[float | None, Fact(N_("breaker ashore"), "A", low=0, above=0)] = None
    breaker_poles: Annotated[int | None, Fact(N_("poles it opens"), low=1, high=4)] = None
    fault_a: FaultA = None
    residual_ma: ResidualMa = None
    residual_ms: ResidualMs = None
    residual_type: ResidualType = ""
    polarised: Polarised = None
    neutral_earthed: NeutralEarthed = None
    connector: Annotated[str, Fact(N_("form of the outlet"))] = ""
    parallel_with: ParallelWith = ()

    def pieces(self) -> int:
        """It stands ashore: nobody buys it."""
        return 0

    def terminals(self) -> tuple[Terminal, ...]:
        """The outlet."""
        return (Terminal("out", AC, "top", must=True, help=N_("outlet")),)

    def contacts(self) -> tuple[Contact, ...]:
        """The neutral is bonded ashore where the record says so."""
        return (bond("out"),) if self.neutral_earthed else ()

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """One source of as many phases as it has, its breaker before the outlet."""
        return ac_sources(
            "out",
            self.phases,
            volts=self.ac_v,
            frequency_hz=self.frequency_hz,
            limited=False,
            line="shore",
            protection=Protection(self.breaker_a, "breaker", "breaker_a"),
            missing=gaps(self, "ac_v", "breaker_a"),
        )

    def machine(self) -> Machine:
        """The breaker ashore, the prospective current at the outlet."""
        return Machine(rated_a=self.breaker_a, short_circuit_a=self.fault_a)

    def nominal_volts(self, terminal: str) -> System:
        """The supply's volts, line to neutral."""
        return "ac", self.ac_v

    def ashore(self) -> Ashore:
        """The outlet ashore."""
        return Ashore("out", False, self.polarised)

    def unsaid_bond(self) -> str:
        """Whether it is bonded ashore."""
        return "neutral_earthed" if self.neutral_earthed is None else ""

    def summary(self) -> tuple[str, ...]:
        """Volts, hertz and breaker; residual-current protection ashore."""
        residual = together(figure(self.residual_ma, "mA"), residual_type_in_words(self.residual_type))
        return lines_of(
            together(figure(self.ac_v, "V"), figure(self.frequency_hz, "Hz"), figure(self.breaker_a, "A")),
            residual and _("{figure} ashore").format(figure=residual),
        )
