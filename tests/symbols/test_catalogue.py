"""Every symbol file, as the sheets will use it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.picture import Box, Path, Text, path_box, text_box
from symbols import catalogue
from symbols.catalogue import IEC, IEEE, STANDARDS, STEP, Shape, SymbolError

EVERY = (*catalogue.names(), *catalogue.marks())
FACES = [
    pytest.param(name, standard, position, id="-".join(p for p in (name, standard[:4].strip(), position) if p))
    for name in EVERY
    for standard in STANDARDS
    for position in catalogue.symbol(name).positions() or ("",)
]
AWAY = {"top": (0, -1), "bottom": (0, 1), "left": (-1, 0), "right": (1, 0)}


def inside(inner: Box, outer: Box) -> bool:
    outer = outer.grown(1e-3)  # numbers are kept to four places
    return (
        outer.left <= inner.left
        and outer.top <= inner.top
        and inner.right <= outer.right
        and inner.bottom <= outer.bottom
    )


def points(path: Path) -> Iterator[tuple[float, float]]:
    """Points close together along a path."""
    start = (0.0, 0.0)
    here = (0.0, 0.0)
    for letter, *v in path.segments:
        ends = list(zip(v[0::2], v[1::2], strict=True))
        if letter == "Z":
            ends = [start]
        for n in range(41):
            t = n / 40
            if letter == "C":
                (x0, y0), (x1, y1), (x2, y2), (x3, y3) = here, *ends
                u = 1 - t
                yield (
                    u**3 * x0 + 3 * u * u * t * x1 + 3 * u * t * t * x2 + t**3 * x3,
                    u**3 * y0 + 3 * u * u * t * y1 + 3 * u * t * t * y2 + t**3 * y3,
                )
            elif letter != "M":
                yield here[0] + (ends[-1][0] - here[0]) * t, here[1] + (ends[-1][1] - here[1]) * t
        here = ends[-1]
        if letter == "M":
            start = here
            yield here


def test_there_are_symbols_enough() -> None:
    assert len(catalogue.names()) >= 45
    assert {"cross_reference", "conductor_stroke", "junction_dot"} <= set(catalogue.marks())
    assert list(catalogue.names()) == sorted(catalogue.names())


@pytest.mark.parametrize("name", EVERY)
def test_a_file_names_the_symbol_and_both_clauses(name: str) -> None:
    symbol = catalogue.symbol(name)
    assert symbol.kind == name
    assert symbol.name[0].isupper()
    for standard in STANDARDS:
        clause = catalogue.shape(name, standard).clause
        # a clause number nobody has looked up says so, and so does a shape that no standard has
        told = r"\(from memory, not confirmed\)|\(common practice, no source\)|drawn as (in|for) IEC 60617"
        assert re.fullmatch(rf"{standard}.*: .+({told})", clause)


@pytest.mark.parametrize(("name", "standard", "position"), FACES)
def test_strokes_and_letters_stay_in_the_box(name: str, standard: catalogue.Standard, position: str) -> None:
    shape = catalogue.shape(name, standard, position)
    for p in shape.primitives:
        assert inside(path_box(p) if isinstance(p, Path) else text_box(p), shape.box), p
    # a symbol is at least as large as a dot and, a long one left aside, no larger than the space between two branches
    assert max(shape.box.right - shape.box.left, shape.box.bottom - shape.box.top) >= 0.6
    if not (shape.stretches or catalogue.symbol(name).ways):
        assert shape.box.right - shape.box.left <= 8 * STEP + 0.36
        assert shape.box.bottom - shape.box.top <= 6 * STEP + 0.8


@pytest.mark.parametrize(("name", "standard", "position"), FACES)
def test_ports_lie_where_the_strokes_end(name: str, standard: catalogue.Standard, position: str) -> None:
    shape = catalogue.shape(name, standard, position)
    drawn = [at for p in shape.primitives if isinstance(p, Path) for at in points(p)]
    for port in shape.ports.values():
        assert isinstance(port.x, int)
        assert isinstance(port.y, int)
        x, y = port.x * STEP, port.y * STEP
        assert min(math.dist((x, y), at) for at in drawn) <= 1.01, port  # 1.0: the ring of a terminal
        # a run leaves outward: a step away it has left the box, or at a point symbol is leaving it
        dx, dy = AWAY[port.side]
        assert not inside(Box(*(2 * (x + dx * STEP, y + dy * STEP))), shape.box), port
    where = [(p.x, p.y) for p in shape.ports.values()]
    assert all(math.dist(a, b) >= 2 for i, a in enumerate(where) for b in where[:i])


@pytest.mark.parametrize("name", EVERY)
def test_the_other_standard_keeps_the_ports(name: str) -> None:
    assert catalogue.shape(name, IEC).ports == catalogue.shape(name, IEEE).ports


def test_the_other_standard_draws_otherwise_where_it_does() -> None:
    differing = {n for n in catalogue.names() if drawing(n, IEC) != drawing(n, IEEE)}
    assert {"fuse", "load", "circuit_breaker", "battery_switch", "isolation_transformer", "shunt"} <= differing


def drawing(name: str, standard: catalogue.Standard = IEC, position: str = "") -> tuple[object, ...]:
    return catalogue.shape(name, standard, position).primitives


def test_no_two_kinds_look_alike() -> None:
    for standard in STANDARDS:
        seen: dict[object, str] = {}
        for name in catalogue.names():
            assert seen.setdefault(drawing(name, standard), name) == name


@pytest.mark.parametrize("name", [n for n in EVERY if catalogue.symbol(n).positions()])
def test_every_position_is_drawn_otherwise_in_the_same_box(name: str) -> None:
    positions = catalogue.symbol(name).positions()
    for standard in STANDARDS:
        shapes = [catalogue.shape(name, standard, p) for p in positions]
        assert len({s.primitives for s in shapes}) == len(positions) >= 2
        assert {s.box for s in shapes} == {shapes[0].box}
        at_rest = catalogue.shape(name, standard)
        assert at_rest == catalogue.shape(name, standard, catalogue.symbol(name).rest)


def conducts(shape: Shape, start: str, end: str) -> bool:
    """Whether strokes lead from one port to the other, end to end; linkages do not conduct."""
    strokes = [p for p in shape.primitives if isinstance(p, Path)]
    todo = [set(points(p)) for p in strokes if [s[0] for s in p.segments].count("M") == 1]
    goal = (shape.ports[end].x * STEP, shape.ports[end].y * STEP)
    found = [(shape.ports[start].x * STEP, shape.ports[start].y * STEP)]
    while found:
        here = found.pop()
        if math.dist(here, goal) < 0.1:
            return True
        near = [at for at in todo if min(math.dist(here, a) for a in at) < 0.4]
        todo = [at for at in todo if at not in near]
        found += [a for at in near for a in at]
    return False


@pytest.mark.parametrize("standard", STANDARDS)
def test_a_closed_switch_is_drawn_joined_and_an_open_one_apart(standard: catalogue.Standard) -> None:
    tried = []
    for name in catalogue.names():
        if set(catalogue.symbol(name).positions()) == {"open", "closed"}:
            tried.append(name)
            start, end = list(catalogue.shape(name).ports)[:2]
            assert conducts(catalogue.shape(name, standard, "closed"), start, end), name
            assert not conducts(catalogue.shape(name, standard, "open"), start, end), name
    assert len(tried) >= 8
    for position, one, two in (("0", 0, 0), ("1", 1, 0), ("2", 0, 1)):
        shape = catalogue.shape("changeover", standard, position)
        assert (conducts(shape, "one", "common"), conducts(shape, "two", "common")) == (one, two)
    for position, one, two in (("off", 0, 0), ("1", 1, 0), ("both", 1, 1), ("2", 0, 1)):
        shape = catalogue.shape("selector", standard, position)
        assert (conducts(shape, "one", "common"), conducts(shape, "two", "common")) == (one, two)


def test_a_position_that_is_not_drawn_is_told() -> None:
    with pytest.raises(SymbolError, match=r"symbols/switching/battery_switch.toml: position: .*open, closed.*'ajar'"):
        catalogue.shape("battery_switch", IEC, "ajar")
    # but a piece that always looks the same takes any
    assert catalogue.shape("inverter_charger", IEC, "pass") is not None


def test_what_is_missing_is_told() -> None:
    with pytest.raises(SymbolError, match="no symbol for 'flux_gate'"):
        catalogue.shape("flux_gate")
    with pytest.raises(SymbolError, match="quarter turn, found 45"):
        catalogue.shape("fuse", rotation=45)
    with pytest.raises(SymbolError, match="IEC 60617, IEEE 315, found 'ISO 14617'"):
        catalogue.shape("fuse", "ISO 14617")  # type: ignore[arg-type]
    with pytest.raises(SymbolError, match="pitch: expected an even number"):
        catalogue.shape("switching_module", pitch=3)


@given(st.integers(1, 120))
def test_a_bus_is_as_long_as_asked(length: int) -> None:
    bus = catalogue.bus(length)
    assert bus.stretches
    assert (bus.box.left, bus.box.right) == pytest.approx((-0.7, length * STEP + 0.7))
    assert [p.width for p in bus.primitives if isinstance(p, Path)] == [1.4]
    down = catalogue.bus(length, rotation=90)
    assert (down.box.top, down.box.bottom) == pytest.approx((-0.7, length * STEP + 0.7))


@given(st.sets(st.integers(1, 24), min_size=1, max_size=16), st.sampled_from([2, 4, 6, 12]))
def test_a_module_stretches_to_its_ways(numbers: set[int], pitch: int) -> None:
    ways = [f"ch{n}" for n in sorted(numbers)]
    shape = catalogue.shape("switching_module", terminals=("supply", *ways, "neg"), pitch=pitch)
    assert set(shape.ports) == {"supply", "neg", *ways}
    xs = [shape.ports[w].x for w in ways]
    assert [b - a for a, b in pairwise(xs)] == [pitch] * (len(ways) - 1)
    assert shape.box.right == pytest.approx((xs[-1] + 2) * STEP + 0.175)
    assert shape.ports["neg"].x == xs[-1] + 2
    assert xs[0] == -xs[-1]  # the supply stands in the middle
    assert [p.text for p in shape.primitives if isinstance(p, Text)] == [str(n) for n in sorted(numbers)]


def test_a_diode_isolator_has_the_outputs_the_piece_has() -> None:
    assert set(catalogue.shape("diode_isolator").ports) == {"in", "out1", "out2", "out3"}
    assert set(catalogue.shape("diode_isolator", terminals=("in", "out1", "out2")).ports) == {"in", "out1", "out2"}


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize("mirrored", [False, True])
def test_four_turns_bring_it_back(name: str, mirrored: bool) -> None:
    plain = catalogue.shape(name, mirrored=mirrored)
    for rotation in (90, 180, 270, 360):
        turned = catalogue.shape(name, rotation=rotation, mirrored=mirrored)
        for port in plain.ports.values():
            x, y = port.x, port.y
            dx, dy = AWAY[port.side]
            for _quarter in range(rotation // 90):
                x, y, dx, dy = -y, x, -dy, dx
            assert (turned.ports[port.name].x, turned.ports[port.name].y) == (x, y)
            assert AWAY[turned.ports[port.name].side] == (dx, dy)
        for p in turned.primitives:
            assert inside(path_box(p) if isinstance(p, Path) else text_box(p), turned.box), p
    assert catalogue.shape(name, rotation=360, mirrored=mirrored) == plain
    twice = catalogue.shape(name, mirrored=True, rotation=180).box
    once = catalogue.shape(name).box
    assert twice == pytest.approx((once.left, -once.bottom, once.right, -once.top), abs=0.7)


def test_signs_and_letters_stay_upright() -> None:
    def sine(rotation: int) -> float:
        """How wide the tilde of a generator is."""
        paths = [p for p in catalogue.shape("generator", rotation=rotation).primitives if isinstance(p, Path)]
        box = path_box(paths[-1])
        return (box.right - box.left) / (box.bottom - box.top)

    assert sine(90) == pytest.approx(sine(0), rel=0.01)
    assert sine(0) > 1.4
    word = next(p for p in catalogue.shape("battery_management", rotation=90).primitives if isinstance(p, Text))
    assert word.rotation == 90  # it would not fit across


@pytest.mark.parametrize(("name", "standard", "position"), FACES)
def test_type_and_widths_are_of_the_series(name: str, standard: catalogue.Standard, position: str) -> None:
    for p in catalogue.shape(name, standard, position).primitives:
        if isinstance(p, Text):
            assert p.height in (2.5, 3.5, 5.0)  # ISO 3098-1 series (from memory, not confirmed); 2.5 mm the least
        else:
            assert p.width in (0.35, 0.7, 1.0, 1.4)  # ISO 128 widths (from memory, not confirmed)
            assert p.ink == "black"
            assert p.dash == "solid"  # broken lines tell the status of a piece


def test_a_shape_cannot_be_changed_by_who_uses_it() -> None:
    shape = catalogue.shape("fuse")
    with pytest.raises(TypeError):
        shape.ports["in"] = shape.ports["out"]  # type: ignore[index]
