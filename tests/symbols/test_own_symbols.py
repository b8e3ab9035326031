"""A folder of one's own symbols: what is right is read, what is wrong is told, one file after the other."""

from __future__ import annotations

from pathlib import Path

import pytest

from symbols import catalogue
from symbols.catalogue import IEC, IEEE
from symbols.own import read_folder, signature

BEACON = """
kind = "load"
name = "Beacon"
strokes = [ { rectangle = [-2, -2, 2, 2] }, { circle = [0, 0, 1] } ]
"""
SVG = '<svg xmlns="http://www.w3.org/2000/svg"><rect x="10" y="20" width="10" height="10" stroke="black"/></svg>'
SIDE = """
kind = "load"
name = "Beacon, drawn"
clause = "Yard standard 7"
svg = "drawn.svg"
ports.in = [15, 30]
ports.neg = [20, 27.5]
ports.earth = [20, 22.5]
"""


def test_right_ones_are_read_beside_wrong_ones(tmp_path: Path) -> None:
    (tmp_path / "beacon.toml").write_text(BEACON, "utf-8")
    (tmp_path / "drawn.svg").write_text(SVG, "utf-8")
    (tmp_path / "drawn_beacon.toml").write_text(SIDE, "utf-8")
    (tmp_path / "fuse.toml").write_text(BEACON, "utf-8")
    (tmp_path / "lamp.toml").write_text(BEACON, "utf-8")
    (tmp_path / "broken.toml").write_text("kind = [", "utf-8")
    (tmp_path / "no name.toml").write_text(BEACON, "utf-8")
    (tmp_path / "when.toml").write_text('when.service = ["alarm"]\n' + BEACON, "utf-8")
    (tmp_path / "wide.toml").write_text(BEACON.replace("-2, -2, 2, 2", "-900, -2, 2, 2"), "utf-8")
    (tmp_path / "large.toml").write_text(BEACON.replace("circle = [0, 0, 1]", "link = [0, 0, 1e9, 0]"), "utf-8")
    (tmp_path / "_draft.toml").write_text("?", "utf-8")
    (tmp_path / "notes.txt").write_text("?", "utf-8")
    (tmp_path / "python.py").write_text("raise SystemExit", "utf-8")
    symbols, faults = read_folder(tmp_path)
    assert sorted(symbols) == ["beacon", "drawn_beacon"]
    told = {fault.file: fault.why for fault in faults}
    assert sorted(told) == [
        "broken.toml",
        "fuse.toml",
        "lamp.toml",
        "large.toml",
        "no name.toml",
        "when.toml",
        "wide.toml",
    ]
    assert (
        told["fuse.toml"]
        == told["lamp.toml"].replace("lamp", "fuse")
        == "fuse.toml: the program has a symbol of this name"
    )
    assert "known keys, found 'when'" in told["when.toml"]
    assert "it reaches 2250 mm from its middle; 60 mm are the most" in told["wide.toml"]
    assert all(why.startswith(f"{file}: ") for file, why in told.items())
    beacon, drawn = symbols["beacon"], symbols["drawn_beacon"]
    assert (beacon.name, beacon.kind, beacon.faces[IEC].clause) == ("Beacon", "load", "")
    assert drawn.faces[IEC].clause == "Yard standard 7"
    for of in symbols.values():
        for standard in (IEC, IEEE):
            assert catalogue.shape(of, standard).ports == catalogue.shape("load", standard).ports
    assert catalogue.shape(drawn).box == pytest.approx((-5.5, -5.5, 5.5, 5.5))


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("drawn.svg", "../drawn.svg", "svg: expected the name of an SVG file in the same folder"),
        ("drawn.svg", "gone.svg", "gone.svg: "),
        ("[15, 30]", "[15]", r"ports.in: expected [x, y] in units of the SVG, found [15]"),
        ("[15, 30]", "[15, 31]", "port-neg lies +0.00 mm across and -1.00 mm down"),
        ("ports.in = [15, 30]", "", "the port of terminal in is missing"),
        ("svg =", "size = 3\nsvg =", "expected known keys, found 'size'"),
    ],
)
def test_what_is_wrong_beside_an_svg_is_told(tmp_path: Path, old: str, new: str, told: str) -> None:
    (tmp_path / "drawn.svg").write_text(SVG, "utf-8")
    assert old in SIDE
    (tmp_path / "side.toml").write_text(SIDE.replace(old, new, 1), "utf-8")
    _symbols, faults = read_folder(tmp_path)
    assert told in {fault.file: fault.why for fault in faults}["side.toml"]


def test_two_of_one_name_and_a_folder_that_is_none(tmp_path: Path) -> None:
    (tmp_path / "beacon.toml").write_text(BEACON, "utf-8")
    (tmp_path / "beacon.svg").write_text(SVG.replace("<svg", '<svg data-kind="load"'), "utf-8")
    symbols, faults = read_folder(tmp_path)
    assert list(symbols) == ["beacon"]
    assert len(faults) == 1
    gone = tmp_path / "gone"
    assert signature(gone) == ()
    (fault,) = read_folder(gone)[1]
    assert fault.why.startswith("the folder of your own symbols cannot be read: ")


def test_a_change_of_a_file_is_seen(tmp_path: Path) -> None:
    before = signature(tmp_path)
    (tmp_path / "beacon.toml").write_text(BEACON, "utf-8")
    assert signature(tmp_path) != before
