"""Volts as the two voltage rules see them: nominal classes, what a source can rise to, fields that would settle it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal, NamedTuple

from engine.books import Book
from engine.circuit.expand import Feed
from engine.circuit.meeting import AC_LIVE, DC_LIVE, Point
from engine.equipment.base import Equipment
from engine.record import field_specs

__all__ = ["LIVE_OF", "Classes", "between_lines", "point", "volt_field"]

System = Literal["dc", "ac"]
LIVE_OF: dict[str, tuple[str, ...]] = {"dc": DC_LIVE, "ac": AC_LIVE}

# the fields in which kinds record volts, the likeliest first
NOMINAL_FIELDS = {
    "dc": ("dc_v", "unit_v", "module_power_v", "out_v", "in_v"),
    "ac": ("ac_v", "secondary_v", "primary_v", "out_v", "in_v"),
}
HIGHEST_FIELDS = ("charge_v", "open_cold_v", "open_circuit_v")


class Classes(NamedTuple):
    """Nominal voltages that are one system: 12, 12.8 and 13.2 V; 110 and 120 V."""

    dc: tuple[tuple[float, float], ...]
    ac: tuple[tuple[float, float], ...]

    @classmethod
    def of(cls, book: Book) -> Classes:
        """The classes of a book; none where it lists none, and then only equal volts are one system."""
        read = {}
        for system in ("dc", "ac"):
            bands = book.option("voltage-mismatch", f"{system}_classes", ())
            read[system] = tuple((float(low), float(high)) for low, high in bands)
        return cls(read["dc"], read["ac"])

    def key(self, system: System, volts: float) -> tuple[float, float]:
        """The class a voltage belongs to, a class of its own where no band holds it."""
        bands = self.dc if system == "dc" else self.ac
        return next((band for band in bands if band[0] <= volts <= band[1]), (volts, volts))

    def same(self, system: System, a: float, b: float) -> bool:
        """Whether two nominal voltages are one system."""
        return self.key(system, a) == self.key(system, b)


def between_lines(feeds: Iterable[Feed], conductors: Iterable[str]) -> dict[tuple[str, str], tuple[float, float]]:
    """For each AC source, the nominal and highest volts across the conductors named: to neutral, or between lines."""
    wanted = set(conductors)
    lines: dict[tuple[str, str], dict[str, Feed]] = {}
    for feed in feeds:
        lines.setdefault((feed.equipment, feed.source.line), {})[feed.source.conductor] = feed
    found = {}
    for source, by_conductor in lines.items():
        shared = wanted & set(by_conductor)
        factor = 1.0 if len(shared) < 2 else math.sqrt(3) if len(by_conductor) == 3 else 2.0
        nominal = [f.source.nominal_v for f in by_conductor.values() if f.source.nominal_v is not None]
        highest = [v for f in by_conductor.values() for v in (f.source.highest_v, f.source.nominal_v) if v is not None]
        if highest:
            found[source] = (max(nominal, default=max(highest)) * factor, max(highest) * factor)
    return found


def volt_field(record: Equipment, system: System, terminal: str = "", highest: bool = False) -> str:
    """The field to fill so that the volts are known, `""` where the kind has none that is empty."""
    empty = {
        spec.name for spec in field_specs(type(record)) if spec.fact.unit == "V" and getattr(record, spec.name) is None
    }
    names = (*HIGHEST_FIELDS, *NOMINAL_FIELDS[system]) if highest else NOMINAL_FIELDS[system]
    if terminal in ("in", "out", "primary", "secondary"):
        names = (f"{terminal}_v", *names)
    return next((name for name in names if name in empty), "")


def point(feed: Feed) -> Point:
    """A source as an end of a search."""
    return Point(feed.node, feed.equipment, feed.source.positions)
