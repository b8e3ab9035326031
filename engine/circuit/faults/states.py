"""The states of switches that matter to a fault: every permitted one that joins the most.

A switch with a position that joins all that its others do stands there. What is left are the devices without such a
position (a selector, a transfer relay) and those that an interlock holds; each set of them that depends on one another
is a group. A group's combinations are those its interlocks allow and that no other allowed one contains.
"""

from __future__ import annotations

import itertools
import math
from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.circuit.states import Device, Lock, States, TooManyStates
from engine.equipment.base import Equipment
from engine.installation.model import Snapshot

__all__ = ["MOST_STATES", "Choices", "choices"]

MOST_STATES = 64  # combinations looked at in one system
MOST_OF_A_GROUP = 4096
SYSTEM = {"+": "dc", "-": "dc", "L1": "ac", "L2": "ac", "L3": "ac", "N": "ac"}

Positions = tuple[tuple[str, str], ...]


class Choices(NamedTuple):
    """`fixed`: where everything else stands. Combinations by system; `None`: too many, every contact counts."""

    fixed: dict[str, str]
    of_system: dict[str, list[Positions] | None]


def choices(snapshot: Snapshot, circuit: Circuit) -> Choices:
    """The combinations of positions to look at."""
    joins: dict[str, dict[str, frozenset[object]]] = {}
    for item, record in snapshot.equipment.items():
        if record.positions() and item in circuit.joined:
            joins[item] = {position: _joined(record, circuit.joined[item], position) for position in record.positions()}
    fixed: dict[str, str] = {}
    lone: list[str] = []
    locked = {h.equipment for lock in snapshot.interlocks.values() for h in lock.held}
    for item, by_position in joins.items():
        best = next((p for p, mine in by_position.items() if all(mine >= other for other in by_position.values())), "")
        if item in locked:
            continue
        if best:
            fixed[item] = best
        else:
            lone.append(item)
    groups = [[item] for item in lone] + _tied(snapshot, joins)
    of_system: dict[str, list[Positions] | None] = {}
    combos = [(_systems(circuit, group), _allowed(snapshot, group, joins)) for group in groups]
    for system in ("dc", "ac"):
        mine = [found for systems, found in combos if system in systems]
        if any(found is None for found in mine):
            of_system[system] = None
            continue
        known = [found for found in mine if found]
        if math.prod(len(found) for found in known) > MOST_STATES:
            of_system[system] = None
            continue
        found_here = [tuple(itertools.chain(*parts)) for parts in itertools.product(*known)]
        # nearest to the drawing first: of equal faults that one is told
        of_system[system] = sorted(found_here, key=lambda positions: _moved(snapshot, positions))
    return Choices(fixed, of_system)


def _moved(snapshot: Snapshot, positions: Positions) -> int:
    """How many devices stand otherwise than drawn."""
    return sum(snapshot.equipment[item].drawn_position() != position for item, position in positions)


def _joined(record: Equipment, joined: frozenset[str], position: str) -> frozenset[object]:
    """What conducts, gives and converts in a position."""
    made: set[object] = set()
    for contact in record.contacts():
        if contact.positions is not None and position in contact.positions:
            made.update((contact.a, contact.b, contact.cross, pole) for pole in contact.poles or ("every",))
    for source in record.sources(joined):
        if source.positions is not None and position in source.positions:
            made.add((source.terminal, source.conductor, source.line))
    return frozenset(made)


def _tied(snapshot: Snapshot, joins: dict[str, dict[str, frozenset[object]]]) -> list[list[str]]:
    """Devices that interlocks tie together, directly or through others."""
    of: dict[str, set[str]] = {}
    for lock in snapshot.interlocks.values():
        held = {h.equipment for h in lock.held if h.equipment in joins}
        for other in [of[item] for item in held if item in of]:
            held |= other
        for item in held:
            of[item] = held
    seen: set[int] = set()
    groups = []
    for item in joins:
        mine = of.get(item)
        if mine is not None and id(mine) not in seen:
            seen.add(id(mine))
            groups.append(sorted(mine))
    return groups


def _allowed(
    snapshot: Snapshot, group: list[str], joins: dict[str, dict[str, frozenset[object]]]
) -> list[Positions] | None:
    """Combinations of a group that its interlocks allow and none contains; `None` where there are too many."""
    if math.prod(len(joins[item]) for item in group) > MOST_OF_A_GROUP:
        return None
    locks = [
        Lock(lock.at_most, tuple((h.equipment, frozenset(h.positions)) for h in lock.held))
        for lock in snapshot.interlocks.values()
    ]
    states = States([Device(item, tuple(joins[item])) for item in group], locks)
    kept: list[tuple[Positions, frozenset[object]]] = []
    for combo in itertools.product(*(joins[item] for item in group)):
        positions = tuple(zip(group, combo, strict=True))
        try:
            if not states.allows(states.of_positions(positions)):
                continue
        except TooManyStates:
            return None
        mine = frozenset((item, what) for item, position in positions for what in joins[item][position])
        if any(other >= mine for _positions, other in kept):
            continue
        kept = [(other, has) for other, has in kept if not mine >= has]
        kept.append((positions, mine))
    return [positions for positions, _has in kept]


def _systems(circuit: Circuit, group: list[str]) -> set[str]:
    """The systems a group's contacts and sources belong to."""
    members = set(group)
    found = {
        SYSTEM[link.conductor]
        for link in circuit.links
        if link.equipment in members and link.positions is not None and link.conductor in SYSTEM
    }
    found.update(
        feed.source.system for feed in circuit.feeds if feed.equipment in members and feed.source.positions is not None
    )
    return found
