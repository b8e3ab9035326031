"""Pictures under the sheets on paper: where asked and where not, as they were taken, told where they cannot be."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from app.cli import main
from engine.builder import Builder
from engine.edits import Put, apply
from engine.files.drawing import dump
from engine.installation import Placement, Sheet, Underlay

RED = (200, 20, 20)


def photograph(path: Path, size: tuple[int, int] = (400, 200), orientation: int = 1) -> None:
    """Its left half is red, its right half white, before it is turned as the camera was held."""
    image = Image.new("RGB", size, "white")
    image.paste(RED, (0, 0, size[0] // 2, size[1]))
    exif = image.getexif()
    exif[0x0112] = orientation
    image.save(path, exif=exif)


def drawing(folder: Path, **fields: Any) -> Path:
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12)
    made = b.installation
    under = Underlay(file="photo.jpg", left_mm=100, top_mm=50, mm_per_unit=0.25, strength_percent=50, **fields)
    apply(made, Put("sheets", "s90", Sheet(underlay=under)))
    apply(made, Put("placements", "a91", Placement(equipment=made.find("G1")[0][1], sheet="s90", x=10, y=60)))
    path = folder / "a.linewright"
    path.write_bytes(dump(made))
    return path


def printed(path: Path, *options: str) -> tuple[Image.Image, float]:
    """The sheet as it prints, and pixels a mm."""
    import pypdfium2

    out = path.with_suffix(".pdf")
    assert main(["print", str(path), "-o", str(out), *options]) == 0
    with pypdfium2.PdfDocument(out) as book:
        number = next(n for n in range(len(book)) if "G1" in book[n].get_textpage().get_text_range() and n)
        page = book[number]
        scale = page.get_width() / 420.0
        return page.render(scale=2 / scale).to_pil().convert("RGB"), 2.0


def at(sheet: tuple[Image.Image, float], x_mm: float, y_mm: float) -> tuple[int, ...]:
    image, scale = sheet
    found = image.getpixel((round(x_mm * scale), round(y_mm * scale)))
    assert isinstance(found, tuple)
    return found


def near(one: tuple[int, ...], other: tuple[int, ...]) -> bool:
    return all(abs(a - b) < 14 for a, b in zip(one, other, strict=True))


HALF_RED = tuple((c + 255) // 2 for c in RED)  # at 50 % over white paper


def test_it_is_printed_only_where_asked_and_dimmed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    photograph(tmp_path / "photo.jpg")
    path = drawing(tmp_path)
    assert near(at(printed(path), 110, 60), (255, 255, 255))
    asked = printed(path, "--underlay")
    assert near(at(asked, 110, 60), HALF_RED)
    assert near(at(asked, 148, 98), HALF_RED)
    assert near(at(asked, 152, 60), (255, 255, 255))
    assert near(at(asked, 110, 102), (255, 255, 255))
    capsys.readouterr()


@pytest.mark.long
def test_without_colours_it_is_grey(tmp_path: Path) -> None:
    photograph(tmp_path / "photo.jpg")
    grey = at(printed(drawing(tmp_path), "--underlay", "--mono"), 110, 60)
    assert max(grey) - min(grey) < 6


@pytest.mark.long
def test_what_says_itself_that_it_is_printed_is(tmp_path: Path) -> None:
    photograph(tmp_path / "photo.jpg", orientation=6)  # a quarter clockwise: red is above
    sheet = printed(drawing(tmp_path, printed=True))
    assert near(at(sheet, 110, 60), HALF_RED)
    assert near(at(sheet, 145, 60), HALF_RED)
    assert near(at(sheet, 110, 110), (255, 255, 255))


@pytest.mark.parametrize(
    "data",
    [
        None,
        *(
            pytest.param(d, marks=pytest.mark.long)
            for d in (b"no picture at all", b"\xff\xd8\xff\xe0 broken", b"%PDF-1.7 x")
        ),
    ],
)
def test_what_cannot_be_printed_is_told_and_the_drawing_prints(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], data: bytes | None
) -> None:
    if data is not None:
        (tmp_path / "photo.jpg").write_bytes(data)
    sheet = printed(drawing(tmp_path, printed=True))
    assert near(at(sheet, 110, 60), (255, 255, 255))
    told = capsys.readouterr().err
    assert "photo.jpg" in told
    assert "not printed" in told


@pytest.mark.long
def test_a_page_of_a_pdf_lies_in_its_own_points(tmp_path: Path) -> None:
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(400, 200))
    canvas.setFillColorRGB(*(c / 255 for c in RED))
    canvas.rect(0, 0, 200, 200, stroke=0, fill=1)
    canvas.save()
    (tmp_path / "photo.jpg").write_bytes(out.getvalue())  # told by what it is, not by its ending
    sheet = printed(drawing(tmp_path, printed=True))
    assert near(at(sheet, 110, 60), HALF_RED)
    assert near(at(sheet, 152, 60), (255, 255, 255))
    assert near(at(sheet, 110, 102), (255, 255, 255))


def test_a_form_without_pictures_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    photograph(tmp_path / "photo.jpg")
    path = drawing(tmp_path)
    assert main(["print", str(path), "-o", str(tmp_path / "a.svg"), "--underlay"]) == 0
    assert "PDF and PNG only" in capsys.readouterr().err
