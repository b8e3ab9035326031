"""`linewright print` in every form, and cut to a printer's paper."""

from __future__ import annotations

import io
import struct
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pypdf
import pytest

Run = Callable[..., tuple[int, str, str]]
Drawing = Callable[..., Path]
MM = 72 / 25.4


def test_one_svg_a_page_and_the_output_says_which(run: Run, drawing: Drawing) -> None:
    code, out, err = run("print", drawing(), "-o", "out.svg")
    assert (code, err) == (0, "")
    files = sorted(Path().glob("out*.svg"))
    assert len(files) > 1  # a cover and a sheet
    assert out.startswith(f"out-01.svg to {files[-1].name} written: {len(files)} pages")
    words = {t.text for t in ET.parse(files[-1]).iter("{http://www.w3.org/2000/svg}text")}
    assert {"G1", "F1", "E1"} <= words
    assert "Battery fault currents and AC on boats kill. Isolate and prove dead before work." in words


def test_png_in_dots_per_inch(run: Run, drawing: Drawing) -> None:
    code, _out, err = run("print", drawing(), "-o", "out.png", "--dpi", "50", "--size", "A4")
    assert (code, err) == (0, "")
    data = Path("out-01.png").read_bytes()
    # ISO 216:2007: A4 is 210 x 297 mm, 585 by 413 dots at 50 dpi
    assert struct.unpack(">II", data[16:24]) == (585, 413)


def test_dxf_of_a_sheet(run: Run, drawing: Drawing) -> None:
    code, _out, err = run("print", drawing(), "-o", "out.dxf")
    assert (code, err) == (0, "")
    last = max(Path().glob("out*.dxf"))
    document = ezdxf.read(io.StringIO(last.read_text("utf-8")))
    told = {e.get_attrib_text("DESIGNATION") for e in document.modelspace().query("INSERT")}
    assert told == {"G1", "F1", "E1"}


def test_a_large_sheet_on_small_paper(run: Run, drawing: Drawing) -> None:
    code, out, err = run("print", drawing(), "-o", "out.pdf", "--size", "A2", "--tile", "a4")
    assert (code, err) == (0, "")
    pages = pypdf.PdfReader("out.pdf").pages
    assert len(pages) >= 16  # a cover and a sheet, eight of each
    assert f"out.pdf written: {len(pages)} pages" in out
    for page in pages:
        size = sorted(float(v) / MM for v in (page.mediabox.width, page.mediabox.height))
        assert size == pytest.approx([210, 297], abs=0.01)
    assert "row 1 of 2, column 2 of 4" in pages[1].extract_text()


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (("out.png", "--dpi", "5000"), "expected 20 to 1200, found '5000'"),
        (("out.png", "--dpi", "many"), "expected 20 to 1200, found 'many'"),
        (("out.png", "--dpi", "1200", "--size", "A1"), "39732 by 28063 dots at 1200 dpi; at most 622 dpi fit"),
        (("out.pdf", "--tile", "A2"), "expected one of A4, A3, Letter, Tabloid, found 'A2'"),
        (("out.dxf", "--tile", "A4"), "a DXF holds each sheet whole; --tile is for PDF, SVG and PNG"),
        (("out.jpg",), "the ending is .jpg, expected .pdf or .svg or .png or .dxf"),
    ],
)
def test_what_cannot_be_done_is_said_and_nothing_is_written(
    asked: tuple[str, ...], told: str, run: Run, drawing: Drawing
) -> None:
    code, _out, err = run("print", drawing(), "-o", *asked)
    assert code == 2
    assert told in err
    assert not list(Path().glob("out*"))


def test_pages_left_from_an_earlier_set_are_said(run: Run, drawing: Drawing) -> None:
    file = drawing()
    Path("out-09.svg").write_text("old")
    code, _out, err = run("print", file, "-o", "out.svg")
    assert code == 0
    assert err == "out-09.svg is not of this set; it is left as it was\n"
    assert Path("out-09.svg").read_text() == "old"


def test_a_sheet_is_not_drawn_anew_for_smaller_paper_unasked(run: Run) -> None:
    launch = Path(__file__).parents[2] / "samples" / "launch" / "launch.linewright"
    code, _out, err = run("print", launch, "-o", "out.pdf", "--size", "A4")
    assert code == 2
    assert err.startswith("linewright: sheet 1 is drawn on Tabloid: ")
    assert "do not fit A4; --tile A4 cuts each sheet into pages of it, --lay-out draws it anew" in err
    assert not Path("out.pdf").exists()
    code, _out, err = run("print", launch, "-o", "out.pdf", "--size", "A4", "--lay-out")
    assert code == 0
    sizes = {round(float(page.mediabox.width) / MM) for page in pypdf.PdfReader("out.pdf").pages}
    assert 297 in sizes


def test_larger_paper_leaves_everything_where_it_stands(run: Run) -> None:
    launch = Path(__file__).parents[2] / "samples" / "launch" / "launch.linewright"
    code, _out, err = run("print", launch, "-o", "out.pdf", "--size", "ANSI C")
    assert (code, err) == (0, "")
    assert len(pypdf.PdfReader("out.pdf").pages) == 2
