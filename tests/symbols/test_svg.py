"""Symbols of one's own as SVG: safe shapes are read where they lie, everything else is a fault told in a sentence."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.picture import Path as Stroke
from engine.picture import Text
from symbols import catalogue
from symbols._svg_geometry import path_of
from symbols._svg_reading import parse
from symbols.catalogue import SymbolError
from symbols.own import read_folder
from symbols.svg import read_svg

PORTS = '<circle id="port-in" cx="0" cy="5"/><circle id="port-neg" cx="5" cy="2.5"/><path id="port-earth" d="M5-2.5"/>'


def svg(inside: str, attributes: str = 'data-kind="load"', ports: str = PORTS) -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {attributes}>{inside}{ports}</svg>'.encode()


def strokes(inside: str, attributes: str = 'data-kind="load"') -> list[dict[str, object]]:
    return parse(svg(inside, attributes), "a.svg").common


def ends(stroke: dict[str, object]) -> list[tuple[float, ...]]:
    return [tuple(round(v, 3) for v in s[-2:]) for s in stroke["segments"] if len(s) > 1]  # type: ignore[attr-defined]


def test_shapes_lie_where_the_file_has_them() -> None:
    def one(inside: str) -> list[tuple[float, ...]]:
        return ends(strokes(f'<g stroke="black" fill="none">{inside}</g>')[0])

    assert one('<line x1="1" y1="2" x2="3" y2="4"/>') == [(1, 2), (3, 4)]
    assert one('<rect x="1" y="1" width="2" height="3"/>') == [(1, 1), (3, 1), (3, 4), (1, 4)]
    assert one('<polyline points="0,0 1,0 1,1"/>') == [(0, 0), (1, 0), (1, 1)]
    assert one('<circle cx="1" cy="1" r="2"/>') == [(3, 1), (1, 3), (-1, 1), (1, -1), (3, 1)]
    assert one('<ellipse cx="0" cy="0" rx="2" ry="1"/>')[:3] == [(2, 0), (0, 1), (-2, 0)]
    assert one('<path d="M1 1h2v3l-1-1H0V0z"/>') == [(1, 1), (3, 1), (3, 4), (2, 3), (0, 3), (0, 0)]
    assert one('<path d="m1,1 1,0 0,1C2 2 3 3 4 4c1 1 1 1 1 1"/>') == [(1, 1), (2, 1), (2, 2), (4, 4), (5, 5)]


def test_transforms_follow_one_another_from_outside_in() -> None:
    inside = (
        '<g transform="translate(10 0) rotate(90)"><g transform="scale(2)"><path d="M1 0L2 0" stroke="black"/></g></g>'
    )
    assert ends(strokes(inside)[0]) == [(10, 2), (10, 4)]
    assert ends(strokes('<path transform="rotate(180,1,1)" d="M0 0L1 0" stroke="black"/>')[0]) == [(2, 2), (1, 2)]
    assert ends(strokes('<path d="M0 0L2 0" stroke="black"/>', 'width="5mm" viewBox="0 0 10 10"')[0]) == [
        (0, 0),
        (1, 0),
    ]


@given(st.floats(0.5, 5), st.floats(0.5, 5), st.integers(0, 359), st.booleans(), st.booleans(), st.floats(-3, 3))
def test_an_arc_ends_where_it_says_and_keeps_to_its_ellipse(
    rx: float, ry: float, turned: int, large: bool, sweep: bool, x: float
) -> None:
    """SVG 1.1, F.6: every end of a piece lies on one ellipse of those radii, or of the least that reach."""
    made = path_of(f"M0 0A{rx} {ry} {turned} {large:d} {sweep:d} {x} 1")
    assert made[-1][-2:] == pytest.approx([x, 1])
    phi = math.radians(turned)

    def flat(px: float, py: float) -> tuple[float, float]:
        return (px * math.cos(phi) + py * math.sin(phi)) / rx, (py * math.cos(phi) - px * math.sin(phi)) / ry

    chord = math.dist(flat(0, 0), flat(x, 1))
    points = [flat(0, 0), *(flat(*s[-2:]) for s in made[1:])]
    if chord <= 2:
        for a in points:
            for b in points:
                assert math.dist(a, b) <= 2 + 1e-6
    assert len(made) <= 5


def test_colours_widths_and_letters_become_those_of_sheets(tmp_path: Path) -> None:
    file = tmp_path / "beacon.svg"
    inside = (
        '<title>Beacon</title><rect x="-5" y="-5" width="9" height="9" style="fill:white;stroke:#000;stroke-width:.6"/>'
        '<circle r="2" fill="#000000"/><text y="4.5" font-size="3.7" text-anchor="middle">B1</text>'
    )
    file.write_bytes(svg(inside))
    symbol = read_svg(file, catalogue.symbol)
    assert (symbol.name, symbol.kind, symbol.slug, symbol.is_own) == ("Beacon", "load", "beacon", True)
    shape = catalogue.shape(symbol)
    box, dot, letters = shape.primitives
    assert isinstance(box, Stroke)
    assert isinstance(dot, Stroke)
    assert isinstance(letters, Text)
    assert (box.width, box.fill, dot.width, dot.fill) == (0.7, "white", 0.0, "black")
    assert (letters.text, letters.height, letters.y) == ("B1", 2.5, pytest.approx(4.5))
    assert shape.ports == catalogue.shape("load").ports
    assert catalogue.shape(symbol, "IEEE 315").primitives == shape.primitives


def test_ports_bring_a_drawing_made_elsewhere_to_its_place(tmp_path: Path) -> None:
    moved = f'<g transform="translate(40 70)"><path d="M0 5V-5" stroke="black"/>{PORTS}</g>'
    file = tmp_path / "far.svg"
    file.write_bytes(svg(moved, ports=""))
    (stroke,) = catalogue.shape(read_svg(file, catalogue.symbol)).primitives
    assert isinstance(stroke, Stroke)
    assert stroke.segments == (("M", 0.0, 5.0), ("L", 0.0, -5.0))


@pytest.mark.parametrize(
    ("inside", "told"),
    [
        ("<script>alert(1)</script>", "<script>: it is not read in a symbol"),
        ("<g><style>path{}</style></g>", "<style>: it is not read in a symbol"),
        ('<image href="a.png"/>', "<image>: attribute href is not read"),
        ('<image x="1"/>', "<image>: it is not read in a symbol"),
        ("<defs><script/></defs>", "<script>: it is not read"),
        ('<use xmlns:x="http://www.w3.org/1999/xlink" x:href="#a"/>', "<use>: attribute href"),
        ('<path id="p" d="M0 0" onclick="x()"/>', '<path id="p">: attribute onclick is not read'),
        ('<path d="M0 0L1 1" fill="url(#g)"/>', "<path>: fill leads to something else"),
        ('<path d="M0 0L1 1" style="fill: url( #g)"/>', "<path>: style leads to something else"),
        ('<path d="M0 0Q1 1 2 2" stroke="black"/>', "<path>: d: command Q is not read; M L H V C A Z are"),
        ('<path d="M0 0L1" stroke="black"/>', "<path>: d: L takes 2 numbers"),
        ('<path d="L1 1" stroke="black"/>', "<path>: d: a path begins with M"),
        ('<path d="M0 0L1e9 0" stroke="black"/>', "<path>: d: 1e9 is beyond 100000"),
        ('<path d="M0 0L1 1" stroke="red"/>', "<path>: stroke: expected black, white or none, found 'red'"),
        ('<path d="M0 0L1 1" stroke="black" stroke-dasharray="1 1"/>', "<path>: stroke-dasharray: a sheet cannot show"),
        ('<rect width="2" height="2" rx="1"/>', "<rect>: rounded corners are not read"),
        ('<rect width="0" height="2"/>', "<rect>: width: expected more than 0, found 0"),
        ('<circle r="-1"/>', "<circle>: r: expected more than 0, found -1"),
        ('<circle r="a"/>', "<circle>: r: expected a number, found 'a'"),
        ('<polygon points="1 2 3"/>', "<polygon>: points: expected pairs of numbers"),
        ('<g transform="skewX(3)"/>', "<g>: transform: expected translate, scale or rotate, found 'skewX'"),
        ('<g transform="matrix(1 0 0 1 0 0)"/>', "<g>: transform: expected translate"),
        ('<g transform="scale(0)"/>', "<g>: transform: a scale of 0"),
        ("<text>a<tspan>b</tspan></text>", "<tspan>: text holds plain words only"),
        ('<text font-size="2">small</text>', "<text>: capitals 1.4 mm high; expected 2.5 to 5 mm"),
        ('<text font-size="4">much too long words</text>', "<text>: 19 characters; 12 are the most"),
        ('<text font-size="4" transform="rotate(90)">up</text>', "<text>: letters stand upright"),
        ('<circle id="port-in" r="1"/>', '<circle id="port-in">: there are two ports in'),
        ('<rect id="port-x" width="1" height="1"/>', '<rect id="port-x">: a port is a circle'),
        ("<filter/>", "<filter>: it is not read in a symbol"),
        ('<path d="M0 0"><path d="M0 0"/></path>', "<path>: it stands in <path>, which holds no element"),
        ("<?xml-stylesheet href='a.css'?>", "a processing instruction is not read: xml-stylesheet"),
        ("<g>", "this is no well-formed XML"),
        ("&amp;&unknown;", "this is no well-formed XML"),
        ("<g>" * 30 + "</g>" * 30, "<g>: elements stand in more than 24 others"),
        ("<g/>" * 1001, "<g>: more than 1000 elements"),
    ],
)
def test_what_is_not_safe_or_cannot_be_shown_is_told(inside: str, told: str) -> None:
    with pytest.raises(SymbolError) as fault:
        parse(svg(PORTS + inside, ports=""), "mine.svg")
    assert str(fault.value).startswith("mine.svg: line 1: ")
    assert told in str(fault.value)


def test_no_entity_is_ever_resolved() -> None:
    bomb = b'<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]><svg>&b;</svg>'
    with pytest.raises(SymbolError, match="a document type is not read"):
        parse(bomb, "bomb.svg")
    with pytest.raises(SymbolError, match="300000 bytes are more than the 262144"):
        parse(b" " * 300_000, "large.svg")
    with pytest.raises(SymbolError, match="expected <svg>"):
        parse(b"<html/>", "page.svg")


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (svg("", 'data-kind="lode"'), "there is no kind of equipment 'lode'"),
        (svg("", ""), 'expected data-kind="..."'),
        (svg("", 'data-kind="bus_bar"'), "the symbol of 'bus_bar' stretches"),
        (svg("", 'data-kind="motor"'), "port-neg lies +0.00 mm across and +2.50 mm down from where the kind has it"),
        (svg("", 'data-kind="fuse"'), "port-neg: the kind 'fuse' has no such terminal; it has in, out"),
        (svg("", ports=""), "the port of terminal in is missing"),
        (svg(""), "nothing is drawn in it"),
        (
            svg('<g id="position-open"><path d="M0 0L1 1" stroke="black"/></g>'),
            "expected the positions none, found open",
        ),
    ],
)
def test_what_does_not_fit_its_kind_is_told(tmp_path: Path, data: bytes, told: str) -> None:
    file = tmp_path / "mine.svg"
    file.write_bytes(data)
    with pytest.raises(SymbolError) as fault:
        read_svg(file, catalogue.symbol)
    assert str(fault.value).startswith("mine.svg: ")
    assert told in str(fault.value)


def test_a_switch_is_drawn_in_each_position(tmp_path: Path) -> None:
    ports = '<path id="port-in" d="M0 5"/><path id="port-out" d="M0-5"/>'
    inside = "".join(
        f'<g id="position-{name}"><path d="M0 5L{x} -5" stroke="black"/></g>'
        for name, x in (("open", 3), ("closed", 0))
    )
    (tmp_path / "blade.svg").write_bytes(svg(inside, 'data-kind="battery_switch"', ports))
    (blade,), faults = read_folder(tmp_path)[0].values(), read_folder(tmp_path)[1]
    assert not faults
    assert catalogue.shape(blade, position="open").primitives != catalogue.shape(blade, position="closed").primitives


NAMES = st.sampled_from(
    ["svg", "g", "path", "rect", "circle", "text", "title", "script", "defs", "line", "polygon", "x"]
)
KEYS = st.sampled_from(
    [
        "d",
        "id",
        "transform",
        "fill",
        "stroke",
        "style",
        "r",
        "x",
        "points",
        "width",
        "viewBox",
        "font-size",
        "data-kind",
    ]
)
VALUES = st.one_of(
    st.text("MLHVCAZmlhvcaz0123456789.,- eE+()", max_size=30),
    st.sampled_from(
        ["load", "port-in", "black", "none", "rotate(1)", "scale(1e4)", "10mm", "0 0 1 1", "fill:none;stroke:#000"]
    ),
    st.text(max_size=8),
)


@st.composite
def elements(draw: st.DrawFn, depth: int = 0) -> str:
    name = draw(NAMES)
    given_ = draw(st.dictionaries(KEYS, VALUES, max_size=4))
    told = "".join(
        f' {key}="{value.replace("&", "").replace("<", "").replace(chr(34), "")}"' for key, value in given_.items()
    )
    inside = (
        "".join(draw(st.lists(elements(depth + 1), max_size=3))) if depth < 3 else draw(st.text("ab&<> ", max_size=4))
    )
    return f"<{name}{told}>{inside}</{name}>"


def never_raises_but_symbol_error(data: bytes) -> None:
    told = "fuzzed.svg: "
    try:
        parse(data, "fuzzed.svg")
    except SymbolError as fault:
        told = str(fault)
    assert told.startswith("fuzzed.svg: ")


@pytest.mark.long
@settings(max_examples=600, suppress_health_check=list(HealthCheck))
@given(st.one_of(st.binary(max_size=300), st.lists(elements(), max_size=4).map(lambda e: svg("".join(e)))))
def test_whatever_the_file_holds_only_a_symbol_error_comes(data: bytes) -> None:
    never_raises_but_symbol_error(data)


@pytest.mark.long
@settings(max_examples=2000)
@given(st.text("MLHVCAZmlhvcaz0123456789.,- eE+\x00é", max_size=80))
def test_whatever_a_path_holds_only_a_symbol_error_comes(d: str) -> None:
    never_raises_but_symbol_error(svg(f'<path stroke="black" d="{d}"/>'))


@given(elements())
def test_a_few_strange_files_give_a_symbol_error_or_a_drawing(inside: str) -> None:
    never_raises_but_symbol_error(svg(inside))
