"""Schedules and the owner's manual in their files: read back by other programs, whatever a person has typed."""

from __future__ import annotations

import csv
import functools
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pdfplumber
import pypdf
import pytest

from app.drawing.frame import SIZES
from app.handover.document import Document
from app.handover.documents import owners_manual, schedules
from app.handover.job import Job
from app.handover.writing import files_of
from app.paper.csvfile import csv_bytes
from app.paper.pdf import pdf_bytes
from app.paper.xlsx import xlsx_bytes
from engine.builder import Builder
from engine.edits.edit import Put, apply
from engine.files.drawing import load, save
from engine.installation import Settings
from engine.installation.records import Enclosure
from engine.picture import Text
from engine.rules.example_boats import set_condition

NASTY = ("x" * 120, "word " * 60, "", "<b>&=1+1", "emoji 😀 مرحبا", "two\nlines", "=HYPERLINK(1)", "@SUM(A1)", "-1+2")
MAKERS = (schedules.make, owners_manual.make)


def nasty(size: Any = "A4", units: Any = "metric") -> Builder:
    """Every text a person can type is one that breaks tables; figures that nothing has."""
    b = Builder(name=NASTY[0])
    apply(b.installation, Put("settings", "settings", Settings(sheet_size=size, units=units)))
    apply(b.installation, Put("enclosures", "b1", Enclosure(name=NASTY[1])))
    place = b.place("p" * 80)
    text = iter(NASTY * 20)
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=100.0, label=next(text), note=next(text), place="q" * 70)
    b.add("bus_bar", "X1", purpose="pair", label=next(text), enclosure="b1", position=next(text))
    b.run("W0", "G1.pos", "X1.bar", size="2 AWG", length_m=0, colour=next(text), label=next(text))
    for n in range(6):
        b.add("fuse", f"F{n}", rating_a=1e6 if n % 3 else 0.001, marking=next(text), maker=next(text), enclosure="b1")
        b.add("load", f"E{n}" * (30 if n == 5 else 1), dc_v=0.0 if n == 1 else 12, power_w=-5.0 * n, label=next(text))
        b.run(f"W{n}1", "X1.bar", f"F{n}.in", length_m=1e-9, insulation=next(text), old_marking=next(text))
        b.run("" if n == 3 else f"W{n}2", f"F{n}.out", f"E{n}.in" if n != 5 else "E5" * 30 + ".in", size="35 mm2")
    b.add("battery_switch", "Q1", label=next(text), marking="=cmd|' /C calc'!A0")
    b.add("shore_supply", "G9", ac_v=None, label=next(text))
    b.add("anode", "F91", label=next(text))
    b.interlock("Q1", name="=1+1")
    set_condition(b, "=2+2 " + NASTY[1], {"E0": 24.0}, note=next(text))
    assert place
    return b


def job(b: Builder) -> Job:
    return Job.of(b.installation.snapshot(), file_name="boat.linewright")


def job_of(path: Path) -> Job:
    return Job.of(load(path).installation.snapshot(), file_name=path.name)


@functools.cache
def nasty_job(size: str = "A4", units: str = "metric") -> Job:
    return job(nasty(size, units))


@functools.cache
def made(make: Callable[[Job], Document], size: str = "A4", units: str = "metric") -> Document:
    return make(nasty_job(size, units))


def pdf_of(document: Document) -> bytes:
    return pdf_bytes(document.pictures, title="T", author="", language="en")[0]


# -- paper -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("make", "size", "units"),
    [(schedules.make, "A4", "metric"), (owners_manual.make, "Letter", "US")],
    ids=("schedules", "manual"),
)
def test_nothing_leaves_the_frame_or_lies_on_something_else(
    make: Callable[[Job], Document], size: str, units: str
) -> None:
    document = made(make, size, units)
    # ISO 5457:1999 (from memory, not confirmed): the frame stands 20 mm from the left, 10 mm from the other edges
    for picture in document.pictures:
        inside = [p for p in picture.primitives if isinstance(p, Text) and 2.4 < p.height < 3.0]
        assert inside
        for text in inside:
            assert 20.0 <= text.x <= picture.width - 10.0
            assert 10.0 <= text.y <= picture.height - 10.0
    assert_readable(pdf_of(document), pages=2)


@pytest.mark.long
@pytest.mark.parametrize("name", ["ketch", "workboat", "launch"])
def test_the_samples_can_be_read_on_every_page(name: str) -> None:
    path = Path(__file__).parents[3] / "samples" / name / f"{name}.linewright"
    sample = job_of(path)
    for make in MAKERS:
        assert_readable(pdf_of(make(sample)))


def assert_readable(data: bytes, pages: int | None = None) -> None:
    """No word lies on another or leaves the sheet."""
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        for page in pdf.pages[:pages]:
            words = sorted(page.extract_words(), key=lambda w: w["top"])
            for n, one in enumerate(words):
                assert one["x0"] >= 0
                assert one["x1"] <= float(page.width)
                for other in words[n + 1 : n + 60]:
                    wide = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
                    high = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
                    least = min(one["bottom"] - one["top"], other["bottom"] - other["top"])
                    assert wide < 0.5 or high < 0.5 * least, (one["text"], other["text"])


def test_paper_is_that_of_the_drawing() -> None:
    sizes = {"A3": "A3", "A1": "A3", "A4": "A4", "Letter": "Letter", "ANSI D": "Tabloid"}
    for size, wanted in sizes.items():
        b = Builder(name="Sandling")
        apply(b.installation, Put("settings", "settings", Settings(sheet_size=size)))  # type: ignore[arg-type]
        picture = schedules.make(job(b)).pictures[0]
        assert (picture.width, picture.height) == SIZES[wanted]  # ISO 216:2007: A3 is 297 x 420 mm
        text = owners_manual.make(job(b)).pictures[0]
        assert text.width < text.height  # a page of text stands upright


def test_capitals_are_no_lower_than_iso_3098_allows() -> None:
    for make in MAKERS:
        heights = {p.height for pic in made(make).pictures for p in pic.primitives if isinstance(p, Text)}
        assert min(heights) >= 1.8  # captions; ISO 3098-1:2015, from memory, not confirmed
        assert sum(1 for h in heights if h < 2.5) <= 2  # captions of frame and title block alone


# -- tables ----------------------------------------------------------------------------------------------------------
def test_a_workbook_is_ready_to_use_and_runs_nothing() -> None:
    document = made(schedules.make)
    book = openpyxl.load_workbook(io.BytesIO(xlsx_bytes(document.tables, title="=T&P", paper="A3")))
    assert len(book.worksheets) == len(document.tables)
    for sheet, table in zip(book.worksheets, document.tables, strict=True):
        assert sheet.freeze_panes == "B2"
        assert sheet.print_title_rows == "$1:$1"
        assert sheet.page_setup.orientation == "landscape"
        assert int(sheet.page_setup.paperSize) == 8  # A3
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        if table.rows:
            assert sheet.auto_filter.ref.startswith("A1:")
            assert sheet.auto_filter.ref.endswith(str(len(table.rows) + 1))
        assert all(d.width <= 62 for d in sheet.column_dimensions.values())
        assert not [c for row in sheet.iter_rows() for c in row if c.data_type == "f" or c.hyperlink]
        for r, row in enumerate(table.rows, 2):
            for c, value in enumerate(row, 1):
                cell = sheet.cell(r, c)
                if isinstance(value, (int, float)) and not isinstance(value, bool):
                    assert cell.data_type == "n"
                    assert cell.value == pytest.approx(value)
                elif value is None:
                    assert cell.value in ("not known", None)


def test_csv_has_no_cell_that_a_spreadsheet_would_run() -> None:
    for table in made(schedules.make).tables:
        found = list(csv.reader(io.StringIO(csv_bytes([table]).decode("utf-8-sig"))))
        assert len(found) == len(table.rows) + 1
        for row, values in zip(found[1:], table.rows, strict=True):
            for cell, value in zip(row, values, strict=True):
                if isinstance(value, str):
                    assert not cell.startswith(("=", "@", "+", "-", "\t", "\r"))


def test_json_keeps_gaps_as_gaps() -> None:
    (file,) = files_of(made(schedules.make), ".json", nasty_job(), "s")
    told = {t["name"]: t for t in json.loads(file.data)["tables"]}
    assert {row["breaks_a"] for row in told["devices"]["rows"]} == {None}
    assert {row["rating_a"] for row in told["devices"]["rows"]} == {0.001, 1e6}
    assert told["loads"]["rows"][0]["essential"] is None


def test_the_same_drawing_gives_the_same_bytes() -> None:
    for make in MAKERS:
        one, other = made(make), make(job(nasty()))
        assert one.pictures == other.pictures
        assert one.tables == other.tables
    assert xlsx_bytes(one.tables) == xlsx_bytes(other.tables)
    assert pdf_of(one) == pdf_of(other)


# -- the command -----------------------------------------------------------------------------------------------------
Run = Callable[..., tuple[int, str, str]]


def test_schedules_by_command(run: Run, drawing: Callable[..., Path]) -> None:
    drawing("boat.linewright")
    code, out, _err = run("schedules", "boat.linewright", "-o", "s.pdf")
    assert code == 0
    assert "s.pdf written" in out
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader("s.pdf").pages)
    for words in ("Protective devices", "Runs: as laid", "Fuses to carry", "Interlocks", "does not certify"):
        assert words in text
    code, _out, _err = run("schedules", "boat.linewright", "-o", "s.csv")
    assert code == 0
    assert {p.name for p in Path().glob("s-*.csv")} == {f"s-{name}.csv" for name in schedules.SCHEDULES}


def test_only_what_was_asked_for(run: Run, drawing: Callable[..., Path]) -> None:
    drawing("boat.linewright")
    code, _out, _err = run("schedules", "boat.linewright", "-o", "s.xlsx", "--only", "fuses", "runs")
    assert code == 0
    assert openpyxl.load_workbook("s.xlsx").sheetnames == ["Runs", "Fuses to carry"]
    code, _out, err = run("schedules", "boat.linewright", "-o", "s.xlsx", "--only", "fusses")
    assert code == 2
    assert "fusses" in err


def test_a_bad_drawing_is_one_sentence(run: Run) -> None:
    Path("boat.linewright").write_text("{", encoding="utf-8")
    code, _out, err = run("schedules", "boat.linewright", "-o", "s.pdf")
    assert code == 2
    assert "boat.linewright" in err
    assert not Path("s.pdf").exists()


def test_a_drawing_that_nobody_filled_in(run: Run, own_folder: Path) -> None:
    save(Builder().installation, "empty.linewright")
    code, _out, _err = run("paper", "owners-manual", "empty.linewright", "-o", "o.pdf")
    assert code == 0
    text = " ".join(page.extract_text() for page in pypdf.PdfReader("o.pdf").pages)
    for words in ("No battery is drawn", "No shore supply is drawn", "No source of energy is drawn", "Do not"):
        assert words in text
