"""What is wrong with a symbol file is told with the file and the key."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine import picture
from symbols.catalogue import check
from symbols.reading import Symbol, SymbolError, read

GOOD = """
kind = "fuse"
name = "Fuse"
clause = "IEC 60617: fuse"
ports.in = [0, 2, "bottom"]
rest = "open"
strokes = [ { line = [0, -2, 0, 2] }, { mark = "plus", at = [1, 1] } ]
position.open.strokes = [ { circle = [0, 0, 1] } ]

[ieee]
clause = "IEEE 315: fuse"
"""
WAYS = """
[ways]
prefix = "ch"
shown = 2
pitch = 4
port = [0, -2, "top"]
number = [1, 0]
strokes = [ { line = [0, -2, 0, 2] } ]
"""


def made(folder: Path, text: str, name: str = "fuse.toml") -> Symbol:
    file = folder / "protection" / name
    file.parent.mkdir(exist_ok=True)
    file.write_text(text, "utf-8")
    symbol = read(file)
    check(symbol)
    return symbol


def test_a_good_file(tmp_path: Path) -> None:
    symbol = made(tmp_path, GOOD)
    assert (symbol.kind, symbol.family, symbol.positions(), symbol.rest) == ("fuse", "protection", ("open",), "open")
    assert made(tmp_path, GOOD + WAYS).ways is not None


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('kind = "fuse"', 'kind = "fuze"', "kind: expected 'fuse', found 'fuze'"),
        ('name = "Fuse"', "", "name: expected a text, found None"),
        ('name = "Fuse"', "name = [", r"fuse.toml: .*line"),
        ("IEC 60617: fuse", "ISO 14617: fuse", "clause: expected 'IEC 60617...: ...', found 'ISO 14617: fuse'"),
        ("IEEE 315: fuse", "fuse", "ieee.clause: expected 'IEEE 315...: ...', found 'fuse'"),
        ("[ieee]", "[us]", "ieee: expected a table, found None"),
        ("[ieee]", "[ieee]\nstroke = 1", "ieee: expected known keys, found 'stroke'"),
        ('rest = "open"', 'rest = "shut"', "rest: expected one of open, found 'shut'"),
        ('rest = "open"', "", "rest: expected one of open, found ''"),
        ('rest = "open"', 'rest = "open"\nwidth = 1', "expected known keys, found 'width'"),
        ('rest = "open"', 'rest = "open"\nstretches = 1', "stretches: expected true or false, found 1"),
        (
            'rest = "open"',
            'rest = "open"\nstretches = true\nshown = 0',
            "shown: expected a whole number from 1, found 0",
        ),
        ("[0, 2,", "[0.5, 2,", r"ports.in: expected \[x, y, side\] in whole grid steps"),
        ('2, "bottom"]', '2, "below"]', "ports.in: expected .*bottom"),
        ("[0, 2,", '["left", 2,', "ports.in: expected .*whole grid steps"),
        ("ports.in = [", "ports = [", "ports: expected a table"),
        ("strokes = [ { line", "strokes = 1 # [ { line", "strokes: expected a list of strokes, found 1"),
        ("line = [0, -2, 0, 2]", "line = [0, -2, 0]", "strokes, number 1: line: expected 4 numbers, found 3"),
        ("line = [0, -2, 0, 2]", "line = 4", "strokes, number 1: line: expected a list of numbers, found 4"),
        ("line = [0, -2, 0, 2]", 'line = [0, "a", 0, 2]', "line: expected a number, found 'a'"),
        ("line = [0, -2, 0, 2]", 'line = ["left", 0, 0, 2]', "line: expected a number, found 'left'"),
        ("line = [0, -2, 0, 2]", "line = [0, -2, 0, nan]", "line: expected a number, found nan"),
        ("line = [0, -2, 0, 2]", "wave = [0, -2, 0, 2]", "expected exactly one shape, found wave"),
        ("line = [0, -2, 0, 2]", "line = [0, 0, 1, 1], arc = [0, 0, 1, 0, 90]", "expected exactly one shape"),
        ("line = [0, -2, 0, 2]", 'line = [0, 0, 1, 1], weight = "heavy"', "weight: expected one of outline, .*'heavy'"),
        ("line = [0, -2, 0, 2]", 'line = [0, 0, 1, 1], fill = "pink"', "fill: expected one of black, .*'pink'"),
        ("line = [0, -2, 0, 2]", "line = [0, 0, 1, 1], at = [0, 0]", "line has no at"),
        ("line = [0, -2, 0, 2]", "polygon = [0, 0, 1, 1, 2, 2, 3]", r"polygon: expected 6 \+ 2 n numbers, found 7"),
        (
            "line = [0, -2, 0, 2]",
            "curve = [0, 0, 1, 1, 2, 2, 3, 3, 4, 4]",
            r"curve: expected 8 \+ 6 n numbers, found 10",
        ),
        (
            "line = [0, -2, 0, 2]",
            'text = "G", at = [0, 0], height = 1.8',
            "height: expected 2.5 mm or more, found 1.8 mm",
        ),
        ("line = [0, -2, 0, 2]", 'text = "G", at = [0, 0], turns = 1', "turns: expected true or false, found 1"),
        ("line = [0, -2, 0, 2]", 'text = "", at = [0, 0]', "text: expected a word, found ''"),
        ("line = [0, -2, 0, 2]", 'text = "G"', "at: expected a list of numbers, found None"),
        ('mark = "plus"', 'mark = "star"', "strokes, number 2: mark: expected one of .*plus.*, found 'star'"),
        (
            "circle = [0, 0, 1]",
            "circle = [0, 0, 0]",
            "position.open.strokes, number 1: circle: .* radius above 0, found 0",
        ),
        ("{ circle = [0, 0, 1] }", "7", "position.open.strokes, number 1: expected a table, found 7"),
    ],
)
def test_a_fault_is_told(tmp_path: Path, old: str, new: str, told: str) -> None:
    assert old in GOOD
    with pytest.raises(SymbolError, match=f"^symbols/protection/fuse.toml: .*{told}|^symbols/protection/{told}"):
        made(tmp_path, GOOD.replace(old, new, 1))


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("pitch = 4", "pitch = 3", "ways.pitch: expected an even number, found 3"),
        ("shown = 2", "shown = true", "ways.shown: expected a whole number from 1, found True"),
        ("number = [1, 0]", "number = [1]", r"ways.number: expected two numbers, found \[1\]"),
        ("port = [0,", 'port = ["left",', "ways.port: expected"),
        ('prefix = "ch"', 'prefix = ""', "ways.prefix: expected a text, found ''"),
        ("{ line = [0, -2, 0, 2] }", "{ line = [0] }", "ways.strokes, number 1: line: expected 4 numbers, found 1"),
    ],
)
def test_a_fault_in_the_ways_is_told(tmp_path: Path, old: str, new: str, told: str) -> None:
    assert old in WAYS
    with pytest.raises(SymbolError, match=told):
        made(tmp_path, GOOD + WAYS.replace(old, new))


def test_the_other_standard_must_draw_every_position(tmp_path: Path) -> None:
    closed = "position.closed.strokes = [ { circle = [0, 0, 1] } ]\n"
    both = GOOD.replace("position.open", closed + "position.open")
    with pytest.raises(SymbolError, match=r"ieee\.position: expected closed, open, found 'closed'"):
        made(tmp_path, both + closed)


def test_letters_alone_are_no_symbol(tmp_path: Path) -> None:
    text = GOOD.replace("{ line = [0, -2, 0, 2] }, { mark", "{ text = 'G', at = [0, 0] } ] #")
    text = text.replace("rest", "#").replace("position", "#")
    with pytest.raises(SymbolError, match="strokes: expected a stroke beside the letters"):
        made(tmp_path, text)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(SymbolError, match=r"symbols/protection/gone\.toml: "):
        read(tmp_path / "protection" / "gone.toml")


def test_every_stroke_there_is(tmp_path: Path) -> None:
    strokes = """strokes = [
      { line = [0, 0, 1, 0] }, { polyline = [0, 0, 1, 0, 1, 1] }, { polygon = [0, 0, 1, 0, 1, 1] },
      { rectangle = [0, 0, 2, 1] }, { circle = [0, 0, 2] }, { ellipse = [0, 0, 2, 1] }, { arc = [0, 0, 2, 0, 90] },
      { curve = [0, 0, 0, 1, 1, 1, 1, 0] }, { link = [0, 0, 4, 0] }, { line = [0, 0, 0.2, 0], weight = "bus" },
    ] #"""
    symbol = made(tmp_path, GOOD.replace("strokes = [ { line", strokes))
    from symbols.catalogue import shape

    boxes = [picture.path_box(p) for p in shape(symbol).primitives if isinstance(p, picture.Path)]
    sizes = [(round(b.right - b.left, 2), round(b.bottom - b.top, 2)) for b in boxes]
    # 2.5 mm a step, and the stroke's own width; the position's circle comes first
    assert sizes[1:10] == [
        (2.85, 0.35),
        (2.85, 2.85),
        (2.85, 2.85),
        (5.35, 2.85),
        (10.35, 10.35),
        (10.35, 5.35),
        (5.35, 5.35),
        (2.85, 2.22),  # a curve reaches three quarters of the way to its handles
        (10.35, 0.35),
    ]
    assert sizes[10] == (1.9, 1.4)
