"""What the rules about faults share: devices and fault currents in words, gaps told together, small boats."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from engine.books.ampacity import amps, tenths
from engine.builder import Builder
from engine.circuit.faults.results import Part
from engine.findings import NotJudged, Word
from engine.rules.example_parts import ac_cable, boat, cable
from engine.rules.wording import in_condition, positions_in_words
from engine.study import Study
from engine.units import number
from engine.words import _

__all__ = ["ampere", "bank", "by_usual_figures", "condition_of", "gaps", "rated", "seconds", "shore", "way"]


def ampere(value: float) -> str:
    """A fault current for people: *613 A*, *8.3 kA*, as it reads best."""
    if value >= 10_000:
        return f"{number(value / 1000, 3)} kA"
    return f"{number(round(value), 6)} A" if value >= 1000 else amps(value)


def rated(study: Study, item: str) -> str:
    """*F3 (100 A)*; a device of unknown rating, or with several ways, by name alone."""
    name, trip = study.name(item), study.snapshot.equipment[item].trip()
    return name if trip is None or not trip.rating_a else f"{name} ({amps(trip.rating_a)})"


def seconds(value: float) -> str:
    """*0.12 s*, *2 min*, *1 h*."""
    if value >= 3600:
        return _("{hours} h").format(hours=tenths(value / 3600))
    if value >= 120:
        return _("{minutes} min").format(minutes=tenths(value / 60))
    return f"{number(value, 2)} s"


def condition_of(study: Study, positions: tuple[tuple[str, str], ...]) -> str:
    """Switch positions that make a fault so large; nothing where it is so as drawn."""
    drawn = study.snapshot.equipment
    if all(drawn[item].drawn_position() == position for item, position in positions):
        return ""
    told = tuple((item, (position,)) for item, position in positions)
    return in_condition(study, told) or positions_in_words(study, told)


def way(study: Study, item: str, terminal: str) -> str:
    """The device, its way named where it has several."""
    if terminal.startswith("ch"):
        return _("channel {number} of {name}").format(number=terminal[2:], name=study.name(item))
    return study.name(item)


def gaps(
    study: Study, rule: str, word: Word, found: Iterable[tuple[str, tuple[str, ...]]], why: str
) -> Iterator[NotJudged]:
    """One for all devices that the same question is stopped for, with every field that is missing."""
    items: dict[str, None] = {}
    missing: dict[str, None] = {}
    for item, fields in found:
        items[item] = None
        missing.update(dict.fromkeys(fields))
    if items:
        yield NotJudged(
            rule=rule,
            would_be=word,
            designations=tuple(study.name(item) for item in items),
            ids=tuple(items),
            missing=tuple(missing),
            why=why,
        )


def by_usual_figures(parts: tuple[Part, ...]) -> list[str]:
    """Names of the sources of a fault of which nothing is recorded, a tenth of it or more: taken by a method."""
    total = sum(part.amps for part in parts)
    return [part.designation or part.equipment for part in parts if part.assumed and part.amps >= total / 10]


# -- for examples ---------------------------------------------------------------------------------------------------
def bank(amps: float | None = 3000, book: str = "trade-na", **facts: Any) -> Builder:
    """A boat with one 12 V bank and its negative bus. `amps`: its maker's short-circuit current."""
    b = boat(book=book)
    known: dict[str, Any] = {"unit_v": 12.0, "chemistry": "AGM", "unit_ah": 100.0, "short_circuit_a": amps}
    b.add("battery_bank", "G1", **(known | facts))
    b.add("bus_bar", "X9")
    cable(b, "W90", "G1.neg", "X9.bar", "4/0 AWG", 12, function="dc negative")
    return b


def shore(fault_a: float | None = 1000, volts: float = 120, breaker_a: float = 30) -> Builder:
    """A boat on a shore supply, its cable brought to X1."""
    b = boat()
    b.add("shore_supply", "G9", ac_v=volts, breaker_a=breaker_a, fault_a=fault_a, frequency_hz=60)
    b.add("shore_inlet", "X1", ac_v=volts, rating_a=breaker_a)
    ac_cable(b, "W91", "G9.out", "X1.shore", "10 AWG", 600)
    return b
