"""Photographs on pages: where they stand, read back from the PDF and off the rasterised page."""

from __future__ import annotations

import io

import pdfplumber
import pypdfium2
import pytest
from PIL import Image

from app.drawing.frame import TitleFields
from app.paper.blocks import Block, Heading, Paragraph, Photo
from app.paper.mono import in_mono
from app.paper.pdf import pdf_bytes
from app.paper.setting import room_of, set_blocks
from app.paper.tiling import tiled
from engine.picture import Picture

FIELDS = TitleFields(title="Report")


def photo(colour: str, width: float = 80.0, height: float = 60.0, caption: str = "") -> Photo:
    out = io.BytesIO()
    Image.new("RGB", (160, 120), colour).save(out, "JPEG")
    return Photo(out.getvalue(), width, height, caption)


def pages(*blocks: Block) -> tuple[Picture, ...]:
    return set_blocks(blocks, size="A4", fields=FIELDS, upright=True)


def images(made: tuple[Picture, ...]) -> list[list[tuple[float, float, float, float]]]:
    """Per page, in mm: left, top, width, height of every image."""
    data, _written = pdf_bytes(made, title="t", author="a")
    with pdfplumber.open(io.BytesIO(data)) as book:
        mm = 25.4 / 72
        return [
            [
                (i["x0"] * mm, i["top"] * mm, (i["x1"] - i["x0"]) * mm, (i["bottom"] - i["top"]) * mm)
                for i in page.images
            ]
            for page in book.pages
        ]


def test_two_stand_side_by_side_the_third_below() -> None:
    ((first, second, third),) = images(pages(Heading("x"), photo("red"), photo("blue"), photo("green")))
    assert first[2:] == pytest.approx((80, 60), abs=0.01)
    assert second[1] == pytest.approx(first[1], abs=0.01)
    assert second[0] > first[0] + 80
    assert third[1] > first[1] + 60
    assert third[0] == pytest.approx(first[0], abs=0.01)


def test_a_hundred_lie_on_the_pages_none_over_another_none_beyond_the_frame() -> None:
    made = pages(
        *(photo("red", caption=f"Photograph {n} with a caption that takes two lines of it") for n in range(100))
    )
    wide, high = room_of("A4", upright=True)
    told = images(made)
    assert sum(map(len, told)) == 100
    for on_page in told:
        for n, (left, top, width, height) in enumerate(on_page):
            assert 27 <= left <= left + width <= 27.6 + wide
            assert 17 <= top <= top + height <= 210 + high
            for other in on_page[n + 1 :]:
                apart = other[0] >= left + width or left >= other[0] + other[2]
                assert apart or other[1] >= top + height or top >= other[1] + other[3]


def test_it_is_seen_in_its_colours_and_in_grey_where_that_is_asked() -> None:
    made = pages(photo("red"))
    for page, is_red in ((made[0], True), (in_mono(made[0]), False)):
        data, _written = pdf_bytes([page], title="t", author="a")
        image = pypdfium2.PdfDocument(data)[0].render(scale=2).to_pil().convert("RGB")
        x, y = page.photographs[0].left + 20, page.photographs[0].top + 20
        red, green, _blue = image.getpixel((round(x * 2 * 72 / 25.4), round(y * 2 * 72 / 25.4)))
        assert (red > 200 and green < 40) if is_red else abs(red - green) < 5


def test_a_sheet_cut_into_pages_shows_each_part_of_it() -> None:
    under = pages(photo("red"))[0].photographs[0]
    sheet = Picture(420, 297, photographs=(under._replace(left=200, top=140, width=160, height=120),))
    data, _written = pdf_bytes(tiled([sheet], "A4"), title="t", author="a")
    assert all(page.images for page in pdfplumber.open(io.BytesIO(data)).pages)


def test_words_follow_below_it() -> None:
    (page,) = pages(photo("red", caption="What it shows"), Paragraph("After it"))
    data, _written = pdf_bytes([page], title="t", author="a")
    with pdfplumber.open(io.BytesIO(data)) as book:
        words = {w["text"]: w["top"] for w in book.pages[0].extract_words()}
        (image,) = book.pages[0].images
    assert image["bottom"] < words["shows"] < words["After"]
