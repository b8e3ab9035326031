"""Interlocks that the drawing itself breaks: the positions recorded for the sheet, or for an operating condition.

One of the two is wrong. As long as nobody says which, nothing that rests on the interlock is proved.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from engine.installation.model import Snapshot

__all__ = ["BrokenLock", "broken_locks"]


class BrokenLock(NamedTuple):
    """An interlock, the condition that breaks it (`""`: as drawn), and (equipment, position) of those held at once."""

    interlock: str
    condition: str
    held: tuple[tuple[str, str], ...]


def broken_locks(snapshot: Snapshot) -> Iterator[BrokenLock]:
    """Every interlock broken as drawn, then those a condition breaks that are not broken as drawn.

    Only positions that somebody recorded count; one that is merely the normal one proves nothing.
    """
    drawn = {item: record.in_position for item, record in snapshot.equipment.items() if record.in_position}
    for number, lock in snapshot.interlocks.items():
        as_drawn = _held(snapshot, number, drawn)
        if len(as_drawn) > lock.at_most:
            yield BrokenLock(number, "", as_drawn)
            continue
        for name, condition in snapshot.conditions.items():
            held = _held(snapshot, number, drawn | {s.equipment: s.position for s in condition.settings})
            if len(held) > lock.at_most:
                yield BrokenLock(number, name, held)


def _held(snapshot: Snapshot, lock: str, positions: dict[str, str]) -> tuple[tuple[str, str], ...]:
    return tuple(
        (held.equipment, positions[held.equipment])
        for held in snapshot.interlocks[lock].held
        if positions.get(held.equipment, "") in held.positions
    )
