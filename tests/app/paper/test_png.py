"""The PDF as PNG, read back byte by byte and beside what pdfium itself draws."""

from __future__ import annotations

import struct
import zlib

import pypdfium2
import pytest

from app.paper.pdf import pdf_bytes
from app.paper.png import TooManyDots, png_pages
from engine.picture import Picture, Text, circle, line, rectangle

SHEET = Picture(
    420.0,
    297.0,
    (
        rectangle(20, 10, 410, 287, 0.7),
        line(0, 0, 420, 297, 0.35, "red"),
        circle(210, 148, 40, fill="blue"),
        Text(60, 60, "F3 Windlass", 7.0, bold=True),
    ),
    "sheet",
)
CARD = Picture(148.0, 210.0, (Text(10, 30, "Ω", 5.0),), "card")


def pdf(*pictures: Picture) -> bytes:
    return pdf_bytes(pictures, title="t", author="a")[0]


def chunks(data: bytes) -> dict[bytes, bytes]:
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    found: dict[bytes, bytes] = {}
    at = 8
    while at < len(data):
        (length,), name = struct.unpack(">I", data[at : at + 4]), data[at + 4 : at + 8]
        body = data[at + 8 : at + 8 + length]
        assert struct.unpack(">I", data[at + 8 + length : at + 12 + length])[0] == zlib.crc32(name + body)
        found[name] = found.get(name, b"") + body
        at += 12 + length
    return found


def rows(data: bytes) -> tuple[int, int, bytes]:
    """Width, height and the bare RGB of a PNG whose rows are not filtered."""
    found = chunks(data)
    width, height, depth, kind = struct.unpack(">IIBB", found[b"IHDR"][:10])
    assert (depth, kind) == (8, 2)
    raw, stride = zlib.decompress(found[b"IDAT"]), width * 3 + 1
    assert len(raw) == stride * height
    assert not any(raw[::stride])
    return width, height, b"".join(raw[n * stride + 1 : (n + 1) * stride] for n in range(height))


# ISO 216:2007: A3 is 297 x 420 mm, A5 148 x 210 mm; an inch is 25.4 mm
@pytest.mark.parametrize(("dpi", "a3", "a5"), [(100, (1654, 1169), (583, 827)), (150, (2480, 1754), (874, 1240))])
def test_dots_of_a_page_are_its_size_times_the_resolution(dpi: int, a3: tuple[int, int], a5: tuple[int, int]) -> None:
    pages = list(png_pages(pdf(SHEET, CARD), dpi))
    assert [rows(page)[:2] for page in pages] == [a3, a5]


def test_the_resolution_stands_in_the_file_so_that_it_prints_at_true_size() -> None:
    (page,) = png_pages(pdf(CARD), 254)
    assert struct.unpack(">IIB", chunks(page)[b"pHYs"]) == (10000, 10000, 1)  # dots per metre
    assert set(chunks(page)) == {b"IHDR", b"pHYs", b"IDAT", b"IEND"}  # no date, no words


@pytest.mark.parametrize("dots", [4_000_000, 50_000])
def test_what_is_seen_is_what_pdfium_draws_whatever_the_strips(dots: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.paper.png._STRIP_DOTS", dots)
    data = pdf(SHEET._replace(width=254.0, height=177.8))  # 10 by 7 in: whole dots
    bitmap = pypdfium2.PdfDocument(data)[0].render(scale=60 / 72, rev_byteorder=True)
    whole, stride = bytes(bitmap.buffer), bitmap.stride
    (made,) = png_pages(data, 60)
    width, height, found = rows(made)
    assert (width, height) == (bitmap.width, bitmap.height) == (600, 420)
    expected = b"".join(whole[n * stride : n * stride + width * 3] for n in range(height))
    # a slanted edge is rounded otherwise where it begins above a strip: nothing an eye could see
    assert max(abs(a - b) for a, b in zip(found, expected, strict=True)) <= 4
    assert len(set(found)) > 20  # something is drawn


def test_same_pdf_same_bytes() -> None:
    assert list(png_pages(pdf(SHEET), 72)) == list(png_pages(pdf(SHEET), 72))


@pytest.mark.parametrize("dpi", [0, 19, 1201, -150, 10**9])
def test_a_resolution_nobody_means_is_refused(dpi: int) -> None:
    with pytest.raises(TooManyDots, match=rf"{dpi} dpi is outside 20 to 1200 dpi"):
        png_pages(pdf(CARD), dpi)


def test_a_page_of_too_many_dots_is_refused_before_any_is_made_and_says_what_fits() -> None:
    large = Picture(841.0, 594.0, (), "A1")
    with pytest.raises(TooManyDots, match="page 2 would be 39732 by 28063 dots at 1200 dpi; at most 622 dpi fit"):
        png_pages(pdf(CARD, large), 1200)
