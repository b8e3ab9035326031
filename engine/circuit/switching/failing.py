"""What can fail, and what that leaves of the supply of every essential load.

Looked at, one at a time:

* a *unit*: every source and every converter, dead on all sides;
* a *bank*: its BMS has shut it off (or it is flat): it gives nothing, its posts still join what is on them, the
  contactors that its management opens stay open;
* a *device*: a fuse blown, a breaker, switch or contactor that stays open, where several essential loads rest on it;
* a *control*: what commands switches from afar is lost: they do what is recorded that they do on loss;
* a *network*: modules on it lose it.

A switch that can be worked by hand is taken as worked by hand. What it does on loss is, where not recorded, taken as
opening, and the field is named.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.circuit.switching.feeding import Feeding
from engine.circuit.switching.results import Cell, Failure, FailureTable, FedBy
from engine.equipment.behaviour import Remote
from engine.installation.model import Snapshot
from engine.pausing import pause
from engine.words import _

__all__ = ["failure_table", "failures"]

OPEN = {"opens": "open", "closes": "closed"}


def failure_table(snapshot: Snapshot, feeding: Feeding, everything: bool = False) -> FailureTable:
    """The table. With `everything` each device that one load alone rests on is a failure of its own too."""
    used = {i: r.use() for i, r in snapshot.equipment.items() if r.status != "spare"}
    loads = tuple(item for item, use in used.items() if use is not None and use.essential)
    not_recorded = tuple(item for item, use in used.items() if use is not None and use.essential is None)
    normal = tuple(feeding.fed(load, traced=False) for load in loads)
    some = tuple(failures(snapshot, feeding, loads, everything))
    cells: list[tuple[Cell, ...]] = []
    for load, before in zip(loads, normal, strict=True):
        row: list[Cell] = []
        for failure in some:
            pause(len(cells) * len(some) + len(row), len(loads) * len(some))
            fed = feeding.fed(load, failure, traced=False)
            row.append(Cell(load, failure, fed, _same(before, fed)))
        cells.append(tuple(row))
    rests_on = {load: feeding.rests_on(load) for load in loads}
    own = tuple(_own(snapshot, feeding, load, rests_on) for load in loads)
    return FailureTable(loads, some, normal, tuple(cells), own, not_recorded)


def failures(
    snapshot: Snapshot, feeding: Feeding, loads: tuple[str, ...], everything: bool = False
) -> Iterator[Failure]:
    """What can fail that any of the loads may notice, units first."""
    count: dict[str, int] = {}
    for load in loads:
        for item in feeding.rests_on(load) - {load}:
            count[item] = count.get(item, 0) + 1
    banks = {supply.equipment for supply in feeding.supplies if supply.battery}
    sources = dict.fromkeys(s.equipment for s in feeding.supplies if s.equipment in count and s.equipment not in banks)
    for item in sources:
        yield Failure("unit", item, silent=frozenset({item}))
    for item in dict.fromkeys(each.equipment for each in feeding.through):
        if item in count and item not in sources:
            yield Failure("unit", item, gone=frozenset({item}))
    for item in sorted(banks & set(count)):
        yield _bank(snapshot, item)
    for item, record in snapshot.equipment.items():
        shared = count.get(item, 0) > 1 or (everything and item in count)
        if shared and record.ROLE in ("protection", "switch") and not _is_module(snapshot, item):
            yield Failure("device", item, gone=frozenset({item}))
    yield from _controls(snapshot, set(count))
    yield from _networks(snapshot, set(count))


def _bank(snapshot: Snapshot, item: str) -> Failure:
    opened: dict[str, None] = {}
    for record in snapshot.equipment.values():
        governs = record.governs()
        if governs is not None and item in governs.banks:
            opened.update(dict.fromkeys(governs.opens))
    held = tuple((o, ("open",)) for o in opened if o in snapshot.equipment and "open" in _positions(snapshot, o))
    return Failure("bank", item, silent=frozenset({item}), held=held)


def _controls(snapshot: Snapshot, rested_on: set[str]) -> Iterator[Failure]:
    """Switches that are commanded one by one, by what commands them."""
    groups: dict[str, list[tuple[str, Remote]]] = {}
    for item, record in snapshot.equipment.items():
        for remote in record.remotes():
            if not remote.terminal and item in rested_on:
                groups.setdefault(remote.controlled_by or item, []).append((item, remote))
    for by, members in groups.items():
        held: list[tuple[str, tuple[str, ...]]] = []
        missing: list[str] = []
        stays: list[str] = []
        for item, remote in members:
            if remote.override:
                continue
            if remote.on_loss == "stays":
                stays.append(snapshot.name(item))
                continue
            if not remote.on_loss:
                missing.append(f"{snapshot.name(item)}.{remote.field}")
            position = OPEN.get(remote.on_loss or "opens", remote.on_loss)
            if position in _positions(snapshot, item):
                held.append((item, (position,)))
            elif not remote.on_loss:  # a changeover: nobody recorded where it goes
                held.append((item, _positions(snapshot, item)[:1]))
        yield Failure("control", by, held=tuple(held), missing=tuple(missing), taken=_taken(stays, missing))


def _networks(snapshot: Snapshot, rested_on: set[str]) -> Iterator[Failure]:
    """Modules by the network that commands them; one without a named network by itself."""
    groups: dict[str, list[tuple[str, Remote]]] = {}
    for item, record in snapshot.equipment.items():
        for remote in record.remotes():
            if remote.terminal and item in rested_on:
                groups.setdefault(remote.network or item, []).append((item, remote))
    for members in groups.values():
        shut: set[tuple[str, str]] = set()
        missing: list[str] = []
        stays: list[str] = []
        for item, remote in members:
            if remote.local or remote.override or remote.on_loss == "closes":
                continue
            if remote.on_loss == "stays":
                stays.append(snapshot.name(item))
                continue
            if not remote.on_loss:
                missing.append(f"{snapshot.name(item)}.{remote.field}")
            shut.add((item, remote.terminal))
        yield Failure(
            "network",
            members[0][0],
            shut=frozenset(shut),
            missing=tuple(missing),
            taken=_taken(list(dict.fromkeys(stays)), missing),
        )


def _taken(stays: list[str], missing: list[str]) -> str:
    told = []
    if stays:
        told.append(_("{items}: stays as it stood, closed or open").format(items=", ".join(stays)))
    if missing:
        told.append(_("not recorded, taken as opening: {fields}").format(fields=", ".join(missing)))
    return "; ".join(told)


def _same(before: FedBy, after: FedBy) -> bool:
    """Whether what can feed it without a battery beside it is what it was."""
    if before is after:
        return True
    alone = [[way for way in each.ways if way.stands_alone] for each in (before, after)]
    return alone[0] == alone[1] and before.undecided == after.undecided


def _own(snapshot: Snapshot, feeding: Feeding, load: str, rests_on: dict[str, frozenset[str]]) -> tuple[str, ...]:
    others = frozenset[str]().union(*(items for other, items in rests_on.items() if other != load))
    mine = feeding.always_needs(load) - others - {load}
    return tuple(i for i in snapshot.equipment if i in mine and snapshot.equipment[i].ROLE in ("protection", "switch"))


def _positions(snapshot: Snapshot, item: str) -> tuple[str, ...]:
    return snapshot.equipment[item].positions()


def _is_module(snapshot: Snapshot, item: str) -> bool:
    return any(remote.terminal for remote in snapshot.equipment[item].remotes())
