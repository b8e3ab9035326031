"""Files of own symbols made to do harm: each is refused in one sentence that names it, and none takes long.

What makes XML dangerous is listed by defusedxml's own documentation: entities that unfold, external entities and
documents, deep nesting.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from symbols.own import OwnFault, read_folder
from symbols.reading import MOST_BYTES, Symbol
from symbols.strokes import _COUNTS as SHAPES

GOOD = 'kind = "load"\nname = "Lamp of the yard"\nstrokes = [ { circle = [0, 0, 1] } ]\n'
PORTS = '<circle id="port-in" cx="0" cy="5"/><circle id="port-neg" cx="5" cy="2.5"/><path id="port-earth" d="M5-2.5"/>'
RING = '<circle cx="1" cy="1" r="2" stroke="black" fill="none"/>'


def svg(inside: str = RING, before: str = "", attributes: str = "") -> bytes:
    return (
        f'{before}<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'data-kind="load" {attributes}>{inside}{PORTS}</svg>'
    ).encode()


def one(folder: Path, data: bytes, name: str = "lamp_own.svg") -> tuple[dict[str, Symbol], list[OwnFault]]:
    (folder / name).write_bytes(data)
    symbols, faults = read_folder(folder)
    return symbols, list(faults)


def test_the_parser_is_defused() -> None:
    import defusedxml.ElementTree

    from symbols import _svg_reading

    assert _svg_reading.XMLParser is defusedxml.ElementTree.XMLParser


def test_what_is_whole_is_read(tmp_path: Path) -> None:
    assert list(one(tmp_path, svg())[0]) == ["lamp_own"]
    assert one(tmp_path, GOOD.encode(), "lamp_too.toml")[1] == []


BOMB = "<!DOCTYPE svg [<!ENTITY a0 'x'>" + "".join(
    f"<!ENTITY a{n} '{f'&a{n - 1};' * 10}'>" for n in range(1, 12)
) + "]>"  # fmt: skip
UNSAFE = {
    "entities that unfold": svg("<text x='1' y='1'>&a11;</text>", BOMB),
    "an entity of 100 kB, many times": svg("&a;" * 1000, f"<!DOCTYPE svg [<!ENTITY a '{'x' * 100_000}'>]>"),
    "an external entity": svg("<text>&x;</text>", '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>'),
    "an external document type": svg(before='<!DOCTYPE svg SYSTEM "http://127.0.0.1:9/svg.dtd">'),
    "a parameter entity": svg(before='<!DOCTYPE svg [<!ENTITY % x SYSTEM "file:///etc/hostname"> %x;]>'),
    "a style sheet": svg(before='<?xml-stylesheet href="http://127.0.0.1:9/a.css"?>'),
    "an import of styles": svg("<style>@import url(http://127.0.0.1:9/a.css);</style>"),
    "a script": svg("<script>alert(1)</script>"),
    "a script in an attribute": svg('<circle onload="alert(1)" cx="1" cy="1" r="1" stroke="black"/>'),
    "foreign words": svg('<foreignObject><p xmlns="http://www.w3.org/1999/xhtml">x</p></foreignObject>'),
    "a picture of a file": svg('<image href="file:///etc/passwd" width="9" height="9"/>'),
    "a picture of the old form": svg('<image xlink:href="http://127.0.0.1:9/a.png"/>'),
    "use of another file": svg('<use xlink:href="other.svg#a"/>'),
    "use of itself": svg('<g id="a"><use href="#a"/></g>'),
    "a link": svg('<a href="javascript:alert(1)"><circle cx="1" cy="1" r="1"/></a>'),
    "a fill from elsewhere": svg('<circle cx="1" cy="1" r="1" fill="url(http://127.0.0.1:9/#a)"/>'),
    "an attribute of XInclude": svg('<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" href="/etc/passwd"/>'),
    "tens of thousands of levels": svg("<g>" * 35_000 + RING + "</g>" * 35_000),
    "more elements than any symbol has": svg("<g/>" * 60_000),
    "an attribute of 200 kB": svg(f'<path d="M0 0{"L1 1" * 50_000}" stroke="black"/>'),
    "a name of 200 kB": svg(f"<{'a' * 200_000}/>"),
    "10 000 attributes": svg("<g " + " ".join(f'a{n}="1"' for n in range(10_000)) + " href='x'/>"),
    "a place of 1e308": svg('<circle cx="1e308" cy="1" r="1" stroke="black"/>'),
    "a transform beyond every number": svg('<g transform="scale(99999)">' * 20 + RING + "</g>" * 20),
    "a transform of nan": svg('<g transform="scale(nan)">' + RING + "</g>"),
    "a number of 200 000 digits": svg(f'<circle cx="{"9" * 200_000}" cy="1" r="1" stroke="black"/>'),
    "UTF-7": svg(before='<?xml version="1.0" encoding="utf-7"?>'),
    "an encoding nobody knows": svg(before='<?xml version="1.0" encoding="x-none"?>'),
    "UTF-16 that is none": b"\xff\xfe" + svg(),
    "a zero byte": svg("<g>\0</g>"),
    "nothing": b"",
    "cut short": svg()[:-9],
    "too large": svg(" " * MOST_BYTES),
}  # fmt: skip


@pytest.mark.posix
@pytest.mark.parametrize("what", UNSAFE)
def test_an_svg_made_to_do_harm_is_refused(tmp_path: Path, what: str) -> None:
    from held_back import held_back

    held = held_back(lambda: [str(f.why) for f in one(tmp_path, UNSAFE[what])[1]], mb=200)
    assert (held.fault, held.ended) == (None, "")
    (why,) = held.value
    assert why.startswith("lamp_own.svg: ")
    assert len(why) < 300
    assert why.isprintable()
    assert held.mb < 60


@pytest.mark.posix
def test_nothing_is_fetched_and_no_other_file_is_opened(tmp_path: Path) -> None:
    from held_back import touched_by

    def all_of_them() -> None:
        for data in UNSAFE.values():
            one(tmp_path, data)

    touched = touched_by(all_of_them)
    assert {each.partition(" ")[0] for each in touched} == {"open"}
    assert sum("lamp_own.svg" in each for each in touched) >= len(UNSAFE)
    ours = ("lamp_own.svg", "symbols", "encodings")  # the file, the catalogue, how Python reads the code page it names
    assert [each for each in touched if not any(name in each for name in ours)] == []


def _toml(lines: str) -> bytes:
    return ('kind = "load"\nname = "x"\n' + lines).encode()


ODD = {
    "a number of thousands of digits": _toml(f"strokes = [ {{ circle = [0, 0, {'9' * 5000}] }} ]"),
    "a number of many bits": _toml(f"strokes = [ {{ circle = [0, 0, 0x{'f' * 50_000}] }} ]"),
    "1e999": _toml("strokes = [ { circle = [0, 0, 1e999] } ]"),
    "nan": _toml("strokes = [ { circle = [0, nan, 1] } ]"),
    "minus infinity": _toml("strokes = [ { line = [0, -inf, 1, 1] } ]"),
    "1e308": _toml("strokes = [ { line = [0, 1e308, 1, 1] } ]"),
    "a key twice": _toml("name = 'y'\nstrokes = [ { circle = [0, 0, 1] } ]"),
    "nested lists": _toml("strokes = " + "[" * 50_000),
    "nested tables": _toml("strokes = " + "{a=" * 50_000),
    "a hundred levels": _toml(f"strokes = {'[' * 100}{']' * 100}"),
    "a dotted key": _toml("a." * 100_000 + "a = 1"),
    "a weight that is a list": _toml("strokes = [ { circle = [0, 0, 1], weight = [1] } ]"),
    "a fill that is a table": _toml("strokes = [ { circle = [0, 0, 1], fill = {} } ]"),
    "a link of no length": _toml("strokes = [ { link = [1, 1, 1, 1] } ]"),
    "100 000 strokes": _toml("strokes = [ " + "{line=[0,0,1,1]}," * 14_000 + " ]"),
    "a path of 50 000 pieces": _toml(f"strokes = [ {{ polyline = [{'0,' * 100_000} 1, 1] }} ]"),
    "letters that no sheet has": _toml('strokes = [ { text = "\\u202E\\u0007", at = [0, 0] } ]'),
    "a name that turns the line": _toml("strokes = [ { circle = [0, 0, 1] } ]").replace(b'"x"', b'"\\u202Ex"'),
    "a name that is a command to the terminal": _toml("strokes = []").replace(b'"x"', b'"\\u001b[2J"'),
    "an SVG from elsewhere": _toml('svg = "../../etc/passwd.svg"'),
    "an SVG that is not there": _toml('svg = "none.svg"'),
    "a port of many digits": _toml('svg = "none.svg"\nports.in = [1, 2, 3]'),
    "no UTF-8": _toml("strokes = '\xe9'").decode().encode("latin-1"),
    "a zero byte": _toml("strokes = '\0'"),
    "too large": _toml("#" * MOST_BYTES),
}  # fmt: skip


@pytest.mark.posix
@pytest.mark.parametrize("what", ODD)
def test_a_toml_made_to_do_harm_is_refused(tmp_path: Path, what: str) -> None:
    from held_back import held_back

    held = held_back(lambda: [str(f.why) for f in one(tmp_path, ODD[what], "lamp_own.toml")[1]], mb=200)
    assert (held.fault, held.ended) == (None, "")
    (why,) = held.value
    assert why.startswith("lamp_own.toml: ")
    assert len(why) < 500
    assert why.isprintable()


@pytest.mark.posix
def test_a_pipe_a_folder_and_a_dead_link_in_the_folder_are_passed_over(tmp_path: Path) -> None:
    import os

    os.mkfifo(tmp_path / "pipe.svg")
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "gone.svg").symlink_to(tmp_path / "none.svg")
    assert read_folder(tmp_path) == ({}, ())


def test_an_element_is_named_in_letters_that_show(tmp_path: Path) -> None:
    symbols, (fault,) = one(tmp_path, svg('<circle id="port-\x85\u202e" r="-1"/>'))
    assert symbols == {}
    assert fault.why.isprintable()


values = st.recursive(
    st.one_of(
        st.integers(-3, 3), st.floats(), st.booleans(),
        st.sampled_from(["left", "path", "black", "M", "L", "C", "Z", ""]),
        st.sampled_from([10**400, -(10**9), 1e308]),
    ),
    lambda inner: st.lists(inner, max_size=8) | st.dictionaries(st.sampled_from(["at", "weight"]), inner, max_size=3),
    max_leaves=12,
)  # fmt: skip
strokes = st.dictionaries(
    st.sampled_from([*SHAPES, "segments", "text", "mark", "weight", "fill", "at", "height", "turns", "other"]),
    values | st.lists(st.floats(-9, 9) | st.integers(-9, 9), min_size=2, max_size=8),
    max_size=4,
)  # fmt: skip


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(strokes, max_size=3))
def test_whatever_strokes_are_they_are_drawn_or_refused(tmp_path: Path, given_strokes: list[object]) -> None:
    text = f'kind = "load"\nname = "x"\nstrokes = [{", ".join(map(_written, given_strokes))}]\n'
    symbols, faults = one(tmp_path, text.encode(), "lamp_own.toml")
    assert len(symbols) + len(faults) == 1
    assert all(f.why.startswith("lamp_own.toml: ") and len(f.why) < 500 for f in faults)


def _written(value: object) -> str:
    """As TOML writes it."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {_written(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_written, value)) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else repr(value)
