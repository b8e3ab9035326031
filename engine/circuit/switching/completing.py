"""A full state in which some switches stand in given positions and all others stay where they are, if they may.

For showing a witness: what the interlocks forbid together with it gives way, device by device in the order of the
drawing; what no interlock minds stays.
"""

from __future__ import annotations

from collections.abc import Mapping

from engine.circuit.states import Device, Lock, States, TooManyStates
from engine.installation.model import Snapshot

__all__ = ["completed", "held_states"]


def held_states(snapshot: Snapshot) -> States:
    """The states of what interlocks hold, and of nothing else."""
    held = {h.equipment for lock in snapshot.interlocks.values() for h in lock.held}
    devices = [
        Device(item, snapshot.equipment[item].positions())
        for item in sorted(held)
        if item in snapshot.equipment and snapshot.equipment[item].positions()
    ]
    locks = [
        Lock(lock.at_most, tuple((h.equipment, frozenset(h.positions)) for h in lock.held))
        for lock in snapshot.interlocks.values()
    ]
    return States(devices, locks)


def completed(
    snapshot: Snapshot, wanted: Mapping[str, str], standing: Mapping[str, str], states: States | None = None
) -> dict[str, str] | None:
    """Where everything stands with `wanted` over `standing`; `None` where the interlocks allow no such state.

    Where it cannot be told within the limit of the search: `wanted` over `standing` as they are. `states`:
    `held_states` of the snapshot, where more than one question is asked of it.
    """
    plain = dict(standing) | {
        item: position
        for item, position in wanted.items()
        if item in snapshot.equipment and position in snapshot.equipment[item].positions()
    }
    states = held_states(snapshot) if states is None else states
    try:
        cube = states.of_positions((i, p) for i, p in plain.items() if i in wanted)
        if not states.allows(cube):
            return None
        for device in states.devices:
            if device.equipment in wanted or device.equipment not in plain:
                continue
            with_it = cube | states.of_positions([(device.equipment, plain[device.equipment])])
            if states.allows(with_it):
                cube = with_it
        full = states.completion(cube)
    except TooManyStates:
        return plain
    return None if full is None else plain | full
