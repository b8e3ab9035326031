"""What is said to make something dead is tried: in every permitted state, on small random boats, by another simulator.

The simulator knows nothing of circuits: it floods a list of ties, state by state, from every source that is not ended.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.books import load
from engine.builder import Builder
from engine.circuit.switching.isolating import isolate
from engine.circuit.switching.made_dead import Question
from engine.circuit.switching.upstream import Act
from engine.study import Study

DEVICES = {  # kind: (fields, ends, positions, contacts as (end, end, positions))
    "battery_switch": ({}, ("in", "out"), ("open", "closed"), (("in", "out", {"closed"}),)),
    "circuit_breaker": ({}, ("in", "out"), ("open", "closed"), (("in", "out", {"closed"}),)),
    "contactor": ({}, ("in", "out"), ("open", "closed"), (("in", "out", {"closed"}),)),
    "fuse": ({"rating_a": 10}, ("in", "out"), (), (("in", "out", None),)),
    "shunt": ({"poles": ("+", "L1")}, ("in", "out"), (), (("in", "out", None),)),
    "changeover": ({}, ("one", "two", "common"), ("0", "1", "2"),
                   (("one", "common", {"1"}), ("two", "common", {"2"}))),
    "no off": ({"has_off": False}, ("one", "two", "common"), ("1", "2"),
               (("one", "common", {"1"}), ("two", "common", {"2"}))),
    "by itself": ({"automatic": True}, ("one", "two", "common"), ("0", "1", "2"),
                  (("one", "common", {"1"}), ("two", "common", {"2"}))),
    "lets go": ({"on_loss": "opens"}, ("in", "out"), ("open", "closed"), (("in", "out", {"closed"}),)),
}  # fmt: skip
KIND = {"no off": "changeover", "by itself": "changeover", "lets go": "contactor"}
AUTOMATIC = {"contactor", "by itself"}
SOURCES = {"dc": ("battery_bank", "alternator", "solar_array"), "ac": ("shore_inlet", "generator")}
OUT = {"battery_bank": "pos", "alternator": "pos", "solar_array": "pos", "shore_inlet": "out", "generator": "out"}
ENDED = {"alternator": "stop", "solar_array": "cover", "shore_inlet": "unplug", "generator": "stop"}
CONVERTERS = {  # kind: ends (terminal, system), positions, conversions (from, to, positions, both ways), passes
    "inverter": ((("dc", "dc"), ("ac_out", "ac")), (), (("dc", "ac_out", None, False),), ()),
    "charger": ((("ac", "ac"), ("dc", "dc")), (), (("ac", "dc", None, False),), ()),
    "inverter_charger": ((("dc", "dc"), ("ac_in", "ac"), ("ac_out", "ac")), ("off", "invert", "pass"),
                         (("dc", "ac_out", {"invert"}, False), ("ac_in", "dc", {"pass"}, False)),
                         (("ac_in", "ac_out", {"pass"}),)),
    "isolation_transformer": ((("primary", "ac"), ("secondary", "ac")), (), (("primary", "secondary", None, True),),
                              ()),
}  # fmt: skip


class Piece(NamedTuple):
    kind: str
    points: tuple[int, ...]  # of each of its ends


class Boat(NamedTuple):
    dc: int  # points of direct current, the first ones
    ac: int
    devices: tuple[Piece, ...]
    sources: tuple[Piece, ...]
    converters: tuple[Piece, ...]
    locks: tuple[tuple[int, ...], ...]  # devices with "closed" of which one at most is


@st.composite
def boats(draw: st.DrawFn, most: int) -> Boat:
    dc, ac = draw(st.integers(1, 3)), draw(st.integers(1, 3))
    of = {"dc": st.integers(0, dc - 1), "ac": st.integers(dc, dc + ac - 1)}
    devices = []
    for _ in range(draw(st.integers(1, most))):
        kind = draw(st.sampled_from(sorted(DEVICES)))
        point = of[draw(st.sampled_from(("dc", "ac")))]
        devices.append(Piece(kind, tuple(draw(point) for _end in DEVICES[kind][1])))
    sources = []
    for _ in range(draw(st.integers(1, 3))):
        system = draw(st.sampled_from(("dc", "ac")))
        sources.append(Piece(draw(st.sampled_from(SOURCES[system])), (draw(of[system]),)))
    converters = []
    for _ in range(draw(st.integers(0, 2))):
        kind = draw(st.sampled_from(sorted(CONVERTERS)))
        converters.append(Piece(kind, tuple(draw(of[system]) for _end, system in CONVERTERS[kind][0])))
    lockable = [n for n, d in enumerate(devices) if DEVICES[d.kind][2] == ("open", "closed")]
    locks = []
    if len(lockable) > 1 and draw(st.booleans()):
        locks.append(tuple(draw(st.lists(st.sampled_from(lockable), min_size=2, max_size=3, unique=True))))
    return Boat(dc, ac, tuple(devices), tuple(sources), tuple(converters), tuple(locks))


def built(boat: Boat) -> Builder:
    b = Builder(book="k1")

    def joined(name: str, terminal: str, point: int) -> None:
        system = {"function": "ac", "neutral": False, "earth": False} if point >= boat.dc else {}
        b.run(f"W{name}{terminal}", f"{name}.{terminal}", f"X{point}.at", **({"function": "dc positive"} | system))

    for point in range(boat.dc + boat.ac):
        b.add("junction", f"X{point}")
    for n, piece in enumerate(boat.devices):
        fields, ends, _positions, _contacts = DEVICES[piece.kind]
        b.add(KIND.get(piece.kind, piece.kind), f"D{n}", **fields)
        for end, point in zip(ends, piece.points, strict=True):
            joined(f"D{n}", end, point)
    for n, piece in enumerate(boat.sources):
        b.add(piece.kind, f"G{n}")
        joined(f"G{n}", OUT[piece.kind], piece.points[0])
    for n, piece in enumerate(boat.converters):
        b.add(piece.kind, f"T{n}")
        for (end, _system), point in zip(CONVERTERS[piece.kind][0], piece.points, strict=True):
            joined(f"T{n}", end, point)
    for lock in boat.locks:
        b.interlock(*(f"D{n}" for n in lock))
    return b


class Tie(NamedTuple):
    a: str
    b: str
    device: str = ""
    positions: frozenset[str] | None = None
    back: bool = True


def ties(boat: Boat) -> tuple[list[Tie], dict[str, tuple[str, ...]]]:
    """Every way energy may go, between points by name, and the positions of what has some."""
    made, positions = [], {}

    def add(name: str, pairs: tuple, ends: dict[str, int]) -> None:
        for end, point in ends.items():
            made.append(Tie(f"{name}.{end}", f"X{point}"))
        for start, stop, allowed, *back in pairs:
            held = None if allowed is None else frozenset(allowed)
            made.append(Tie(f"{name}.{start}", f"{name}.{stop}", name, held, back[0] if back else True))

    for n, piece in enumerate(boat.devices):
        _fields, ends, every, contacts = DEVICES[piece.kind]
        add(f"D{n}", contacts, dict(zip(ends, piece.points, strict=True)))
        if every:
            positions[f"D{n}"] = every
    for n, piece in enumerate(boat.sources):
        add(f"G{n}", (), {"out": piece.points[0]})
    for n, piece in enumerate(boat.converters):
        ends, every, conversions, passes = CONVERTERS[piece.kind]
        add(f"T{n}", (*conversions, *passes), {e: p for (e, _s), p in zip(ends, piece.points, strict=True)})
        if every:
            positions[f"T{n}"] = every
    return made, positions


def permitted(boat: Boat, positions: dict[str, tuple[str, ...]]) -> Iterator[dict[str, str]]:
    for chosen in itertools.product(*positions.values()):
        state = dict(zip(positions, chosen, strict=True))
        if all(sum(state[f"D{n}"] == "closed" for n in lock) <= 1 for lock in boat.locks):
            yield state


def alive(boat: Boat, item: str, done: frozenset[tuple[str, str, str]]) -> set[str]:
    """Sources that reach `item` in some permitted state with `done`, triples of (kind, name, position)."""
    every, positions = ties(boat)
    drawn = {name for kind, name, _p in done if kind == "draw"}
    ended = {name for kind, name, _p in done if kind in ("stop", "cover", "unplug")}
    for kind, name, position in done:
        if kind in ("switch", "disable"):
            positions[name] = (position,)
    goals = {name for tie in every for name in (tie.a, tie.b) if name.split(".")[0] == item}
    found = set()
    for state in permitted(boat, positions):
        steps: dict[str, list[str]] = {}
        for tie in every:
            if tie.device in drawn or (tie.positions is not None and state[tie.device] not in tie.positions):
                continue
            steps.setdefault(tie.a, []).append(tie.b)
            if tie.back:
                steps.setdefault(tie.b, []).append(tie.a)
        for n, _source in enumerate(boat.sources):
            if f"G{n}" in ended or f"G{n}" in found:
                continue
            seen = {f"G{n}.out"}
            todo = list(seen)
            for name in todo:
                todo += [to for to in steps.get(name, ()) if to not in seen]
                seen.update(steps.get(name, ()))
            if seen & goals:
                found.add(f"G{n}")
    return found


def choices(boat: Boat) -> list[tuple[str, str, str]]:
    """Everything a person can do."""
    made = []
    for n, piece in enumerate(boat.devices):
        every = DEVICES[piece.kind][2]
        if piece.kind == "fuse":
            made.append(("draw", f"D{n}", ""))
        elif piece.kind == "lets go":
            made.append(("disable", f"D{n}", "open"))
        elif every and piece.kind not in AUTOMATIC:
            made += [("switch", f"D{n}", p) for p in (every[:1] if every[0] in ("open", "0") else every)]
    return made + [(ENDED[p.kind], f"G{n}", "") for n, p in enumerate(boat.sources) if p.kind in ENDED]


def tried(boat: Boat) -> None:
    b = built(boat)
    study = Study(b.installation.snapshot(), load("k1"))
    ids = {record.designation: item for item, record in study.snapshot.equipment.items()}
    for name in [*(f"X{n}" for n in range(boat.dc + boat.ac)), *(i for i in ids if i[0] in "DGT")]:
        told = isolate(study, ids[name])
        # whatever reaches it before is named, and nothing else
        assert {study.name(s) for s in told.sources} == alive(boat, name, frozenset())
        done = frozenset(
            (s.kind, study.name(s.item), s.position) for s in told.steps if s.kind not in ("wait", "unload")
        )
        done -= {step for step in done if step[0] == "stop" and step[1].startswith("T")}  # no more than switched off
        done -= {step for step in done if step[0] == "disable" and not step[2]}  # a start that is taken away
        assert told.undecided == ()
        assert alive(boat, name, done) == {study.name(s) for s in told.remains}
        cheapest_of_all(study, boat, name, ids)


def cheapest_of_all(study: Study, boat: Boat, name: str, ids: dict[str, str]) -> None:
    """No other choice that makes it dead costs less; where something remains, there is none."""
    question = Question(study, ids[name])
    every = {one: question.cost(Act(one[0], ids[one[1]], one[2])) for one in choices(boat)}  # type: ignore[arg-type]
    spent = sum(question.cost(act) for act in question.cut.acts)
    for count in range(len(every) + 1):
        for some in itertools.combinations(every, count):
            if len({one[1] for one in some}) < count:
                continue
            if question.cut.remains or sum(every[one] for one in some) < spent - 1e-9:
                positions = {one[1]: (one[2],) for one in some if one[0] in ("switch", "disable")}
                if any(permitted(boat, ties(boat)[1] | positions)):
                    assert alive(boat, name, frozenset(some)), (name, some)


@settings(max_examples=30)
@given(boats(3))
def test_what_is_made_dead_is_dead_in_every_state(boat: Boat) -> None:
    """Every item of small boats: what feeds it, that the acts part all of it, that no cheaper ones do."""
    tried(boat)


@pytest.mark.long
@settings(max_examples=300)
@given(boats(6))
def test_what_is_made_dead_is_dead_in_every_state_of_larger_boats(boat: Boat) -> None:
    """The same with more devices."""
    tried(boat)
