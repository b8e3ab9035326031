"""Small random AC boats and an independent walk over them: every state looked at, no part of the engine used.

A boat is a list of plain devices between named points. A point carries L1, N, or both; a device closes some conductors
between two points in some of its positions. `built` makes the drawing of it, `states` lists every permitted state,
`groups` says which conductors are one in a state.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.builder import Builder

__all__ = ["Boat", "Part", "State", "Supply", "boat", "built", "groups", "states"]

State = dict[str, str]
Conductor = tuple[str, str]  # (point, "L1" or "N")


class Part(NamedTuple):
    """A device: which conductors it joins between which points, by position. `hand`: counts as a switch."""

    name: str
    kind: str
    positions: tuple[str, ...]
    joins: tuple[tuple[str, str, str, frozenset[str] | None], ...]  # (point, point, conductor, positions; None: always)
    facts: dict[str, Any]
    ends: dict[str, str]  # terminal -> point


class Supply(NamedTuple):
    """A source: its point, the positions (of a part of its own) in which it is one, whether it is bonded there."""

    name: str
    point: str
    line: str
    bonded: bool
    part: str = ""
    positions: frozenset[str] | None = None


class Boat(NamedTuple):
    supplies: tuple[Supply, ...]
    parts: tuple[Part, ...]
    bonds: tuple[str, ...]  # points with a bond of their own
    loads: tuple[str, ...]  # points with a consumer
    locks: tuple[tuple[tuple[str, str], tuple[str, str]], ...]  # at most one of two (part, position)
    points: tuple[str, ...]


def boat(seed: int) -> Boat:
    """Shore, a generator and often an inverter/charger; two to four switches between three buses."""
    pick = random.Random(seed)
    points = ("X1", "X2", "X3")
    supplies = [
        Supply("G9", "g9", "shore", pick.random() < 0.8),
        Supply("G2", "g2", "generator", pick.random() < 0.5),
    ]
    parts: list[Part] = []
    if pick.random() < 0.5:
        bonded = pick.random() < 0.6
        into, out = pick.sample(points, 2)
        joins = tuple((into, out, c, frozenset({"pass"})) for c in ("L1", "N"))
        facts = {"bonds_neutral": bonded}
        parts.append(
            Part("T1", "inverter_charger", ("off", "invert", "pass"), joins, facts, {"ac_in": into, "ac_out": out})
        )
        supplies.append(Supply("T1", out, "bridge", bonded, "T1", frozenset({"invert"})))
    free = ["g9", "g2"]
    for number in range(pick.randint(2, 4)):
        name = f"Q{number + 1}"
        first = free.pop(0) if free else pick.choice(points)
        rest = [p for p in points if p != first]
        if pick.random() < 0.35:
            second = free.pop(0) if free and pick.random() < 0.7 else pick.choice(rest)
            common = pick.choice([p for p in points if p not in (first, second)])
            poles = pick.choice((("L1", "N"), ("L1",)))
            off = pick.random() < 0.6
            joins = _switched(first, common, poles, "1") + _switched(second, common, poles, "2")
            parts.append(
                Part(
                    name,
                    "changeover",
                    ("0", "1", "2") if off else ("1", "2"),
                    joins,
                    {"poles": poles, "has_off": off},
                    {"one": first, "two": second, "common": common},
                )
            )
            continue
        stop = pick.choice(rest)
        poles = pick.choice((("L1", "N"), ("L1", "N"), ("L1",), ("N",)))
        kind = pick.choice(("circuit_breaker", "contactor"))
        facts = {"poles": poles} | ({"used_as_switch": True} if kind == "circuit_breaker" else {})
        joins = _switched(first, stop, poles, "closed")
        parts.append(Part(name, kind, ("open", "closed"), joins, facts, {"in": first, "out": stop}))
    for left in free:
        parts.append(_joined(f"Y{left}", left, pick.choice(points)))
    locks = []
    names = [p for p in parts if len(p.positions) > 1]
    for _ in range(pick.randint(0, 2)):
        if len(names) > 1:
            one, other = pick.sample(names, 2)
            locks.append(((one.name, one.positions[-1]), (other.name, other.positions[-1])))
    bonds = tuple(p for p in points if pick.random() < 0.25)
    loads = tuple(p for p in points if pick.random() < 0.6)
    return Boat(tuple(supplies), tuple(parts), bonds, loads, tuple(locks), points)


def _switched(a: str, b: str, poles: tuple[str, ...], position: str) -> tuple[Any, ...]:
    return tuple((a, b, c, frozenset({position}) if c in poles else None) for c in ("L1", "N"))


def _joined(name: str, a: str, b: str) -> Part:
    return Part(name, "", (), tuple((a, b, c, None) for c in ("L1", "N")), {}, {"a": a, "b": b})


def built(one: Boat) -> Builder:
    """The drawing of a boat."""
    b = Builder()
    at = {point: f"{point}.bar" for point in one.points}
    for supply in one.supplies:
        if supply.line == "shore":
            b.add("shore_supply", supply.name, ac_v=120, breaker_a=30, neutral_earthed=supply.bonded)
        elif supply.line == "generator":
            b.add("generator", supply.name, ac_v=120, rating_a=30, bonds_neutral=supply.bonded)
        if supply.line != "bridge":
            at[supply.point] = f"{supply.name}.out"
    for point in one.points:
        b.add("bus_bar", point, bonds_neutral=point in one.bonds)
    count = itertools.count(1)
    for part in one.parts:
        if not part.kind:
            b.run(f"W{next(count)}", at[part.ends["a"]], at[part.ends["b"]], function="ac")
            continue
        more = {"ac_v": 120, "dc_v": 12} if part.kind == "inverter_charger" else {}
        b.add(part.kind, part.name, **(part.facts | more))
        for terminal, point in part.ends.items():
            b.run(f"W{next(count)}", at[point], f"{part.name}.{terminal}", function="ac")
    for number, point in enumerate(one.loads, 1):
        b.add("load", f"E{number}", ac_v=120, power_w=100)
        b.run(f"W{next(count)}", at[point], f"E{number}.in", function="ac")
    for lock in one.locks:
        b.interlock(*(f"{name}:{position}" for name, position in lock))
    return b


def states(one: Boat) -> Iterator[State]:
    """Every state that the locks allow."""
    moved = [p for p in one.parts if p.positions]
    for choice in itertools.product(*(p.positions for p in moved)):
        state = {p.name: position for p, position in zip(moved, choice, strict=True)}
        if not any(all(state[name] == position for name, position in lock) for lock in one.locks):
            yield state


def groups(one: Boat, state: State) -> dict[Conductor, int]:
    """A number for every conductor of every point: the same where they are joined."""
    number: dict[Conductor, int] = {}
    points = [*one.points, *(s.point for s in one.supplies)]
    for at, (point, conductor) in enumerate(itertools.product(dict.fromkeys(points), ("L1", "N"))):
        number[point, conductor] = at
    changed = True
    while changed:
        changed = False
        for part in one.parts:
            for a, b, conductor, positions in part.joins:
                if positions is None or state[part.name] in positions:
                    low = min(number[a, conductor], number[b, conductor])
                    for end in (a, b):
                        if number[end, conductor] != low:
                            number[end, conductor] = low
                            changed = True
    return number
