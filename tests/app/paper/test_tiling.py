"""Large sheets cut into pages: put together they are the whole again."""

from __future__ import annotations

import io
import itertools
import struct
import zlib
from typing import Any

import numpy as np
import pypdf
import pytest

from app.drawing.frame import SIZES, TitleFields, frame
from app.paper.pdf import pdf_bytes
from app.paper.png import png_pages
from app.paper.tiling import OVERLAP, TILE_SIZES, grid_for, tiled
from engine.picture import Box, Path, Picture, Text, circle, line, path_box, text_box

PAPERS = [(sheet, tile) for sheet in SIZES for tile in TILE_SIZES]


def sheet(size: str, title: str = "DC distribution") -> Picture:
    made = frame(size, TitleFields(title=title, legal_owner="Saltmarsh Yard"))
    wide, high = made.width, made.height
    more = (
        line(30, 30, wide - 30, high - 60, 0.7),
        circle(wide / 2, high / 2, 40.0, 0.35, fill="light"),
        Text(wide / 2, high / 3, "A long line of type that no page of a small printer holds", 7.0, "middle"),
    )
    anchors = (("corner", 0.0, 0.0), ("middle", wide / 2, high / 2), ("far", wide, high))
    return Picture(wide, high, (*made.primitives, *more), title, anchors)


def parts(made: Picture, tile: str) -> list[tuple[Picture, Box]]:
    """Every page with what of the sheet it shows."""
    grid = grid_for(made, tile)
    assert grid is not None
    pages = tiled([made], tile)
    assert len(pages) == grid.rows * grid.columns
    return [(page, grid.part(n // grid.columns, n % grid.columns, made)) for n, page in enumerate(pages)]


@pytest.mark.parametrize(("size", "tile"), [(s, t) for s, t in PAPERS if SIZES[s][0] > SIZES[t][0] + 20])
def test_pages_cover_the_sheet_and_neighbours_share_a_strip(size: str, tile: str) -> None:
    made = sheet(size)
    found = parts(made, tile)
    xs = sorted({0.0, made.width, *(x for _page, part in found for x in (part.left, part.right))})
    ys = sorted({0.0, made.height, *(y for _page, part in found for y in (part.top, part.bottom))})
    for (x1, x2), (y1, y2) in itertools.product(itertools.pairwise(xs), itertools.pairwise(ys)):
        x, y = (x1 + x2) / 2, (y1 + y2) / 2
        assert any(b.left <= x <= b.right and b.top <= y <= b.bottom for _page, b in found)
    assert (xs[0], xs[-1], ys[0], ys[-1]) == (0.0, made.width, 0.0, made.height)
    for page, part in found:
        assert page.clip is not None
        # true size, and clear of the edge that printers leave blank
        assert page.clip.right - page.clip.left == pytest.approx(part.right - part.left)
        assert page.clip.bottom - page.clip.top == pytest.approx(part.bottom - part.top)
        assert page.clip.left >= 6
        assert page.clip.top >= 6
        assert page.width - page.clip.right >= 6
        assert page.height - page.clip.bottom >= 6
        assert sorted(page[:2]) == sorted(SIZES[tile])
    for (_a, here), (_b, after) in itertools.pairwise(found):
        if after.left > here.left:
            assert here.right - after.left == pytest.approx(OVERLAP)
        else:
            assert max(p.bottom for _page, p in found if p.top < after.top) - after.top == pytest.approx(OVERLAP)


@pytest.mark.parametrize("size", ["A3", "A1", "ANSI D"])
def test_no_primitive_is_lost_and_each_stands_in_its_place(size: str) -> None:
    made = sheet(size)
    seen: dict[int, int] = {}
    for page, part in parts(made, "A4"):
        assert page.clip is not None
        dx, dy = page.clip.left - part.left, page.clip.top - part.top
        held = {_where(p, -dx, -dy) for p in page.primitives}
        for n, primitive in enumerate(made.primitives):
            box = text_box(primitive) if isinstance(primitive, Text) else path_box(primitive)
            if box.meets(part):
                assert _where(primitive) in held
                seen[n] = seen.get(n, 0) + 1
    assert set(seen) == set(range(len(made.primitives)))


def _where(primitive: Path | Text, dx: float = 0.0, dy: float = 0.0) -> object:
    """What a primitive is and where, to a thousandth of a millimetre."""
    if isinstance(primitive, Text):
        return (round(primitive.x + dx, 3) + 0, round(primitive.y + dy, 3) + 0, *primitive[2:])
    by = (dx, dy)
    moved = [(s[0], *(round(float(v) + by[n % 2], 3) + 0 for n, v in enumerate(s[1:]))) for s in primitive.segments]
    return (tuple(moved), *primitive[1:])


def test_glued_together_the_pages_look_like_the_sheet() -> None:
    made = sheet("A3")
    dots = 5  # a millimetre, 127 in an inch; all sizes here are whole millimetres

    def seen(pages: tuple[Picture, ...], size: tuple[int, int]) -> list[Any]:
        made = png_pages(pdf_bytes(pages, title="", author="")[0], 127)
        return [_grey(data, size[0] * dots, size[1] * dots) for data in made]

    (whole,) = seen((made,), (420, 297))
    pages = seen(tiled([made], "A4"), (297, 210))
    glued = np.zeros((297 * dots, 420 * dots), int)
    for image, (page, part) in zip(pages, parts(made, "A4"), strict=True):
        assert page.clip is not None
        left, top, right, bottom = (round(v * dots) for v in page.clip)
        x, y = round(part.left * dots), round(part.top * dots)
        glued[y : y + bottom - top, x : x + right - left] = image[top:bottom, left:right]
    gap = abs(glued - whole)
    assert gap.max() < 60  # the edge of a letter is rounded otherwise here and there
    assert gap.mean() < 0.1
    assert (whole < 128).mean() > 0.01  # something is drawn


def _grey(data: bytes, wide: int, high: int) -> Any:
    assert struct.unpack(">II", data[16:24]) == (wide, high)
    at = data.index(b"IDAT")
    (length,) = struct.unpack(">I", data[at - 4 : at])
    rows = np.frombuffer(zlib.decompress(data[at + 4 : at + 4 + length]), np.uint8).reshape(high, wide * 3 + 1)
    return rows[:, 1::3].astype(int)


def test_what_lies_outside_the_cut_is_said_in_words_and_as_a_map() -> None:
    for page, _part in parts(sheet("A3"), "A4"):
        assert page.clip is not None
        for primitive in page.around:
            box = text_box(primitive) if isinstance(primitive, Text) else path_box(primitive)
            assert not box.meets(page.clip)
            assert box.left >= 5
            assert box.top >= 5
            assert box.right <= page.width - 5
            assert box.bottom <= page.height - 5
    pages = tiled([sheet("A3")], "A4")
    told = [next(p.text for p in page.around if isinstance(p, Text)) for page in pages]
    assert told == [f"DC distribution: row {row} of 2, column {column} of 2" for row in (1, 2) for column in (1, 2)]
    maps = [[p for p in page.around if isinstance(p, Path) and len(p.segments) == 5] for page in pages]
    assert [[p.fill for p in each].index("black") for each in maps] == [0, 1, 2, 3]
    assert {len(each) for each in maps} == {4}


@pytest.mark.parametrize("title", ["", "W" * 400, "<b>&\n🙂 العربية"])
def test_any_title_has_room(title: str) -> None:
    for page in tiled([sheet("A1", title)], "A4"):
        boxes = [text_box(p) for p in page.around if isinstance(p, Text)]
        assert all(box.right < page.width - 10 for box in boxes)
        first = next(p.text for p in page.around if isinstance(p, Text))
        assert " of 4" in first or " of 5" in first


def test_what_fits_stays_as_it_is_and_in_order() -> None:
    small, large = sheet("A4"), sheet("A3")
    pages = tiled([small, large, small], "A4")
    assert pages[0] is small
    assert pages[-1] is small
    assert len(pages) == 6
    upright = Picture(210.0, 297.0)
    assert tiled([upright], "A4") == (upright,)
    assert tiled([large], "A3") == (large,)


def test_marks_point_at_every_corner_of_the_cut() -> None:
    for page in tiled([sheet("A2")], "Letter"):
        assert page.clip is not None
        ends = {(round(s[1], 3), round(s[2], 3)) for p in page.around if isinstance(p, Path) for s in p.segments[:1]}
        left, top, right, bottom = page.clip
        for x, out in ((left, -0.5), (right, 0.5)):
            for y, up in ((top, -0.5), (bottom, 0.5)):
                assert (round(x + out, 3), round(y, 3)) in ends
                assert (round(x, 3), round(y + up, 3)) in ends


def test_links_lead_to_the_page_that_shows_the_place() -> None:
    made = sheet("A3")
    made = made._replace(primitives=(*made.primitives, Text(40, 40, "to the far corner", link="far")))
    reader = pypdf.PdfReader(io.BytesIO(pdf_bytes(tiled([made], "A4"), title="", author="")[0]))
    assert reader.pages[0]["/Annots"]
    (link,) = reader.pages[0]["/Annots"]
    place, _kind, left, top, _zoom = link.get_object()["/Dest"]
    assert place.get_object() == reader.pages[3]
    # the sheet's lower right corner, where the page shows it: from the paper's lower left, in points
    clip = tiled([made], "A4")[3].clip
    assert clip is not None
    assert float(left) == pytest.approx(clip.right * 72 / 25.4, abs=0.01)
    assert float(top) == pytest.approx((210 - clip.bottom) * 72 / 25.4, abs=0.01)
    # not from pages that do not show the words
    assert all("/Annots" not in page for page in reader.pages[1:])


def test_paper_that_no_printer_here_holds() -> None:
    with pytest.raises(KeyError):
        tiled([sheet("A3")], "A2")
