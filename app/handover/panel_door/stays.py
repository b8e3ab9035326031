"""What stays live when everything has been switched off, source by source, and what ends a source that feeds no bus.

Asked of the circuit: from every source forwards, with all that was done, every other contact closed (the worst). A
source that is stopped or pulled is walked as well, since until then it gives; what is only covered gives as before.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Literal, NamedTuple

from engine.circuit.switching.upstream import Act, Origin, Upstream
from engine.naming import natural
from engine.study import Study

__all__ = ["Stays", "first_switches", "last_ended", "stays"]


class Stays(NamedTuple):
    """Conductors that are live together: their sources, the open switches up to which, and what is on them.

    `until`: always, or until a plug is pulled or a machine stands still. `volts`: nominal, of an array open on the
    coldest day, each once; `None` among them where one is not recorded. `engine`: what turns the sources.
    """

    until: Literal["", "unplugged", "stopped"]
    sources: tuple[str, ...]
    volts: tuple[float | None, ...]
    ends: tuple[str, ...]
    parts: tuple[str, ...]  # inlets, buses, converters
    loads: tuple[str, ...]
    runs: tuple[str, ...]
    engine: str = ""


def last_ended(upstream: Upstream) -> dict[Act, str]:
    """Sources that a person can stop or unplug, whether they feed a bus or not."""
    return {o.act: o.equipment for o in upstream.origins if o.act is not None and o.act.kind in ("stop", "unplug")}


def first_switches(upstream: Upstream, cut: Collection[Act]) -> dict[Act, str]:
    """The switches next to a source that nobody can stop and that is no battery, as sun and wind."""
    equipment = upstream.snapshot.equipment
    found: dict[Act, str] = {}
    for origin in upstream.origins:
        ended = origin.act is not None and origin.act.kind in ("stop", "unplug")
        if ended or equipment[origin.equipment].store() is not None:
            continue
        seen, todo = {origin.node}, [origin.node]
        for node in todo:
            item = upstream.circuit.nodes[node].equipment
            if equipment[item].ROLE == "bus" or equipment[item].store() is not None:
                continue  # here others give as well: beyond it are their switches
            for to, arc in upstream.out_of[node]:
                acts = [act for act in arc.acts if act.kind == "switch" and act.position in upstream.parting(act.item)]
                if acts:
                    every = {*cut, *found}
                    act = acts[0]
                    free = all(done.item != act.item or done == act for done in every)
                    if free and upstream.allows([*every, act]):
                        found.setdefault(act, origin.equipment)
                    continue
                if to not in seen:
                    seen.add(to)
                    todo.append(to)
    return found


def stays(study: Study, cut: frozenset[Act], dead: Collection[int]) -> tuple[Stays, ...]:
    """What is live with `cut` done. `dead`: nodes known to be dead, whatever a way through every contact says."""
    upstream, equipment = study.upstream, study.snapshot.equipment
    always: list[tuple[set[str], set[int]]] = []
    until: dict[tuple[Literal["unplugged", "stopped"], str], tuple[set[str], set[int]]] = {}
    for origin in upstream.origins:
        own = origin.act
        if own is not None and own in cut and own.kind in ("stop", "unplug"):
            machine = equipment[origin.equipment].machine()
            engine = machine.engine if machine is not None and own.kind == "stop" else ""
            engine = engine if engine in equipment else ""
            reached = _reached(upstream, [origin], cut, ())
            key: tuple[Literal["unplugged", "stopped"], str] = (
                "unplugged" if own.kind == "unplug" else "stopped",
                engine or origin.equipment,
            )
            sources, nodes = until.setdefault(key, (set(), set()))
            sources.add(origin.equipment)
            nodes |= reached
            continue
        met = ({origin.equipment}, _reached(upstream, [origin], cut, dead))
        apart = []
        for other in always:  # what shares a conductor is one group
            if other[1] & met[1]:
                met = (met[0] | other[0], met[1] | other[1])
            else:
                apart.append(other)
        always = [*apart, met]
    made = [_told(study, cut, "", *each) for each in always]
    known = set().union(*(nodes for _sources, nodes in always)) if always else set()
    for (how, engine), (sources, nodes) in until.items():
        group = _told(study, cut, how, sources, nodes - known)
        made.append(group._replace(engine=engine if engine not in sources else ""))
    order = {"": 0, "unplugged": 1, "stopped": 2}
    return tuple(sorted(made, key=lambda s: (order[s.until], [natural(study.name(i)) for i in s.sources])))


def _reached(upstream: Upstream, starts: Iterable[Origin], cut: frozenset[Act], dead: Collection[int]) -> set[int]:
    """Nodes that are fed from some sources, a plug that is still in being no cut."""
    seen = {origin.node for origin in starts}
    todo = list(seen)
    for node in todo:
        for to, arc in upstream.out_of[node]:
            parted = any(act in cut and act.kind != "unplug" for act in arc.acts)
            if to not in seen and to not in dead and not parted:
                seen.add(to)
                todo.append(to)
    return seen


def _told(
    study: Study,
    cut: frozenset[Act],
    until: Literal["", "unplugged", "stopped"],
    sources: set[str],
    nodes: set[int],
) -> Stays:
    equipment, circuit = study.snapshot.equipment, study.circuit

    def by_name(items: Iterable[str]) -> tuple[str, ...]:
        return tuple(sorted(set(items), key=lambda i: natural(study.name(i))))

    opened = {act.item for act in cut if act.kind in ("switch", "draw", "disable")}
    items = {circuit.nodes[n].equipment for n in nodes}
    volts = {
        source.highest_v if source.adapts else source.nominal_v
        for item in sorted(sources)
        for source in equipment[item].sources(circuit.joined.get(item, frozenset()))
    }
    return Stays(
        until,
        by_name(sources),
        tuple(sorted(volts, key=lambda v: (v is None, v or 0.0))),
        by_name(items & opened),
        by_name(
            i
            for i in items - sources - opened
            if equipment[i].ROLE in ("bus", "converter") or equipment[i].ashore() is not None
        ),
        by_name(i for i in items if equipment[i].use() is not None),
        by_name(w.run for w in circuit.wires if w.a in nodes and w.b in nodes),
    )
