"""An autotransformer: one winding, so input and output conduct to each other.

One that steps the voltage is a source at its output, limited by what feeds its input times `Conversion.ratio`; one that
balances two lines passes them straight and makes the neutral between them.
"""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import ExposedMetal, Frequency, LivePhases
from engine.equipment._systems import System, ac_sources, first, gaps, to_neutral
from engine.equipment._transformers import Impedance, InrushA, PowerVa, line_current_a, ratio, summary
from engine.equipment.base import AC, Contact, Conversion, Equipment, Role, Source, Terminal, phase_names
from engine.equipment.behaviour import Converter, Touchable
from engine.record import Fact
from engine.words import N_

__all__ = ["Autotransformer"]


class Autotransformer(Equipment, frozen=True, kw_only=True):
    """It isolates nothing."""

    KIND: ClassVar[str] = "autotransformer"
    NAME: ClassVar[str] = N_("Autotransformer")
    LETTERS: ClassVar[tuple[str, ...]] = ("T",)
    ROLE: ClassVar[Role] = "converter"

    power_va: PowerVa = None
    purpose: Annotated[
        Literal["", "step", "balance"], Fact(N_("steps the voltage, or balances two lines and makes their neutral"))
    ] = ""
    in_v: Annotated[
        float | None, Fact(N_("input voltage, between lines where it has several, else to neutral"), "V", low=0)
    ] = None
    in_phases: LivePhases = "L1"
    out_v: Annotated[float | None, Fact(N_("output voltage, line to neutral"), "V", low=0)] = None
    out_phases: LivePhases = "L1"
    frequency_hz: Frequency = None
    neutral_a: Annotated[float | None, Fact(N_("largest current in its neutral"), "A", low=0)] = None
    impedance_percent: Impedance = None
    inrush_a: InrushA = None
    thermal_cut_out: Annotated[bool | None, Fact(N_("cuts out when too hot: yes, no or not known"))] = None
    exposed_metal: ExposedMetal = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Input below, output above."""
        return (
            Terminal("in", AC, "bottom", must=True, help=N_("input")),
            Terminal("out", AC, "top", must=True, help=N_("output")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """Neutral and earth go through; the lines too where it balances."""
        lines = ("L1", "L2", "L3") if self.purpose == "balance" else ()
        return (Contact("in", "out", (*lines, "N", "PE"), straight=False),)

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """Its output, where it steps the voltage."""
        if self.purpose == "balance":
            return ()
        return ac_sources(
            "out",
            self.out_phases,
            volts=self.out_v,
            frequency_hz=self.frequency_hz,
            limited=None,
            line="secondary",
            missing=gaps(self, "purpose", "in_v", "out_v"),
        )

    def conversions(self) -> tuple[Conversion, ...]:
        """Input to output, at a fixed ratio."""
        if self.purpose == "balance":
            return ()
        return (Conversion("in", "out", ratio=ratio(self.in_v, self.out_v), both_ways=True),)

    def output_va(self) -> float | None:
        """Continuous output."""
        rated = self.power_va
        return None if rated is None else rated * self.quantity

    def converter(self) -> Converter:
        """What it asks of its input, and when it works."""
        return Converter(
            impedance_percent=self.impedance_percent,
            rated_va=self.power_va,
            lines=len(phase_names(self.out_phases)),
            balances=self.purpose == "balance",
        )

    def nominal_volts(self, terminal: str) -> System:
        """Line to neutral, both sides."""
        return "ac", to_neutral(self.in_v, self.in_phases) if terminal == "in" else self.out_v

    def through_limit(self, terminal: str) -> float | None:
        """Rated input current; where it balances, only what is recorded."""
        computed = None if self.purpose == "balance" else line_current_a(self.power_va, self.in_v, self.in_phases)
        return first(self.through_a, computed) if terminal == "in" else None

    def missing_for_current(self) -> tuple[str, ...]:
        """VA and input volts, or the current that may pass."""
        if self.through_limit("in") is not None:
            return ()
        return ("through_a",) if self.purpose == "balance" else gaps(self, "power_va", "in_v")

    def touchable(self) -> Touchable:
        """Its metal, by what is recorded."""
        return Touchable(
            self.exposed_metal,
            (
                "in",
                "out",
            ),
        )

    def summary(self) -> tuple[str, ...]:
        """VA; volts on both sides."""
        return summary(self.power_va, self.in_v, self.out_v)
