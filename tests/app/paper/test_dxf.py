"""The DXF, read back and audited by ezdxf."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from pathlib import Path as FilePath
from typing import Any

import ezdxf
import pytest
from ezdxf import bbox, recover

from app.drawing.sheets import pictures
from app.paper.dxf import LAYERS, dxf_bytes
from engine.builder import Builder
from engine.clouds import cloud
from engine.files.drawing import load
from engine.meaning import Meaning, Symbol, Thing
from engine.picture import Path, Picture, Primitive, Text, arc, circle, line, polygon, rectangle, text_width

SAMPLES = FilePath(__file__).resolve().parents[3] / "samples"


def read(picture: Picture) -> Any:
    """The drawing as it stands in the file, which needs no mending."""
    document = ezdxf.read(io.StringIO(dxf_bytes(picture).decode()))
    found = document.audit()
    assert (found.errors, found.fixes) == ([], [])
    return document


def page(*primitives: Primitive, title: str = "sheet", meaning: Meaning | None = None) -> Picture:
    return Picture(420.0, 297.0, primitives, title, meaning=meaning)


@pytest.fixture(scope="module")
def ketch() -> tuple[Picture, ...]:
    return pictures(load(SAMPLES / "ketch/ketch.linewright").installation.snapshot())


def test_release_units_and_size() -> None:
    document = read(page(rectangle(0, 0, 420, 297, 0.0, fill="light"), line(20, 10, 410, 287)))
    assert document.dxfversion == "AC1024"  # release 2010
    assert document.header["$INSUNITS"] == 4  # millimetres
    assert document.header["$MEASUREMENT"] == 1
    (stroke,) = document.modelspace().query("LINE")
    # y runs up: 10 mm below the upper edge of A3 is 287 mm above the lower one
    assert (tuple(stroke.dxf.start)[:2], tuple(stroke.dxf.end)[:2]) == ((20, 287), (410, 10))
    assert tuple(document.header["$EXTMAX"])[:2] == (420, 297)


def test_the_layout_is_the_sheet_of_paper_with_a_window_at_true_size() -> None:
    document = read(page(line(0, 0, 1, 1), title="DC main: 24 V / 12 V"))
    (name,) = [n for n in document.layouts.names() if n != "Model"]
    assert name == "DC main 24 V 12 V"
    layout = document.layout(name)
    # ISO 216:2007: A3 is 297 x 420 mm
    assert (layout.dxf.paper_width, layout.dxf.paper_height) == (420, 297)
    assert layout.dxf.left_margin == layout.dxf.top_margin == 0
    window = next(v for v in layout.query("VIEWPORT") if v.dxf.id != 1)
    assert (window.dxf.width, window.dxf.height, window.dxf.view_height) == (420, 297, 297)
    assert window.get_scale() == pytest.approx(1.0)
    assert tuple(window.dxf.center)[:2] == (210, 148.5)
    assert tuple(window.dxf.view_center_point)[:2] == (210, 148.5)
    assert document.layers.get(window.dxf.layer).dxf.plot == 0


def test_strokes_keep_their_width_and_dash() -> None:
    document = read(
        page(line(0, 0, 9, 0, 0.7, dash="dashed"), line(0, 1, 9, 1, 0.35), line(0, 2, 9, 2, 0.25, dash="chain"))
    )
    first, second, third = document.modelspace()
    assert [e.dxf.lineweight for e in (first, second, third)] == [70, 35, 25]  # hundredths of a millimetre
    patterns = {
        e.dxf.linetype: [
            tag.value for tag in document.linetypes.get(e.dxf.linetype).pattern_tags.tags if tag.code == 49
        ]
        for e in (first, third)
    }
    assert list(patterns.values()) == [[3.0, -1.5], [6.0, -1.5, 0.8, -1.5]]
    assert second.dxf.linetype == "BYLAYER"
    assert document.header["$LTSCALE"] == 1.0


def test_curves_are_circles_and_arcs_again() -> None:
    document = read(
        page(
            circle(50, 60, 7),
            arc(100, 60, 5, -90, 90),
            polygon(((10, 10), (20, 10), (15, 20))),
            Path((("M", 0, 100), ("L", 10, 100), *arc(10, 105, 5, -90, 90).segments[1:], ("L", 0, 110))),
            Path((("M", 0, 0), ("C", 10, 30, 20, -30, 30, 0))),
        )
    )
    found = {entity.dxftype(): entity for entity in document.modelspace()}
    assert set(found) == {"CIRCLE", "ARC", "LWPOLYLINE", "SPLINE"}
    assert (*tuple(found["CIRCLE"].dxf.center)[:2], found["CIRCLE"].dxf.radius) == pytest.approx((50, 237, 7), abs=0.01)
    half = found["ARC"]
    assert (*tuple(half.dxf.center)[:2], half.dxf.radius) == pytest.approx((100, 237, 5), abs=0.01)
    assert half.dxf.start_angle % 360 == pytest.approx(270, abs=0.1)
    assert half.dxf.end_angle % 360 == pytest.approx(90, abs=0.1)  # counter-clockwise: the right half
    triangle, bent = document.modelspace().query("LWPOLYLINE")
    assert triangle.closed
    assert len(triangle) == 3
    assert not bent.closed
    assert bbox.extents([bent]).extmax.x == pytest.approx(15, abs=0.01)  # the bow bulges outward
    wave = found["SPLINE"]
    assert wave.construction_tool().point(0.5).isclose((15, 297), abs_tol=0.01)


def test_a_cloud_is_one_curve_that_goes_through_its_corners() -> None:
    made = cloud(((50, 50), (90, 50), (90, 80), (50, 80)))
    (entity,) = read(page(made)).modelspace()
    assert entity.dxftype() == "SPLINE"
    curve = entity.construction_tool()
    corners = [(float(s[-2]), 297 - float(s[-1])) for s in made.segments if s[0] != "Z"]
    found = [curve.point(float(n)) for n in range(len(corners))]
    assert [(round(p.x, 3), round(p.y, 3)) for p in found] == [(round(x, 3), round(y, 3)) for x, y in corners]


@pytest.mark.parametrize("turn", range(0, 360, 45))
def test_an_arc_of_any_turn_keeps_its_ends(turn: int) -> None:
    made = arc(50, 50, 8, turn, turn + 60)
    (entity,) = read(page(made)).modelspace()
    start, end = made.segments[0][-2:], made.segments[-1][-2:]
    wanted = {(round(float(x), 2), round(297 - float(y), 2)) for x, y in (start, end)}
    assert {(round(p.x, 2), round(p.y, 2)) for p in (entity.start_point, entity.end_point)} == wanted


def test_height_of_a_text_is_that_of_a_capital_and_it_is_as_wide_as_measured() -> None:
    document = read(page(Text(100, 50, "F3 Windlass", 3.5, "end", bold=True), Text(10, 90, "up", 2.5, rotation=90)))
    first, second = document.modelspace().query("TEXT")
    assert (first.dxf.text, first.dxf.height) == ("F3 Windlass", 3.5)
    wide = text_width("F3 Windlass", 3.5, bold=True)
    assert tuple(first.dxf.insert)[:2] == pytest.approx((100 - wide, 247), abs=1e-3)
    assert tuple(first.dxf.align_point)[:2] == pytest.approx((100, 247), abs=1e-3)
    assert first.dxf.halign == 5  # fitted between the two, whatever font is there
    assert document.styles.get(first.dxf.style).dxf.font == "FiraSansCondensed-SemiBold.ttf"
    assert document.styles.get(second.dxf.style).dxf.font == "FiraSansCondensed-Regular.ttf"
    assert second.dxf.rotation == 90
    assert second.dxf.align_point.y > second.dxf.insert.y


@pytest.mark.parametrize(
    "told",
    ["50 %% c", "%%c25", "%%%", "100 %", "a^Jb ^", r"\P {x} \\", "<b>&=1+1", "2 × 35 mm² Ω é", "°C ± 5 %%d"],
)
def test_what_a_person_typed_is_no_code(told: str) -> None:
    (text,) = read(page(Text(10, 10, told), title=told)).modelspace().query("TEXT")
    assert text.plain_text().rstrip("\u00a0") == told


def test_the_code_for_a_character_is_none_either() -> None:
    document, _found = recover.read(io.BytesIO(dxf_bytes(page(Text(10, 10, r"\U+0041")))))  # it reads such codes
    (text,) = document.modelspace().query("TEXT")
    assert text.plain_text() == r"\U+0041"


@pytest.mark.parametrize("told", ["a\nb\r\x00\x1b", "\ud800x", "العربية 🙂 日本\u2028", "\u202e", "", "W" * 5000])
def test_whatever_a_person_typed_the_file_needs_no_mending(told: str) -> None:
    thing = Thing("e1", "equipment", "dc", told, told)
    stroke = circle(10, 10, 2, owner="e1")
    document = read(
        page(stroke, Text(5, 5, told), title=told, meaning=Meaning(0, (thing,), (Symbol("e1", told, 9, 9, (stroke,)),)))
    )
    assert len(document.modelspace().query("INSERT")) == 1


def test_what_the_font_lacks_is_a_box_as_in_the_pdf() -> None:
    space = read(page(Text(10, 20, "a☃b"))).modelspace()
    assert [t.dxf.text for t in space.query("TEXT")] == ["a", "b"]
    (box,) = space.query("LWPOLYLINE")
    assert box.closed


def test_areas_are_hatched_and_paper_covers() -> None:
    space = read(page(circle(10, 10, 1, 0.0, fill="black"), circle(30, 10, 2, 0.35, "red", fill="white"))).modelspace()
    assert [e.dxftype() for e in space] == ["HATCH", "WIPEOUT", "CIRCLE"]  # in the order of painting
    assert space[0].dxf.solid_fill == 1
    assert space[2].dxf.color == 1


def test_same_symbol_same_block_wherever_it_stands() -> None:
    def fuse(owner: str, x: float, y: float, long: float = 5.0, ink: Any = "black") -> Symbol:
        strokes = (
            rectangle(x - 1, y - 2, x + 1, y + 2, ink=ink, owner=owner),
            line(x, y - long, x, y + long, owner=owner),
        )
        return Symbol(owner, "fuse", x, y, strokes)

    symbols = fuse("e1", 50, 60.1), fuse("e2", 80.3, 20), fuse("e3", 10, 10, 9.0)
    strokes = [stroke for symbol in symbols for stroke in symbol.strokes]
    things = tuple(
        Thing(f"e{n}", "equipment", family, f"F{n}", f"fuse {n}")
        for n, family in ((1, "dc"), (2, "ac"), (3, "dc"))  # type: ignore[arg-type]
    )
    document = read(page(*strokes, meaning=Meaning(0, things, symbols)))
    inserts = list(document.modelspace().query("INSERT"))
    assert len({e.dxf.name for e in inserts[:2]}) == 1
    assert {e.dxf.name for e in inserts} == {"fuse", "fuse-2"}
    assert [e.dxf.layer for e in inserts] == ["EQUIPMENT-DC", "EQUIPMENT-AC", "EQUIPMENT-DC"]
    assert [e.get_attrib_text("DESIGNATION") for e in inserts] == ["F1", "F2", "F3"]
    assert [e.get_attrib_text("LABEL") for e in inserts] == ["fuse 1", "fuse 2", "fuse 3"]
    assert all(a.is_invisible for e in inserts for a in e.attribs)
    assert not document.modelspace().query("LINE LWPOLYLINE")
    # drawn where it stood
    drawn = bbox.extents([inserts[1]])
    assert (drawn.extmin.y, drawn.extmax.y) == pytest.approx((297 - 25, 297 - 15), abs=0.01)


def test_strokes_drawn_in_another_ink_are_the_symbol_still_and_lost_ones_are_just_strokes() -> None:
    stroke = circle(10, 10, 2, owner="e1")
    symbol = Symbol("e1", "lamp", 10, 10, (stroke, stroke))
    thing = Thing("e1", "equipment", "", "E1")
    both = (stroke._replace(ink="grey"), stroke._replace(ink="grey"))
    document = read(page(*both, meaning=Meaning(0, (thing,), (symbol,))))
    assert [e.dxftype() for e in document.modelspace()] == ["INSERT"]
    assert document.blocks.get("lamp")[0].dxf.color == 8
    alone = read(page(stroke, meaning=Meaning(0, (thing,), (symbol,))))
    assert [(e.dxftype(), e.dxf.layer) for e in alone.modelspace()] == [("CIRCLE", "EQUIPMENT")]


def test_the_ketch_by_layers_and_blocks(ketch: tuple[Picture, ...]) -> None:
    picture = ketch[0]
    document, found = recover.read(io.BytesIO(dxf_bytes(picture)))  # the reader that mends: here is nothing to mend
    assert (found.errors, found.fixes) == ([], [])
    space = document.modelspace()
    assert {layer.dxf.name for layer in document.layers} >= set(LAYERS)
    assert {e.dxf.layer for e in space} <= set(LAYERS)
    # every symbol of the sheet is a block that is told apart by its designation
    assert picture.meaning is not None
    told = sorted(e.get_attrib_text("DESIGNATION") for e in space.query("INSERT"))
    named = {thing.id: thing.designation for thing in picture.meaning.things}
    assert told == sorted(named[symbol.owner] for symbol in picture.meaning.symbols)
    assert {"G1", "F1", "Q1"} <= set(told)
    assert [a.dxf.tag for a in document.blocks.get("fuse-new").attdefs()] == ["DESIGNATION", "LABEL"]
    # every word of the sheet is there
    words = [e.plain_text() for e in space.query("TEXT")]
    wanted = [p.text for p in picture.primitives if isinstance(p, Text) and p.text.strip()]
    inside = [e.plain_text() for b in document.blocks if not b.is_any_layout for e in b.query("TEXT")]
    assert not [text for text in wanted if text not in words and text not in inside]
    assert "Battery fault currents and AC on boats kill. Isolate and prove dead before work." in words
    assert [e for e in space if e.dxf.layer == "RUNS-DC"]
    assert {e.dxf.layer for e in space.query("INSERT")} <= {"EQUIPMENT", "EQUIPMENT-DC", "EQUIPMENT-EARTH"}
    # nothing beyond the sheet
    drawn = bbox.extents(e for e in space if e.dxftype() in ("LINE", "LWPOLYLINE", "CIRCLE", "INSERT"))
    assert drawn.extmin.x >= -0.01
    assert drawn.extmin.y >= -0.01
    assert drawn.extmax.x <= picture.width + 0.01
    assert drawn.extmax.y <= picture.height + 0.01


def test_ac_and_dc_stand_on_their_own_layers(ketch: tuple[Picture, ...]) -> None:
    def families(picture: Picture) -> set[str]:
        return {thing.family for thing in picture.meaning.things if thing.what == "run"} if picture.meaning else set()

    picture = next(p for p in ketch if "ac" in families(p))
    assert {"RUNS-AC", "EQUIPMENT-AC"} <= {e.dxf.layer for e in read(picture).modelspace()}


def test_flags_notes_and_frame_stand_apart() -> None:
    drawn = page(
        rectangle(20, 10, 410, 287, 0.7),
        Text(30, 30, "caption"),
        Text(50, 50, "F1", owner="e1"),
        circle(5, 5, 3, owner="flag:1"),
        Text(400, 20, "DANGER", owner="note:1"),
        line(1, 1, 2, 2, owner="r1"),
        meaning=Meaning(2, (Thing("e1", "equipment", "dc", "F1"), Thing("r1", "run", "earth", "W1"))),
    )
    layers = [e.dxf.layer for e in read(drawn).modelspace()]
    assert layers == ["FRAME", "FRAME", "TEXT", "FINDINGS", "NOTES", "RUNS-EARTH"]


def test_film_is_mirrored() -> None:
    space = read(page(line(20, 10, 60, 10), Text(30, 40, "F3", 3.5))._replace(mirrored=True)).modelspace()
    assert {round(space[0].dxf.start.x), round(space[0].dxf.end.x)} == {400, 360}
    assert space[1].dxf.text_generation_flag == 2
    assert space[1].dxf.insert.x == pytest.approx(390)


def test_an_empty_sheet_and_a_drawing_of_one_thing() -> None:
    assert len(read(Picture(297.0, 210.0)).modelspace()) == 0
    builder = Builder()
    builder.add("battery_bank", "G1")
    (made,) = pictures(builder.installation.snapshot())
    (insert,) = read(made).modelspace().query("INSERT")
    assert insert.get_attrib_text("DESIGNATION") == "G1"


def test_same_picture_same_bytes_and_no_day_in_it(ketch: tuple[Picture, ...]) -> None:
    before = ezdxf.options.write_fixed_meta_data_for_testing
    first = dxf_bytes(ketch[1])
    assert first == dxf_bytes(ketch[1])
    assert ezdxf.options.write_fixed_meta_data_for_testing == before
    lines = first.decode().splitlines()
    dates = {
        name: float(lines[lines.index(name) + 2]) for name in ("$TDCREATE", "$TDUPDATE", "$TDUCREATE", "$TDUUPDATE")
    }
    assert set(dates.values()) == {2451545.0}  # 1 January 2000 as a Julian date, whatever the day


def test_same_bytes_in_another_run_of_the_program(tmp_path: FilePath) -> None:
    code = (
        "import sys\n"
        "from app.paper.dxf import dxf_bytes\n"
        "from engine.picture import Picture, Text, circle, line\n"
        "drawn = circle(9, 9, 3, fill='white'), line(0, 0, 9, 9, dash='chain'), circle(3, 3, 1, fill='black')\n"
        "sys.stdout.buffer.write(dxf_bytes(Picture(100, 80, (*drawn, Text(1, 9, 'F3')), 'sheet')))\n"
    )
    made = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path), "HOME": str(tmp_path)},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(made) == 1
