"""What transformers with two windings have in common: facts and behaviour.

The primary voltage is that across the winding (between lines where it has several), the secondary voltage line to
neutral: their ratio is the most amperes one secondary line carries for each ampere of the primary.
"""

from __future__ import annotations

import math
from typing import Annotated

from engine.equipment._systems import System, ac_sources, bond, case, figure, first, lines_of, to_neutral
from engine.equipment.base import Contact, Conversion, Source, phase_names
from engine.record import Fact
from engine.units import spelled
from engine.words import N_

PowerVa = Annotated[float | None, Fact(N_("continuous rating"), "VA", low=0)]
PrimaryVolts = Annotated[
    float | None, Fact(N_("primary voltage, between lines where it has several, else to neutral"), "V", low=0)
]
SecondaryVolts = Annotated[float | None, Fact(N_("secondary voltage, line to neutral"), "V", low=0)]
Impedance = Annotated[float | None, Fact(N_("short-circuit impedance"), "%", low=0, high=100)]
InrushA = Annotated[float | None, Fact(N_("inrush current when switched on"), "A", low=0)]
SecondaryBond = Annotated[
    bool | None, Fact(N_("secondary neutral bonded to the boat's earth at it: yes, no or not known"))
]


def contacts(passes_earth: bool | None, bonds_neutral: bool | None) -> tuple[Contact, ...]:
    """Case to the secondary's earth, bond and earth through where recorded."""
    made = [case("secondary")]
    if passes_earth:
        made += [Contact("primary", "secondary", ("PE",), straight=False), case("primary")]
    if bonds_neutral:
        made.append(bond("secondary"))
    return tuple(made)


def ratio(primary_v: float | None, secondary_v: float | None) -> float | None:
    """Secondary amperes for each ampere of the primary."""
    return primary_v / secondary_v if primary_v and secondary_v else None


def sources(
    secondary_v: float | None, phases: str, frequency_hz: float | None, primary_v: float | None
) -> tuple[Source, ...]:
    """The secondary: its limit is what feeds the primary times the ratio, so the record alone does not know it."""
    unknown = tuple(n for n, v in (("primary_v", primary_v), ("secondary_v", secondary_v)) if not v)
    return ac_sources(
        "secondary",
        phases,
        volts=secondary_v,
        frequency_hz=frequency_hz,
        limited=None,
        line="secondary",
        missing=unknown,
    )


def conversions(primary_v: float | None, secondary_v: float | None) -> tuple[Conversion, ...]:
    """Primary to secondary, at a fixed ratio."""
    return (Conversion("primary", "secondary", ratio=ratio(primary_v, secondary_v), both_ways=True),)


def nominal_volts(
    terminal: str, primary_v: float | None, primary_phases: str, secondary_v: float | None
) -> System | None:
    """Line to neutral, both sides."""
    if terminal == "primary":
        return "ac", to_neutral(primary_v, primary_phases)
    return ("ac", secondary_v) if terminal == "secondary" else None


def line_current_a(power_va: float | None, across_v: float | None, phases: str) -> float | None:
    """Rated current of a line whose volts are those between lines, or to neutral where there is one line."""
    if power_va is None or not across_v:
        return None
    return power_va / (across_v * (math.sqrt(3) if len(phase_names(phases)) == 3 else 1))


def primary_limit(
    terminal: str, through_a: float | None, power_va: float | None, primary_v: float | None, phases: str
) -> float | None:
    """Rated primary current: as recorded, else from VA and volts."""
    return first(through_a, line_current_a(power_va, primary_v, phases)) if terminal == "primary" else None


def summary(power_va: float | None, in_v: float | None, out_v: float | None) -> tuple[str, ...]:
    """VA; volts on both sides."""
    volts = "/".join("?" if v is None else spelled(f"{v:g}") for v in (in_v, out_v))
    return lines_of(figure(power_va, "VA"), "" if volts == "?/?" else f"{volts} V")
