"""The PDF, read back by other programs."""

from __future__ import annotations

import hashlib
import io
import os
import subprocess
import sys
from pathlib import Path

import pdfplumber
import pypdf
import pytest
from pypdf.generic import ArrayObject

from app.drawing.frame import SIZES, TitleFields, frame
from app.paper.pdf import Written, pdf_bytes, write_pictures
from engine.picture import CAP_HEIGHT, Picture, Text, circle, line, rectangle, text_width

MM = 72 / 25.4
ROOT = Path(__file__).resolve().parents[3]


def read(pictures: list[Picture], title: str = "Power refit", author: str = "the yard") -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(pdf_bytes(pictures, title=title, author=author)[0]))


def page(*primitives: Text, title: str = "sheet") -> Picture:
    return Picture(297, 210, primitives, title)


def characters(data: bytes, number: int = 0) -> list[dict[str, float]]:
    with pdfplumber.open(io.BytesIO(data)) as book:
        return list(book.pages[number].chars)


def frames() -> list[Picture]:
    made = []
    for size in SIZES:
        sheet = frame(size, TitleFields(title=size, legal_owner="Saltmarsh Yard"))
        made.append(Picture(sheet.width, sheet.height, sheet.primitives, size))
    return made


def test_page_size_in_points() -> None:
    # ISO 216:2007: A4 is 210 x 297 mm, A3 297 x 420 mm, A2 420 x 594 mm, A1 594 x 841 mm; a point is 1/72 in
    pages = read(frames()).pages
    for number, (width, height) in enumerate(((297, 210), (420, 297), (594, 420), (841, 594), (279.4, 215.9))):
        box = pages[number].mediabox
        assert float(box.width) == pytest.approx(width / 25.4 * 72, abs=0.01)
        assert float(box.height) == pytest.approx(height / 25.4 * 72, abs=0.01)


def test_only_our_fonts_and_all_embedded() -> None:
    reader = read([*frames(), page(Text(50, 50, "bold", bold=True))])
    found = set()
    for sheet in reader.pages:
        for font in sheet["/Resources"]["/Font"].values():
            font = font.get_object()
            found.add(str(font["/BaseFont"]).split("+")[-1])
            assert "/FontFile2" in font["/FontDescriptor"].get_object()
    assert found == {"FiraSansCondensed-Regular", "FiraSansCondensed-SemiBold"}
    every = [o.get_object() for o in (reader.get_object(n) for n in range(1, len(reader.xref[0]) + 1)) if o is not None]
    assert not [o for o in every if isinstance(o, dict) and o.get("/Subtype") == "/Type1"]


def test_text_is_there_in_its_own_characters() -> None:
    text = read([page(Text(30, 60, "<b>F3 & F4</b> 25,6 V – 2 × 35 mm² é ≥ Ω"))]).pages[0].extract_text()
    assert "<b>F3 & F4</b> 25,6 V – 2 × 35 mm² é ≥ Ω" in text


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
def test_type_is_as_wide_as_the_engine_measures(bold: bool, anchor: str) -> None:
    words = "AVATAR To fi ffl 2/0 AWG"  # pairs a program would kern or join
    data, _written = pdf_bytes([page(Text(100, 80, words, 3.5, anchor, bold))], title="", author="")  # type: ignore[arg-type]
    chars = characters(data)
    assert "".join(c["text"] for c in chars) == words
    width = text_width(words, 3.5, bold)
    left = {"start": 100, "middle": 100 - width / 2, "end": 100 - width}[anchor]
    for n, c in enumerate(chars):
        assert c["x0"] / MM == pytest.approx(left + text_width(words[:n], 3.5, bold), abs=0.005)
    assert chars[-1]["x1"] / MM == pytest.approx(left + width, abs=0.005)
    assert chars[0]["size"] / MM == pytest.approx(3.5 / CAP_HEIGHT, abs=0.001)


def test_turned_type_reads_upward() -> None:
    data, _written = pdf_bytes([page(Text(100, 80, "UPWARD", 2.5, "end", rotation=90))], title="", author="")
    chars = characters(data)
    assert [c["text"] for c in chars] == list("UPWARD")
    tops = [c["top"] / MM for c in chars]
    assert tops == sorted(tops, reverse=True)
    assert tops[-1] == pytest.approx(80, abs=0.01)
    assert chars[0]["bottom"] / MM == pytest.approx(80 + text_width("UPWARD", 2.5), abs=0.01)


def test_what_the_font_lacks_is_a_box_and_reported() -> None:
    words = "a\x00b\n😀\u202eש\ud800z"
    data, written = pdf_bytes([page(Text(100, 80, words))], title=words, author=words)
    assert written.missing_characters == "\x00\n😀\u202eש\ud800"
    with pdfplumber.open(io.BytesIO(data)) as book:
        boxes = book.pages[0].rects + book.pages[0].curves
        last = book.pages[0].chars[-1]
    assert len(boxes) == 6
    assert last["text"] == "z"
    assert last["x0"] / MM == pytest.approx(100 + text_width(words[:-1]), abs=0.005)


def test_strokes_stand_where_they_were_put() -> None:
    strokes = (
        line(20, 30, 120, 30, 0.7),
        rectangle(20, 40, 60, 50, 0.35, "red", fill="light", dash="dashed", cap="round", join="bevel"),
        circle(100, 100, 8),
    )
    data, _written = pdf_bytes([Picture(297, 210, strokes)], title="", author="")
    with pdfplumber.open(io.BytesIO(data)) as book:
        one = book.pages[0].lines[0]
        box = book.pages[0].rects[0]
        ring = book.pages[0].curves[0]
    assert [one[k] / MM for k in ("x0", "x1", "top", "linewidth")] == pytest.approx([20, 120, 30, 0.7], abs=0.01)
    assert [box[k] / MM for k in ("x0", "top", "x1", "bottom")] == pytest.approx([20, 40, 60, 50], abs=0.01)
    assert [ring[k] / MM for k in ("x0", "top", "x1", "bottom")] == pytest.approx([92, 92, 108, 108], abs=0.01)
    content = pypdf.PdfReader(io.BytesIO(data)).pages[0].get_contents().get_data()
    assert b"[3 1.5] 0 d" in content
    assert b"1 J\n2 j" in content


def test_links_lead_to_their_places_and_dead_ones_are_reported() -> None:
    first = Picture(297, 210, (Text(30, 60, "Q10, sheet 2", link="Q10@2"), Text(30, 80, "gone", link="none")), "DC")
    second = Picture(420, 297, (), "AC", (("Q10@2", 120.0, 50.0),))
    data, written = pdf_bytes([first, second], title="", author="")
    assert written == Written("", 2, ("none",))
    reader = pypdf.PdfReader(io.BytesIO(data))
    links = [a.get_object() for a in reader.pages[0]["/Annots"]]
    assert len(links) == 1
    place, kind, left, top, _zoom = links[0]["/Dest"]
    assert place.get_object() == reader.pages[1]
    assert kind == "/XYZ"
    assert float(left) == pytest.approx(120 * MM, abs=0.01)
    assert float(top) == pytest.approx((297 - 50) * MM, abs=0.01)
    box = [float(v) for v in links[0]["/Rect"]]
    assert box[2] - box[0] == pytest.approx(text_width("Q10, sheet 2") * MM, abs=0.01)


def test_outline_and_document_information() -> None:
    reader = read([page(title="DC main"), page(title="AC main \x07"), page(title="")], "Refit <b>&", "É. Tern")
    names = [str(entry.title) for entry in reader.outline]
    assert names == ["DC main", "AC main \ufffd", "Page 3"]
    assert [reader.get_destination_page_number(entry) for entry in reader.outline] == [0, 1, 2]
    facts = reader.metadata
    assert facts.title == "Refit <b>&"
    assert facts.author == "É. Tern"
    assert not [name for name in facts if "Date" in name]
    assert str(reader.trailer["/Root"]["/Lang"]) == "en"
    assert isinstance(reader.trailer["/ID"], ArrayObject)


def test_nothing_to_print_is_said() -> None:
    with pytest.raises(ValueError, match="no sheet"):
        pdf_bytes([], title="", author="")


def test_the_old_file_stays_when_the_disk_refuses(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError) as caught:
        write_pictures([page()], tmp_path / "none" / "a.pdf", title="", author="")
    assert str(caught.value.filename) == str(tmp_path / "none" / "a.pdf")


MAKE = """
import hashlib, io, sys
from app.drawing.frame import TitleFields, frame
from app.paper.csvfile import csv_bytes, json_bytes
from app.paper.pages import table_pictures
from app.paper.pdf import pdf_bytes
from app.paper.table import Column, Table
from app.paper.xlsx import xlsx_bytes
from engine.picture import Picture, Text

fields = TitleFields(title="Refit", legal_owner="Saltmarsh Yard")
sheet = frame("A3", fields)
links = tuple(Text(50, 50 + n, f"to {n} \u2260 \\u00e9", link=f"a{n}") for n in range(9))
anchors = tuple((f"a{n}", 10.0, n * 5.0) for n in range(9))
table = Table("t", "Parts", (Column("a", "A"), Column("b", "B", "m", "right", 1)), (("x", 1.5), ("y", None)))
pictures = [Picture(420, 297, (*sheet.primitives, *links), "one", anchors), *table_pictures([table], "A4", fields)]
parts = (pdf_bytes(pictures, title="t", author="a")[0], xlsx_bytes([table]), csv_bytes([table]), json_bytes([table]))
print([hashlib.sha256(data).hexdigest() for data in parts])
print(pdf_bytes(pictures, title="t", author="a")[0] == parts[0])
"""


def test_same_bytes_on_every_run() -> None:
    said = []
    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-c", MAKE],
            env={
                **os.environ,
                "PYTHONHASHSEED": seed,
                "PYTHONPATH": str(ROOT),
                "TZ": "UTC" if seed == "1" else "Asia/Tokyo",
            },
            capture_output=True,
            text=True,
            check=True,
        )
        said.append(done.stdout)
    assert said[0] == said[1]
    assert said[0].endswith("True\n")
    assert hashlib.sha256(b"").hexdigest() not in said[0]
