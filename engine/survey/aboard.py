"""The systems of voltage aboard: those the drawing declares, then what its sources and consumers are made for."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.equipment.base import Equipment
from engine.installation import Snapshot
from engine.units import number, plain_number
from engine.words import _

__all__ = ["System", "systems"]

_NEAR = 0.1  # of its volts: a 25.6 V bank belongs to a 24 V system, 110 V gear to one of 120 V
_PARTS = (1.0, 1 / math.sqrt(3.0), 0.5, math.sqrt(3.0), 2.0)  # volts between lines and to the neutral
_USUAL = {"DC": (12.0, 24.0, 36.0, 48.0), "AC": (120.0, 230.0)}  # common practice, no source


class System(NamedTuple):
    """One system of voltage. `key` is what `Inspection.system` holds, whatever the language."""

    key: str
    kind: str  # "DC" or "AC"
    nominal_v: float | None
    name: str = ""

    @property
    def words(self) -> str:
        """*house, 24 V DC*."""
        if self.nominal_v is None:
            figure = _("{kind}, volts not recorded").format(kind=self.kind)
        else:
            figure = f"{number(self.nominal_v)} V {self.kind}"
        return f"{self.name}, {figure}" if self.name else figure


def systems(snapshot: Snapshot) -> tuple[System, ...]:
    """Direct current first, by volts; what is declared keeps the name it is declared by."""
    found: list[System] = []
    for declared in snapshot.settings.systems:
        key = declared.name or _key(declared.kind, declared.nominal_v)
        if all(key != system.key for system in found):
            found.append(System(key, declared.kind, declared.nominal_v, declared.name))
    unknown: set[str] = set()
    for volts_of in (_sources, _consumers):
        for kind, volts in sorted(
            {pair for record in snapshot.equipment.values() for pair in volts_of(record)},
            key=lambda pair: (pair[0], pair[1] or 0.0),
        ):
            if volts is None:
                unknown.add(kind)
            elif not any(s.kind == kind and s.nominal_v and _fits(volts, s.nominal_v, kind) for s in found):
                usual = next((v for v in _USUAL[kind] if abs(volts - v) <= _NEAR * v), volts)
                found.append(System(_key(kind, usual), kind, usual))
    for kind in sorted(unknown):
        if all(system.kind != kind for system in found):
            found.append(System(_key(kind, None), kind, None))
    return tuple(sorted(found, key=lambda s: (s.kind != "DC", s.nominal_v is None, s.nominal_v or 0.0, s.key)))


def _key(kind: str, volts: float | None) -> str:
    return kind if volts is None else f"{plain_number(volts)} V {kind}"


def _sources(record: Equipment) -> set[tuple[str, float | None]]:
    joined = frozenset(terminal.name for terminal in record.terminals())
    return {(s.system.upper(), s.nominal_v) for s in record.sources(joined) if not s.adapts}


def _consumers(record: Equipment) -> set[tuple[str, float | None]]:
    if not record.draws():
        return set()
    asked = [record.nominal_volts(draw.terminal) for draw in record.draws()]
    return {(told[0].upper(), told[1]) for told in asked if told is not None and told[1]}


def _fits(volts: float, of: float, kind: str) -> bool:
    return any(abs(volts - of * part) <= _NEAR * of * part for part in (_PARTS if kind == "AC" else (1.0,)))
