"""What parts a battery or a converter from the rest: switches a person opens, and what is left joined then."""

from __future__ import annotations

import weakref
from collections.abc import Callable, Iterable
from typing import NamedTuple

from engine.circuit.expand import Link
from engine.study import Study

__all__ = ["By", "Left", "by_hand", "charges", "left_on", "open_position", "positives"]


class By(NamedTuple):
    """Whether a person can open it: yes, no or not known, and then the fields that would tell."""

    value: bool | None
    missing: tuple[str, ...] = ()


class Left(NamedTuple):
    """What stays joined: circuit nodes, and the devices at which the way ends."""

    nodes: frozenset[int]
    ends: tuple[str, ...]


class Positives(NamedTuple):
    """Positive conductors: from each node where to, and through which contact; contacts by equipment."""

    ways: dict[int, list[tuple[int, Link | None]]]
    links: dict[str, list[Link]]


_MADE: weakref.WeakKeyDictionary[Study, Positives] = weakref.WeakKeyDictionary()


def open_position(study: Study, item: str) -> str:
    """The position in which nothing of its positives is joined, `""` where it has none."""
    links = positives(study).links.get(item, [])
    if not links or any(link.positions is None for link in links):
        return ""
    joined = frozenset().union(*(link.positions for link in links if link.positions is not None))
    return next((p for p in study.snapshot.equipment[item].positions() if p not in joined), "")


def by_hand(study: Study, item: str) -> By:
    """A switch is opened by hand; a contactor where a person's switch breaks its coil, or it has a handle."""
    equipment = study.snapshot.equipment
    record = equipment[item]
    if not record.positions() or not open_position(study, item):
        return By(False)
    if record.moves_itself() is False:
        return By(True)
    if record.CLOSES_ON_NEED or hasattr(record, "limits_current"):
        return By(False)  # a float switch, a charging relay: it closes again by itself
    if getattr(record, "manual_override", False):
        return By(True)
    commanded = getattr(record, "controlled_by", None)
    if commanded is None:
        return By(False)
    manager = next(
        (i for i, r in equipment.items() if (g := r.governs()) is not None and (item in g.opens or i == commanded)), ""
    )
    if manager:
        governs = equipment[manager].governs()
        cuts = None if governs is None else governs.remote_cuts_coil
        return By(cuts, () if cuts is not None else (f"{study.name(manager)}.remote_cuts_coil",))
    if not commanded:
        return By(None, (f"{study.name(item)}.controlled_by",))
    by = equipment.get(commanded)
    return By(by is not None and bool(by.positions()) and by.moves_itself() is False)


def left_on(study: Study, starts: Iterable[int], parts: Callable[[str], bool], *, onward: bool = False) -> Left:
    """Positives joined to some of `starts` while everything that `parts` is open.

    `onward`: through converters to DC volts that charge nothing, too.
    """
    circuit = study.circuit
    ways = positives(study).ways
    seen = set(starts)
    row = list(seen)
    ends: dict[str, None] = {}
    converters: dict[tuple[str, str], list[str]] = {}
    for item, conversion in circuit.conversions if onward else ():
        if not charges(study, item):
            converters.setdefault((item, conversion.source), []).append(conversion.target)
    for node in row:
        for to, link in ways.get(node, ()):
            if to in seen:
                continue
            if link is not None and link.positions is not None and parts(link.equipment):
                ends.setdefault(link.equipment)
                continue
            seen.add(to)
            row.append(to)
        at = circuit.nodes[node]
        for target in converters.get((at.equipment, at.terminal), ()):
            beyond = circuit.node(at.equipment, target, "+")
            if beyond is not None and beyond not in seen:
                seen.add(beyond)
                row.append(beyond)
    return Left(frozenset(seen), tuple(sorted(item for item in ends if not _inside(study, item, seen))))


def _inside(study: Study, item: str, seen: set[int]) -> bool:
    """Whether everything a device joins is joined anyway: then it parts nothing."""
    return all(link.a in seen and link.b in seen for link in positives(study).links.get(item, ()))


def charges(study: Study, item: str) -> bool:
    """Whether it charges a battery, or regulates what does."""
    record = study.snapshot.equipment[item]
    return record.battery_lost() is not None or record.harvest() is not None or bool(record.regulates())


def positives(study: Study) -> Positives:
    """The positive conductors of a study, gathered once."""
    made = _MADE.get(study)
    if made is None:
        circuit = study.circuit
        made = _MADE[study] = Positives({}, {})
        for wire in circuit.wires:
            if wire.conductor == "+":
                made.ways.setdefault(wire.a, []).append((wire.b, None))
                made.ways.setdefault(wire.b, []).append((wire.a, None))
        for link in circuit.links:
            if circuit.nodes[link.a].conductor != "+" or circuit.nodes[link.b].conductor != "+" or link.supposed:
                continue
            made.links.setdefault(link.equipment, []).append(link)
            made.ways.setdefault(link.a, []).append((link.b, link))
            if not link.one_way:
                made.ways.setdefault(link.b, []).append((link.a, link))
    return made
