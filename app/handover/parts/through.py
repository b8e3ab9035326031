"""Conductors that pass a device without a terminal of its own: the return of a DC pair at a single-pole fuse or switch.

The drawing shows a pair in one stroke, so that both conductors arrive at `in` and leave from `out`. Where the device
has no pole for one of them, nothing is fastened there: what arrives and what leaves is one length of cable. That is
so where one run arrives, one leaves, and both want the same new cable. Trade practice, no source.
"""

from __future__ import annotations

from collections import defaultdict
from typing import NamedTuple

from app.handover.parts.cable import Cable, lengths_of
from app.handover.parts.said import listed, name_of
from engine.equipment.base import Contact, Equipment
from engine.installation import Run, Snapshot

__all__ = ["Passing", "passing"]

_At = tuple[str, str, str]  # run, its end ("from_end", "to_end"), conductor


class Passing(NamedTuple):
    """`joined`: ends at which nothing is fastened. `chains`: run and conductor to the runs of one length, in order.

    `past`: names of the devices that are passed so. `open_ends` meet a device without a terminal for them at which
    another cable, or none, goes on; `at` names those devices.
    """

    joined: frozenset[_At]
    chains: dict[tuple[str, str], tuple[str, ...]]
    past: str
    open_ends: int
    at: str


def passing(snapshot: Snapshot) -> Passing:
    """Every conductor of the new runs that passes a device."""
    arriving: dict[tuple[str, str, str], list[_At]] = defaultdict(list)  # equipment, terminal, conductor
    for item, run in snapshot.runs.items():
        if run.status == "to remove":
            continue
        for name in ("from_end", "to_end"):
            end = getattr(run, name)
            for core in run.conductors():
                arriving[end.equipment, end.terminal, core].append((item, name, core))
    cables = {item: _cables(run) for item, run in snapshot.runs.items() if run.status == "new"}
    partner: dict[_At, _At] = {}
    past: set[str] = set()
    open_ends: dict[_At, str] = {}
    for (where, terminal, core), here in arriving.items():
        piece = snapshot.equipment.get(where)
        if piece is None or core not in ("+", "-"):
            continue
        others = _straight(piece, terminal, core)
        if not others:
            continue
        there = [at for other in others for at in arriving.get((where, other, core), ())]
        if len(here) == len(there) == len(others) == 1 and here[0][0] != there[0][0]:
            one, two = here[0], there[0]
            mine, its = cables.get(one[0], {}).get(core), cables.get(two[0], {}).get(core)
            alike = snapshot.runs[one[0]].parallel == snapshot.runs[two[0]].parallel
            if mine is not None and mine == its and alike:
                partner[one] = two
                past.add(name_of(piece))
                continue
        open_ends.update((at, name_of(piece)) for at in here if core in cables.get(at[0], {}))
    count = sum(snapshot.runs[item].parallel for item, _end, _core in open_ends)
    return Passing(frozenset(partner), _chains(partner), listed(past), count, listed(open_ends.values()))


def _cables(run: Run) -> dict[str, Cable]:
    """What each conductor of a run is cut from; nothing where several share a sheath."""
    cores = run.conductors()
    every = [cable for cable, _length in lengths_of(run)]
    return dict(zip(cores, every, strict=True)) if len(every) == len(cores) else {}


def _straight(piece: Equipment, terminal: str, core: str) -> set[str]:
    """Terminals a conductor passes on to from `terminal` without a pole; none where a pole takes it there."""
    found: set[str] = set()
    for contact in piece.contacts():
        if terminal not in (contact.a, contact.b):
            continue
        other = contact.b if terminal == contact.a else contact.a
        if contact.cross is not None or contact.poles is None:
            return set()
        if core not in contact.poles:
            found.update({other} if contact.straight else ())
        elif _bare(piece, contact):
            found.add(other)
        else:
            return set()
    return found


def _bare(piece: Equipment, contact: Contact) -> bool:
    """Whether a contact stands for what passes a breaker beside its poles."""
    if contact.straight or contact.positions is not None or contact.protection is not None:
        return False
    return any(each.protection is not None for each in piece.contacts() if (each.a, each.b) == (contact.a, contact.b))


def _chains(partner: dict[_At, _At]) -> dict[tuple[str, str], tuple[str, ...]]:
    """Runs that are one length, in the order they are passed; a ring begins where it is first named."""
    other_end = {"from_end": "to_end", "to_end": "from_end"}
    made: dict[tuple[str, str], tuple[str, ...]] = {}
    inner = [at for at in partner if (at[0], other_end[at[1]], at[2]) in partner]
    for start in (*(at for at in partner if at not in inner), *inner):  # from the ends of a chain, then rings
        if (start[0], start[2]) in made:
            continue
        chain, at = [start[0]], start
        while at in partner:
            item, end, core = partner[at]
            if item in chain:
                break
            chain.append(item)
            at = (item, other_end[end], core)
        made.update(((item, start[2]), tuple(chain)) for item in chain)
    return made
