"""The empty sheet."""

from __future__ import annotations

import itertools

import pytest

from app.drawing.frame import SIZES, Frame, TitleFields, frame, zone
from app.drawing.title_block import title_fields
from engine.builder import Builder
from engine.cautions import CAUTIONS
from engine.edits import Put, apply
from engine.installation import TitleBlock, Vessel
from engine.picture import Box, Path, Text, text_box

FIELDS = TitleFields(
    legal_owner="Saltmarsh Yard",
    title="DC main distribution",
    supplementary_title="Power refit",
    vessel="Dunlin, 123456",
    document_type="Single-line diagram",
    number="DUN-E-1",
    revision="B",
    created_by="the yard",
    approved_by="not yet",
    date="2026-11-20",
    sheet=1,
    sheets=4,
    status="Draft",
    book="trade-na",
    edition="1",
    open_findings=3,
    waived=0,
    not_judged=2,
)


def texts(made: Frame) -> list[Text]:
    return [p for p in made.primitives if isinstance(p, Text)]


def stroke_box(path: Path) -> Box:
    xs = [v for s in path.segments for v in s[1::2]]
    ys = [v for s in path.segments for v in s[2::2]]
    return Box(min(xs), min(ys), max(xs), max(ys)).grown(path.width / 2)  # type: ignore[type-var]


def test_paper_sizes() -> None:
    # ISO 216:2007, table of the main A series, trimmed sizes; laid on the long side
    assert SIZES["A4"] == (297, 210)
    assert SIZES["A3"] == (420, 297)
    assert SIZES["A2"] == (594, 420)
    assert SIZES["A1"] == (841, 594)
    # 8.5 x 11 in and 11 x 17 in at 25.4 mm
    assert SIZES["Letter"] == pytest.approx((11 * 25.4, 8.5 * 25.4))
    assert SIZES["Tabloid"] == pytest.approx((17 * 25.4, 11 * 25.4))


@pytest.mark.parametrize("size", SIZES)
def test_margins_and_line_of_the_frame(size: str) -> None:
    # ISO 5457:1999 (from memory, not confirmed): 20 mm at the left, 10 mm elsewhere, line 0.7 mm
    made = frame(size, FIELDS)
    width, height = SIZES[size]
    assert made.border == Box(20, 10, width - 10, height - 10)
    outline = made.primitives[0]
    assert isinstance(outline, Path)
    assert outline.width == 0.7
    assert stroke_box(outline) == made.border.grown(0.35)


@pytest.mark.parametrize(
    ("size", "columns", "rows"),
    # ISO 5457:1999, number of fields (from memory, not confirmed): A1 16 x 12, A2 12 x 8, A3 8 x 6, A4 6 x 4
    [("A1", 16, 12), ("A2", 12, 8), ("A3", 8, 6), ("A4", 6, 4)],
)
def test_number_of_fields(size: str, columns: int, rows: int) -> None:
    width, height = SIZES[size]
    last = zone(size, width - 10.1, height - 10.1)
    assert last == f"{'ABCDEFGHJKLM'[rows - 1]}{columns}"
    assert zone(size, 20.1, 10.1) == "A1"


def test_fields_are_50_mm_from_the_centre_and_skip_i_and_o() -> None:
    assert zone("A3", 209.9, 148.4) == "C4"
    assert zone("A3", 210.1, 148.6) == "D5"
    assert zone("A3", 260.1, 198.6) == "E6"
    assert zone("A1", 30, 390) == "H1"
    assert zone("A1", 30, 400) == "J1"
    # outside the frame: the nearest zone
    assert zone("A3", -50, 1000) == "F1"


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("margin", [True, False])
def test_type_neither_overlaps_nor_leaves_the_paper(size: str, margin: bool) -> None:
    made = frame(size, FIELDS, margin=margin)
    boxes = [(t.text, text_box(t)) for t in texts(made)]
    for (one, a), (two, b) in itertools.combinations(boxes, 2):
        assert not a.meets(b), f"{one!r} and {two!r}"
    for text, box in boxes:
        assert box.left >= 5, text
        assert box.top >= 5, text
        assert box.right <= made.width - 5, text
        assert box.bottom <= made.height - 4, text  # room for descenders, which numerals lack
    # no stroke runs through type
    for path in (p for p in made.primitives if isinstance(p, Path) and len(p.segments) == 2):
        for text, box in boxes:
            assert not stroke_box(path).meets(box), text


@pytest.mark.parametrize("size", SIZES)
def test_boxes_keep_clear_of_one_another_and_of_the_frame(size: str) -> None:
    made = frame(size, FIELDS)
    areas = [made.drawing_box, made.margin_box, made.title_box, made.notes_box]
    for a, b in itertools.combinations(areas, 2):
        assert not a.meets(b)
    for area in areas:
        assert area.left < area.right
        assert area.top < area.bottom
        assert area.left >= made.border.left
        assert area.right <= made.border.right
    strokes = [stroke_box(p) for p in made.primitives if isinstance(p, Path) and len(p.segments) == 2]
    for area in (made.drawing_box, made.margin_box, made.notes_box):
        assert not any(area.meets(text_box(t)) for t in texts(made))
        assert not any(area.meets(stroke) for stroke in strokes)


@pytest.mark.parametrize("size", SIZES)
def test_heights_of_type(size: str) -> None:
    # ISO 3098-1 heights (from memory, not confirmed); 1.8 mm for captions of the title block only
    made = frame(size, FIELDS)
    assert made.title_box.right - made.title_box.left <= 180
    for text in texts(made):
        assert text.height in (1.8, 2.5, 3.5)
        if text.height == 1.8:
            assert made.title_box.meets(text_box(text))


@pytest.mark.parametrize("size", SIZES)
def test_title_block_and_cautions_are_all_there(size: str) -> None:
    made = frame(size, FIELDS)
    said = [t.text for t in texts(made)]
    for field in (
        "Saltmarsh Yard", "DC main distribution", "Power refit", "Dunlin, 123456", "Single-line diagram", "DUN-E-1",
        "B", "the yard", "not yet", "2026-11-20", "1 / 4", "Draft", "trade-na, ed. 1", "3", "0", "2",
    ):  # fmt: skip
        assert field in said
    assert " ".join(CAUTIONS) in " ".join(said)
    assert made.cut == ()


def test_nobody_checked() -> None:
    said = [t.text for t in texts(frame("A4", TitleFields()))]
    assert "not checked" in said
    assert said.count("–") == 3


def test_what_is_too_long_wraps_or_is_cut_visibly_and_reported() -> None:
    long = "Auxiliary ketch with a rather long name and a longer description of what she is used for, " * 3
    fields = FIELDS._replace(vessel=long, title=long, supplementary_title=long, created_by="A. Tern\nB. Knot")
    made = frame("A4", fields)
    assert made.cut == ("Title", "Vessel")
    said = texts(made)
    assert any(t.text.endswith("…") for t in said)
    assert {"A. Tern", "B. Knot"} <= {t.text for t in said}
    assert min(t.height for t in said if made.title_box.meets(text_box(t)) and t.height != 1.8) == 2.5
    inside = [t for t in said if made.title_box.meets(text_box(t))]
    for a, b in itertools.combinations(inside, 2):
        assert not text_box(a).meets(text_box(b)), (a.text, b.text)
    assert all(text_box(t).right <= made.title_box.right for t in inside)


def test_fields_of_an_installation() -> None:
    installation = Builder().installation
    apply(installation, Put("title_block", "title_block", TitleBlock(title="Refit", number="P-1", creator="the yard")))
    apply(installation, Put("vessel", "vessel", Vessel(name="Petrel", hin="XX-PET00001")))
    fields = title_fields(installation.snapshot(), "Charging")
    assert fields.title == "Charging"
    assert fields.supplementary_title == "Refit"
    assert fields.vessel == "Petrel, XX-PET00001"
    assert fields.number == "P-1"
    assert fields.open_findings is None
