"""What no switch, breaker, plug or fuse drawn makes dead, and from which source: asked of every item at once.

With everything opened that a person can open, and every source ended that a person can end, the sources left are
followed; only what they still reach is asked about one by one.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from engine.circuit.switching.cutting import cut_off
from engine.circuit.switching.made_dead import live_nodes
from engine.circuit.switching.upstream import Act, Arc, Upstream
from engine.equipment.base import Equipment
from engine.study import Study

__all__ = ["Stays", "looked_at", "stays_live"]


class Stays(NamedTuple):
    """Items that one source goes on feeding by ways on which nothing can be opened.

    `runs` are those on the ways; `closed` the devices there that part nothing all the same, with their positions;
    `missing` the fields ("G3.brake") that would tell whether somebody can part or end it after all.
    """

    source: str
    items: tuple[str, ...]
    runs: frozenset[str]
    closed: tuple[tuple[str, tuple[str, ...]], ...]
    missing: tuple[str, ...]
    undecided: bool = False


def looked_at(study: Study) -> list[str]:
    """Consumers, converters, buses: what a person opens and works on. A bank's own bus is no bus of these."""
    circuit = study.circuit
    own = _of_banks(study)
    found = []
    for item, record in study.snapshot.equipment.items():
        if record.status in ("spare", "to remove") or item not in circuit.joined:
            continue
        works = (record.use() is not None or record.converter() is not None) and not record.balances()
        if works or (record.ROLE == "bus" and item not in own and live_nodes(study, item)):
            found.append(item)
    return found


def _of_banks(study: Study) -> set[str]:
    """Equipment joined to a bank by wires alone: its posts, as far as making dead goes."""
    circuit = study.circuit
    near: dict[int, list[int]] = {}
    for wire in circuit.wires:
        near.setdefault(wire.a, []).append(wire.b)
        near.setdefault(wire.b, []).append(wire.a)
    starts = [f.node for f in circuit.feeds if study.snapshot.equipment[f.equipment].store() is not None]
    seen = set(starts)
    for node in starts:
        for to in near.get(node, ()):
            if to not in seen:
                seen.add(to)
                starts.append(to)
    return {circuit.nodes[n].equipment for n in seen}


def stays_live(study: Study) -> Iterator[Stays]:
    """By source and by what it goes through; sources and items in id order."""
    upstream = study.upstream
    acts, doubtful = _everything(study)
    held: dict[tuple[str, frozenset[str], tuple[str, ...]], dict[str, frozenset[str]]] = {}
    wired = _wires(study)
    may_be = _reached(upstream, acts)
    for item in looked_at(study):
        goals = live_nodes(study, item)
        if not any(goal in may_be for goal in goals):
            continue
        if acts.isdisjoint(_without_off(upstream)) and upstream.allows(acts):
            found, undecided = upstream.ways(goals, acts)
        else:
            cut = cut_off(upstream, goals, lambda act: 1000.0 if act in doubtful else 1.0)
            found, undecided = upstream.ways(goals, cut.acts - doubtful)
            found = {n: way for n, way in found.items() if n in cut.remains or upstream.origins[n].act in doubtful}
            undecided = [n for n in undecided if n in cut.undecided]
        for n, way in found.items():
            origin = upstream.origins[n]
            if origin.undrawn:
                continue  # told as a terminal without a run
            missing = tuple(_missing(study, n, way, doubtful))
            moved = frozenset(arc.equipment for arc in way if arc.positions is not None)
            key = (origin.equipment, moved, missing)
            held.setdefault(key, {})[item] = frozenset(wired[a.start, a.to] for a in way if (a.start, a.to) in wired)
        for n in undecided:
            yield Stays(upstream.origins[n].equipment, (item,), frozenset(), (), (), undecided=True)
    for (source, moved, missing), items in held.items():
        runs = frozenset(run for some in items.values() for run in some)
        yield Stays(source, tuple(items), runs, _closed(study, moved), missing)


def _everything(study: Study) -> tuple[frozenset[Act], frozenset[Act]]:
    """All that a person can do, and of that what the record leaves open: stopping what may start by itself."""
    upstream = study.upstream
    acts = {act for arcs in upstream.into for arc in arcs for act in arc.acts}
    acts |= {origin.act for origin in upstream.origins if origin.act is not None}
    doubtful = frozenset(
        act
        for act in acts
        if act.kind == "stop" and _starts_unasked(study.snapshot.equipment[act.item])
    )  # fmt: skip
    return frozenset(acts) - doubtful, doubtful


def _starts_unasked(record: Equipment) -> bool:
    return getattr(record, "starting", "") == "automatic" and getattr(record, "manual_panel", True) is None


def _without_off(upstream: Upstream) -> frozenset[Act]:
    """Positions of devices that part nothing by themselves: one of them is chosen for each item anew."""
    return frozenset(
        act
        for arcs in upstream.into
        for arc in arcs
        for act in arc.acts
        if act.kind == "switch" and act.position not in upstream.parting(act.item)
    )


def _reached(upstream: Upstream, acts: frozenset[Act]) -> set[int]:
    """Nodes that an origin may reach with everything opened that has an off."""
    return upstream.fed(acts - _without_off(upstream))


def _missing(study: Study, n: int, way: list[Arc], doubtful: frozenset[Act]) -> Iterator[str]:
    """Fields on which it depends whether a person can do something."""
    equipment, name = study.snapshot.equipment, study.name
    origin = study.upstream.origins[n]
    if origin.act in doubtful:
        yield f"{name(origin.equipment)}.manual_panel"
    elif origin.act is None and getattr(equipment[origin.equipment], "brake", 0) is None:
        yield f"{name(origin.equipment)}.brake"
    for item in dict.fromkeys(arc.equipment for arc in way if arc.positions is not None and not arc.acts):
        if not study.upstream.parting(item):
            continue
        for remote in equipment[item].remotes():
            if not remote.terminal and not remote.on_loss and not remote.override:
                yield f"{name(item)}.{remote.field}"
                if remote.override is None and hasattr(equipment[item], remote.override_field):
                    yield f"{name(item)}.{remote.override_field}"


def _wires(study: Study) -> dict[tuple[int, int], str]:
    made = {}
    for wire in study.circuit.wires:
        made[wire.a, wire.b] = made[wire.b, wire.a] = wire.run
    return made


def _closed(study: Study, moved: frozenset[str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    parting = study.upstream.parting
    equipment = study.snapshot.equipment
    return tuple(
        (item, tuple(p for p in equipment[item].positions() if p not in parting(item))) for item in sorted(moved)
    )
