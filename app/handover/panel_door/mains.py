"""Which switches are main disconnects, what each of them parts, and how everything is cut off in an emergency.

Asked of the circuit, not of kinds: a person can put it to a position in which nothing of it is joined, and with that
done (all else as drawn, its interlock partners out of its way) a source loses a bus, an inverter, or half its loads.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from app.handover.panel_door.stays import Stays, first_switches, last_ended, stays
from engine.circuit.switching.cutting import cut_off
from engine.circuit.switching.made_dead import Question
from engine.circuit.switching.upstream import Act, Upstream
from engine.naming import natural
from engine.study import Study

__all__ = ["Emergency", "Main", "all_off", "mains"]


class Main(NamedTuple):
    """A main disconnect: its number on the cards, the position that parts it, and what then stands on either side.

    Sides are told by sources, buses and converters, `near` with more sources than `far`. `uses`: loads it takes from
    a source on either side.
    """

    item: str
    number: int
    position: str
    near: tuple[str, ...]
    far: tuple[str, ...]
    uses: tuple[str, ...]


class Emergency(NamedTuple):
    """What is done so that every bus and inverter is dead: acts with the sources each cuts off.

    `remains`: sources that still feed them after that; `live`: loads still fed; `stays`: all that is live.
    """

    acts: tuple[tuple[Act, tuple[str, ...]], ...]
    remains: tuple[str, ...]
    live: tuple[str, ...]
    stays: tuple[Stays, ...] = ()


def mains(study: Study) -> tuple[Main, ...]:
    """Every main disconnect: those of batteries first, then of the shore and machines, then the rest."""
    equipment = study.snapshot.equipment
    found = []
    for item, record in equipment.items():
        if record.status == "to remove" or not record.positions() or record.conversions():
            continue
        position = _parted(study.upstream, item)
        if position:
            taken = _takes(study, item, position)
            if taken is not None:
                near, far = _sides(study, item, position)
                found.append(Main(item, 0, position, near, far, taken))

    def first(main: Main) -> tuple[int, object]:
        records = [equipment[source] for source in main.near]
        rank = 0 if any(r.store() for r in records) else 1 if any(r.ashore() or r.machine() for r in records) else 2
        return rank, natural(study.name(main.item))

    return tuple(main._replace(number=n) for n, main in enumerate(sorted(found, key=first), 1))


def _parted(upstream: Upstream, item: str) -> str:
    """The position a person can put it to in which it joins nothing; `""` where there is none."""
    record = upstream.snapshot.equipment[item]
    if record.moves_itself() is not False and not any(remote.override for remote in record.remotes()):
        return ""
    for contact in record.contacts():
        if contact.positions is not None:
            for act in upstream.acts(item, contact.positions):
                if act.position in upstream.parting(item):
                    return act.position
    return ""


def _takes(study: Study, item: str, position: str) -> tuple[str, ...] | None:
    """Loads it takes from sources when it is opened; `None` where it takes nothing great from any."""
    upstream, equipment = study.upstream, study.snapshot.equipment
    state = _standing(study, item, position)
    opened = {**state, item: position}
    is_main = False
    taken: set[str] = set()
    for origin in upstream.origins:
        before, after = (_items(upstream, _reached(upstream, [origin.node], s)) for s in (state, opened))
        lost = [i for i in before if i not in after and i not in (item, origin.equipment)]
        uses = [i for i in lost if equipment[i].use() is not None]
        had = sum(equipment[i].use() is not None for i in before)
        great = any(equipment[i].ROLE == "bus" or equipment[i].output_va() is not None for i in lost)
        if equipment[origin.equipment].harvest() is not None:  # nobody stops the sun: its switch is what parts it
            great = great or any(equipment[i].ROLE == "converter" for i in lost)
        if great or (uses and 2 * len(uses) >= had and equipment[origin.equipment].ROLE == "source"):
            is_main = True
        taken.update(uses)
    return tuple(sorted(taken, key=lambda i: natural(study.name(i)))) if is_main else None


def _standing(study: Study, item: str, position: str) -> dict[str, str]:
    """How what a person moves stands: as drawn, `item` closed, what its interlocks forbid then out of its way."""
    upstream, equipment = study.upstream, study.snapshot.equipment
    state = {
        other: record.drawn_position()
        for other, record in equipment.items()
        if record.positions() and record.moves_itself() is False and not record.conversions()
    }
    if state.get(item, position) == position:
        state[item] = next((p for p in reversed(equipment[item].positions()) if p != position), position)
    for lock in study.snapshot.interlocks.values():
        if any(h.equipment == item and state[item] in h.positions for h in lock.held):
            for held in lock.held:
                if held.equipment != item and held.equipment in state:
                    state[held.equipment] = _clear(upstream, held.equipment, held.positions)
    return state


def _sides(study: Study, item: str, position: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Sources, buses and converters on either side of it when it is open, without what is joined to both."""
    upstream, equipment = study.upstream, study.snapshot.equipment
    state = {**_standing(study, item, position), item: position}
    parts: list[set[int]] = []
    for node in upstream.live_at.get(item, []):
        reached = _reached(upstream, [node], state, both_ways=True)
        if not any(reached & part for part in parts):
            parts.append(reached)
    sides = [_items(upstream, part) - {item} for part in parts]
    sides += [set()] * (2 - len(sides))
    sources = {origin.equipment for origin in upstream.origins}

    def told(side: set[str]) -> tuple[str, ...]:
        stays = [i for i in side if equipment[i].status != "to remove"]
        kept = [i for i in stays if i in sources or equipment[i].ROLE in ("bus", "converter")]
        kept = kept or [i for i in stays if equipment[i].use() is not None]
        return tuple(sorted(kept, key=lambda i: (i not in sources, equipment[i].ROLE != "bus", natural(study.name(i)))))

    def weight(side: set[str]) -> tuple[bool, int]:
        return not any(equipment[i].store() or equipment[i].ashore() for i in side), -len(side & sources)

    sides.sort(key=weight)
    if len(sides) > 2:  # a selector: what has a battery or the shore stands against the rest
        strong = [side for side in sides if not weight(side)[0]] or sides[:1]
        sides = [set().union(*strong), set().union(*sides[len(strong) :])]
    return told(sides[0]), told(sides[1])


def _clear(upstream: Upstream, item: str, counted: tuple[str, ...]) -> str:
    """A position an interlock does not count."""
    positions = [p for p in upstream.snapshot.equipment[item].positions() if p not in counted]
    parting = upstream.parting(item)
    return next((p for p in positions if p in parting), positions[0] if positions else counted[0])


def _reached(upstream: Upstream, starts: list[int], state: Mapping[str, str], *, both_ways: bool = False) -> set[int]:
    """Nodes joined to some nodes without a converter between, switches standing as in `state`, all else closed."""
    seen = set(starts)
    todo = list(starts)
    for at in todo:
        ways = list(upstream.out_of[at])
        if both_ways:
            ways += [(arc.start, arc) for arc in upstream.into[at]]
        for to, arc in ways:
            closed = arc.positions is None or arc.equipment not in state or state[arc.equipment] in arc.positions
            if closed and not arc.converts and to not in seen:
                seen.add(to)
                todo.append(to)
    return seen


def _items(upstream: Upstream, nodes: Iterable[int]) -> set[str]:
    return {upstream.circuit.nodes[node].equipment for node in nodes}


def all_off(study: Study, found: tuple[Main, ...]) -> Emergency | None:
    """How all that main disconnects can take from every battery is made dead; `None` where there is nothing of that."""
    upstream, equipment = study.upstream, study.snapshot.equipment
    state = {main.item: main.position for main in found}
    banks = [o.node for o in upstream.origins if equipment[o.equipment].store() is not None]
    always = _items(upstream, _reached(upstream, banks, state))  # on a battery with every one of them open
    wanted = {item for main in found for item in main.uses} | {
        item
        for main in found
        for item in (*main.near, *main.far)
        if equipment[item].ROLE == "bus" or equipment[item].output_va() is not None
    }
    chosen = sorted((item for item in wanted if item not in always), key=lambda i: natural(study.name(i)))
    goals = sorted({n for item in chosen for n in _inputs(study, item)})
    if not goals:
        return None
    cut = cut_off(upstream, goals, Question(study, chosen[0]).cost)

    def names(numbers: frozenset[int]) -> tuple[str, ...]:
        items = {upstream.origins[n].equipment for n in numbers}
        return tuple(sorted(items, key=lambda i: natural(study.name(i))))

    more = {**last_ended(upstream), **first_switches(upstream, cut.acts)}  # what feeds no bus is switched off as well
    done = {act: names(cut.cuts[act]) for act in cut.acts}
    done |= {act: (source,) for act, source in more.items() if act not in done}
    acts = sorted(done.items(), key=lambda a: (_turn(study, *a), natural(study.name(a[0].item)), a[0]))
    told: list[tuple[Act, tuple[str, ...]]] = []
    off: set[str] = set()
    for act, sources in acts:  # what a step before this one has parted is not parted again
        told.append((act, tuple(s for s in sources if s not in off) or sources))
        off.update(sources if len(sources) == 1 or equipment[act.item].ROLE == "source" else ())
    every = frozenset(done)
    covered = any(act.kind == "cover" for act in every)  # until then it gives
    dead = set() if cut.remains or cut.undecided or covered else set(goals)
    fed = {upstream.circuit.nodes[n].equipment for n in upstream.fed(every)}
    live = sorted((i for i in fed if equipment[i].use() is not None), key=lambda i: natural(study.name(i)))
    left = stays(study, every, dead)
    return Emergency(tuple(told), names(cut.remains | cut.undecided), tuple(live), left)


def _inputs(study: Study, item: str) -> list[int]:
    """Live nodes of a bus or load; of a converter those it takes from (what it makes ends with them)."""
    live = study.upstream.live_at.get(item, [])
    inputs = {c.source for c in study.snapshot.equipment[item].conversions()}
    return [n for n in live if not inputs or study.circuit.nodes[n].terminal in inputs]


def _turn(study: Study, act: Act, sources: tuple[str, ...]) -> int:
    """When it is done: machines stopped, the shore off, sun and wind, batteries after them all.

    A solar controller is parted from the sun before its battery is (common practice, no source). The plug comes last,
    since who pulls it has left the boat.
    """
    records = [study.snapshot.equipment[source] for source in sources]
    if act.kind == "stop":
        return 0
    if act.kind == "unplug":
        return 5
    if any(r.store() is not None for r in records):
        return 4
    if any(r.ashore() is not None for r in records):
        return 1
    return 2 if any(r.machine() is not None for r in records) else 3
