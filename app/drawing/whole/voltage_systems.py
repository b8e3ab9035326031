"""The systems of voltage that a drawing declares, in words, and what aboard fits none of them. No rule: a remark."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.equipment.base import Equipment
from engine.installation import Settings, Snapshot
from engine.installation.records import VoltageSystem
from engine.naming import natural
from engine.units import number, show
from engine.words import _, ngettext

__all__ = ["Unlike", "nominal_offers", "system_words", "systems_words", "unlike", "unlike_systems"]

_NEAR = 0.1  # of its volts: a 25.6 V bank belongs to a 24 V system, 110 V gear to one of 120 V
_PARTS = (1.0, math.sqrt(3.0), 2.0)  # volts between lines, and to the neutral of three phases, of two


class Unlike(NamedTuple):
    """Equipment with a nominal voltage that no declared system has."""

    item: str
    kind: str  # "DC" or "AC"
    volts: float


def system_words(system: VoltageSystem) -> str:
    """One system: "house, 24 V DC", "230 V 50 Hz", its note behind."""
    volts = _("volts not recorded") if system.nominal_v is None else f"{number(system.nominal_v)} V"
    if system.kind == "AC" and system.frequency_hz is not None:
        figure = f"{volts} {show(system.frequency_hz, 'Hz')}"
    else:
        figure = f"{volts} {system.kind}"
    return ", ".join(part for part in (system.name, figure, system.note) if part)


def systems_words(settings: Settings) -> str:
    """All of them, "" where none is declared."""
    return "; ".join(system_words(system) for system in settings.systems)


def unlike(snapshot: Snapshot) -> list[Unlike]:
    """Equipment whose recorded nominal voltage fits no declared system of its kind; nothing where none is declared."""
    declared = {
        kind: [s.nominal_v for s in snapshot.settings.systems if s.kind == kind and s.nominal_v]
        for kind in ("DC", "AC")
    }
    if not any(declared.values()):
        return []
    found: dict[tuple[str, str, float], Unlike] = {}
    for item, record in snapshot.equipment.items():
        for kind, volts in _nominal(record):
            if not any(_fits(volts, of, kind) for of in declared[kind]):
                found[item, kind, volts] = Unlike(item, kind, volts)
    return sorted(found.values(), key=lambda each: (natural(snapshot.name(each.item)), each))


def unlike_systems(snapshot: Snapshot) -> list[str]:
    """The same in sentences, one a voltage."""
    of: dict[tuple[str, float], list[str]] = {}
    for each in unlike(snapshot):
        of.setdefault((each.kind, each.volts), []).append(snapshot.name(each.item))
    return [
        ngettext(
            "{names} has a nominal voltage of {volts} V {kind}, which is that of no system declared.",
            "{names} have a nominal voltage of {volts} V {kind}, which is that of no system declared.",
            len(names),
        ).format(names=", ".join(names), volts=number(volts), kind=kind)
        for (kind, volts), names in sorted(of.items())
    ]


def nominal_offers(settings: Settings, kind: str = "") -> tuple[tuple[float, str], ...]:
    """Voltages to choose from where a nominal voltage is asked for, each with its system; of one kind where named."""
    made: dict[float, str] = {}
    for system in settings.systems:
        if system.nominal_v is not None and kind in ("", system.kind):
            made.setdefault(system.nominal_v, system_words(system))
    return tuple(made.items())


def _nominal(record: Equipment) -> set[tuple[str, float]]:
    """What its terminals are made for, where that is recorded; of what takes any voltage nothing."""
    names = [terminal.name for terminal in record.terminals()]
    if any(source.adapts for source in record.sources(frozenset(names))):
        return set()
    made = set()
    for name in names:
        asked = record.nominal_volts(name)
        if asked is not None and asked[1]:
            made.add((asked[0].upper(), float(asked[1])))
    return made


def _fits(volts: float, of: float, kind: str) -> bool:
    return any(abs(volts - of / part) <= _NEAR * of / part for part in (_PARTS if kind == "AC" else (1.0,)))
