"""A boat with switches is as bad as the worst of the boats that each permitted position makes of her."""

from __future__ import annotations

import itertools
from typing import NamedTuple

from hypothesis import given, settings
from hypothesis import strategies as st

from engine.books import load
from engine.builder import Builder
from engine.study import Study


class Tie(NamedTuple):
    a: int
    b: int
    amps: float
    fuse_a: float | None
    is_switched: bool
    is_drawn_closed: bool


class Boat(NamedTuple):
    points: int
    ties: list[Tie]
    banks: list[int]
    chargers: list[tuple[int, float]]
    locks: list[tuple[tuple[int, ...], int]]

    @property
    def switches(self) -> list[int]:
        return [n for n, tie in enumerate(self.ties) if tie.is_switched]


def built(boat: Boat, closed: frozenset[int] | None = None) -> Builder:
    """The boat with her switches, or, with the switches in `closed` closed, as bare terminals or nothing at all."""
    b = Builder(book="k1")
    long = {"function": "dc positive", "length_m": 10.0, "sheath": "bare"}
    for i in range(boat.points):
        b.add("junction", f"X{i}")
    for n, point in enumerate(boat.banks):
        b.add("battery_bank", f"G{n}", unit_v=12.0)
        b.add("fuse", f"FG{n}", rating_a=50)
        b.run(f"WG{n}", f"G{n}.pos", f"FG{n}.in", function="dc positive", size="900 mm2", length_m=0.1, sheath="bare")
        b.run(f"WH{n}", f"FG{n}.out", f"X{point}.at", size="900 mm2", **long)
    for n, (point, amps) in enumerate(boat.chargers):
        b.add("charger", f"T{n}", dc_v=12.0, charge_a=amps, self_limiting=True)
        b.run(f"WT{n}", f"T{n}.dc", f"X{point}.at", size="900 mm2", **long)
    for n, tie in enumerate(boat.ties):
        start = f"X{tie.a}.at"
        if tie.is_switched:
            if closed is None:
                b.add("battery_switch", f"Q{n}", in_position="closed" if tie.is_drawn_closed else "open")
            else:
                b.add("terminal", f"Q{n}")
                if n not in closed:
                    b.add("terminal", f"R{n}")
            b.run(f"V{n}", start, f"Q{n}.in" if closed is None else f"Q{n}.at", size="900 mm2", **long)
            start = f"Q{n}.out" if closed is None else f"Q{n}.at" if n in closed else f"R{n}.at"
        if tie.fuse_a is not None:
            b.add("fuse", f"F{n}", rating_a=tie.fuse_a)
            b.run(f"U{n}", start, f"F{n}.in", size="900 mm2", **long)
            start = f"F{n}.out"
        b.run(f"W{n}", start, f"X{tie.b}.at", size=f"{tie.amps:g} mm2", **long)
    if closed is None:
        for members, most in boat.locks:
            b.interlock(*(f"Q{n}" for n in members), at_most=most)
    return b


def findings(b: Builder) -> set[tuple[str, str]]:
    study = Study(b.installation.snapshot(), load("k1"))
    assert all(u.judged and not u.undecided for u in study.coverage.uncovered)
    return {(study.name(u.run), u.end) for u in study.coverage.uncovered}


@st.composite
def boats(draw: st.DrawFn) -> Boat:
    points = draw(st.integers(2, 5))
    point = st.integers(0, points - 1)
    left = 5

    def tie(a: int, b: int) -> Tie:
        nonlocal left
        is_switched = left > 0 and draw(st.booleans())
        left -= is_switched
        return Tie(
            a,
            b,
            draw(st.sampled_from([40.0, 60.0, 110.0, 900.0])),
            draw(st.sampled_from([None, None, 30.0, 60.0])),
            is_switched,
            draw(st.booleans()),
        )

    ties = [tie(draw(st.integers(0, i - 1)), i) for i in range(1, points)]
    for _ in range(draw(st.integers(0, 3))):
        a, b = draw(point), draw(point)
        if a != b:
            ties.append(tie(a, b))
    made = Boat(
        points,
        ties,
        draw(st.lists(point, min_size=1, max_size=3)),
        draw(st.lists(st.tuples(point, st.sampled_from([20.0, 60.0])), max_size=1)),
        [],
    )
    if len(made.switches) > 1:
        members = st.lists(st.sampled_from(made.switches), min_size=2, unique=True).map(tuple)
        locks = draw(st.lists(st.tuples(members, st.integers(0, 2)), max_size=2))
        made = made._replace(locks=locks)
    return made


@settings(max_examples=150)
@given(boats())
def test_an_end_is_uncovered_when_some_permitted_state_leaves_it_so(boat: Boat) -> None:
    """Everything is so long that no distance excuses it."""
    worst: set[tuple[str, str]] = set()
    for chosen in itertools.product((False, True), repeat=len(boat.switches)):
        closed = frozenset(n for n, is_closed in zip(boat.switches, chosen, strict=True) if is_closed)
        if all(len(closed & set(members)) <= most for members, most in boat.locks):
            worst |= findings(built(boat, closed))
    assert findings(built(boat)) == worst


@settings(max_examples=150)
@given(boats())
def test_the_state_named_is_one_that_does_it(boat: Boat) -> None:
    study = Study(built(boat).installation.snapshot(), load("k1"))
    drawn = {n: tie.is_drawn_closed for n, tie in enumerate(boat.ties) if tie.is_switched}

    def is_permitted(state: dict[int, bool]) -> bool:
        return all(sum(state[n] for n in set(members)) <= most for members, most in boat.locks)

    for end in study.coverage.uncovered:
        named = {int(study.name(item)[1:]): position == "closed" for item, position in end.positions}
        # no position named: as drawn, or, where the interlocks forbid that, whatever the switches do
        free = [n for n in boat.switches if n not in named] if named or not is_permitted(drawn) else []
        states = [
            drawn | named | dict(zip(free, chosen, strict=True))
            for chosen in itertools.product((False, True), repeat=len(free))
        ]
        assert any(
            (study.name(end.run), end.end) in findings(built(boat, frozenset(n for n in state if state[n])))
            for state in states
            if is_permitted(state)
        )
