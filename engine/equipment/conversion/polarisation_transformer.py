"""A polarisation transformer: the boat's live and neutral are fixed whatever the shore's are; earth mostly passes.

Its secondary is a source whose limit is not its own: what feeds the primary, times `Conversion.ratio`. The ratio is
primary volts across the winding to secondary volts line to neutral, the worst that one line can carry.
"""

from __future__ import annotations

from typing import Annotated, ClassVar

from engine.equipment._facts import ExposedMetal, Frequency, LivePhases, PassesEarth
from engine.equipment._systems import System, gaps
from engine.equipment._transformers import (
    Impedance,
    InrushA,
    PowerVa,
    PrimaryVolts,
    SecondaryBond,
    SecondaryVolts,
    contacts,
    conversions,
    nominal_volts,
    primary_limit,
    sources,
    summary,
)
from engine.equipment.base import AC, Contact, Conversion, Equipment, Role, Source, Terminal, phase_names
from engine.equipment.behaviour import Converter, Touchable
from engine.record import Fact
from engine.words import N_

__all__ = ["PolarisationTransformer"]


class PolarisationTransformer(Equipment, frozen=True, kw_only=True):
    """Two windings. It gives no galvanic isolation where earth goes through."""

    KIND: ClassVar[str] = "polarisation_transformer"
    NAME: ClassVar[str] = N_("Polarisation transformer")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"

    power_va: PowerVa = None
    primary_v: PrimaryVolts = None
    primary_phases: LivePhases = "L1"
    secondary_v: SecondaryVolts = None
    secondary_phases: LivePhases = "L1"
    frequency_hz: Frequency = None
    impedance_percent: Impedance = None
    inrush_a: InrushA = None
    passes_earth: PassesEarth = None
    bonds_neutral: SecondaryBond = None
    thermal_cut_out: Annotated[bool | None, Fact(N_("cuts out when too hot: yes, no or not known"))] = None
    exposed_metal: ExposedMetal = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Shore side, boat side, case."""
        return (
            Terminal("primary", AC, "bottom", must=True, help=N_("towards the shore")),
            Terminal("secondary", AC, "top", must=True, help=N_("towards the boat")),
            Terminal("earth", ("PE",), "right", help=N_("case to the boat's earth")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """Case to the secondary's earth; the primary's earth only where the record says it passes."""
        return contacts(self.passes_earth, self.bonds_neutral)

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """The secondary."""
        return sources(self.secondary_v, self.secondary_phases, self.frequency_hz, self.primary_v)

    def conversions(self) -> tuple[Conversion, ...]:
        """Primary to secondary."""
        return conversions(self.primary_v, self.secondary_v)

    def output_va(self) -> float | None:
        """Continuous output."""
        rated = self.power_va
        return None if rated is None else rated * self.quantity

    def converter(self) -> Converter:
        """What it asks of its input, and when it works."""
        return Converter(
            impedance_percent=self.impedance_percent,
            rated_va=self.power_va,
            lines=len(phase_names(self.secondary_phases)),
        )

    def nominal_volts(self, terminal: str) -> System | None:
        """Line to neutral, both sides."""
        return nominal_volts(terminal, self.primary_v, self.primary_phases, self.secondary_v)

    def through_limit(self, terminal: str) -> float | None:
        """Rated primary current."""
        return primary_limit(terminal, self.through_a, self.power_va, self.primary_v, self.primary_phases)

    def missing_for_current(self) -> tuple[str, ...]:
        """VA and primary volts."""
        return () if self.through_limit("primary") is not None else gaps(self, "power_va", "primary_v")

    def touchable(self) -> Touchable:
        """Its metal, by what is recorded."""
        return Touchable(
            self.exposed_metal,
            (
                "secondary",
                "earth",
            ),
        )

    def unsaid_bond(self) -> str:
        """Whether it is bonded at its secondary."""
        return "bonds_neutral" if self.bonds_neutral is None else ""

    def unsaid_earth(self) -> str:
        """Whether earth passes from shore to boat."""
        return "passes_earth" if self.passes_earth is None else ""

    def summary(self) -> tuple[str, ...]:
        """VA; volts on both sides."""
        return summary(self.power_va, self.primary_v, self.secondary_v)
