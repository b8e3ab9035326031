"""The calculation sheets as they are printed and as other programs read them."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from pathlib import Path
from typing import Any

import msgspec
import openpyxl
import pdfplumber
import pypdf
import pytest

from app.cli import main
from app.handover.document import Document
from app.handover.documents.calculations import make
from app.handover.job import Job, Options
from app.handover.writing import write_document
from app.paper.pdf import pdf_bytes
from app.paper.table import as_rows
from engine.builder import Builder
from engine.edits import Put, apply
from engine.files.drawing import load
from engine.installation import Settings, Vessel
from engine.installation.model import Installation
from engine.picture import Text, text_box
from engine.rules.example_boats import set_condition

SAMPLES = Path(__file__).parents[3] / "samples"
WORKBOAT = SAMPLES / "workboat" / "workboat.linewright"
LAUNCH = SAMPLES / "launch" / "launch.linewright"
# "numbers = value" of a formula; the numbers have no letters
NUMBERS = re.compile(r"= ([0-9.()+\-/·√² ]*[0-9)²]) = ([0-9.]+(?:e-?[0-9]+)?)(?= |;|$)")


def document(installation: Installation, **options: Any) -> Document:
    return make(Job.of(installation.snapshot(), options=Options(**options)))


def words(document: Document) -> list[str]:
    """The texts of every page in the order they are drawn, spaces alike."""
    return [
        " ".join(" ".join(each.text for each in picture.primitives if isinstance(each, Text)).split())
        for picture in document.pictures
    ]


def pdf_of(document: Document) -> bytes:
    return pdf_bytes(document.pictures, title=document.title, author="the yard")[0]


@pytest.fixture(scope="module")
def workboat() -> Document:
    return make(Job.of(load(str(WORKBOAT)).installation.snapshot()))


@pytest.fixture(scope="module")
def launch() -> bytes:
    return pdf_of(make(Job.of(load(str(LAUNCH)).installation.snapshot())))


def simple(**load_facts: Any) -> Builder:
    b = Builder(book="us-46cfr")
    b.place("hold", "other", None)
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=400.0, chemistry="AGM", internal_resistance_ohm=1e-6)
    b.add("load", "E1", **{"dc_v": 12, "current_a": 10.0, "drop_class": "other", **load_facts})
    b.run("W1", "G1.pos", "E1.in", function="dc pair", size="12 AWG", length_m=35 * 0.3048, insulation_c=105.0,
          bundle=1, sheath="sheathed", places=("hold",))  # fmt: skip
    set_condition(b, "At anchor", {"E1": 5.0})
    return b


# -- what is printed ------------------------------------------------------------------------------------------------
def test_the_order_of_46_cfr_110_25_1_and_a_summary_in_front(launch: bytes) -> None:
    """Read back from the PDF."""
    read = pypdf.PdfReader(io.BytesIO(launch)).pages
    pages = [" ".join(page.extract_text().split()) for page in read]
    assert "46 CFR 110.25-1(a) and 177.202(b)(4)" in pages[0]
    assert "Nothing on these sheets certifies anything." in pages[0]
    for who in ("Prepared by", "Checked by", "Accepted by"):
        assert who in pages[0]
    assert "Summary, what fails first" in pages[0]
    at = [
        next(n for n, text in enumerate(pages) if title in text)
        for title in (
            "Energy of a load: E = P",
            "2 Short circuit Largest:",
            "3 Protective devices: ratings and breaking capacities F1",
            "4 Cables and voltage drop W1 G1",
        )
    ]
    assert at == sorted(at)
    assert all("Battery fault currents and AC on boats kill." in text for text in pages)


def test_the_summary_names_the_page_a_circuit_stands_on(workboat: Document) -> None:
    pages = words(workboat)
    # a capstan's cable that carries 70 A and is good for 51 A
    line = re.search(r"W21 F5 – M3 4 −[0-9]+ % × fails ([0-9]+)", " ".join(pages))
    assert line is not None
    on = pages[int(line[1]) - 1]
    assert "W21 F5 – M3" in on
    assert "Iz = It · kb · kp = 60 · 1 · 0.85 = 51 A; 70 A > 51 A in At work" in on
    assert "Imax = m · Iz = 1.5 · 51 = 76.5 A; F5: 100 A > 76.5 A" in on


def test_every_formula_on_paper_can_be_checked_by_hand(workboat: Document) -> None:
    checked = 0
    for text in words(workboat):
        for numbers, value in NUMBERS.findall(text):
            sum_ = numbers.replace("·", "*").replace("²", "**2").replace("√", "sqrt")
            assert eval(sum_, {"sqrt": math.sqrt}) == pytest.approx(float(value), rel=1.5e-3), (numbers, value)
            checked += 1
    assert checked > 200


def test_the_columns_of_the_loads_can_be_checked_by_hand(workboat: Document) -> None:
    checked = 0
    for table in workboat.tables:
        if not table.name.startswith("loads"):
            continue
        for row in as_rows(table):
            if None not in (row["power_w"], row["hours"], row["energy_wh"]):
                assert row["energy_wh"] == pytest.approx(row["power_w"] * row["hours"] * row["share"], rel=1e-3)
                checked += 1
            if row["bank_wh"] not in (None, "") and row["energy_wh"] is not None:
                assert row["bank_wh"] == pytest.approx(row["energy_wh"] / row["efficiency"], rel=1e-3)
    assert checked > 10


def test_the_published_circular_mils_stand_on_the_sheet() -> None:
    # 46 CFR 183.340(p), 2015 edition: 12 V, 10 %, 10 A, 35 ft one way: 6271 cmil, 12 AWG
    text = " ".join(words(document(simple().installation)))
    assert "CM = K · I · L / E = 10.75 · 10 · 70 / 1.2 = 6271 cmil" in text
    assert "[46 CFR 183.340(p)]" in text


def test_us_units_have_feet_and_circular_mils() -> None:
    b = simple()
    apply(b.installation, Put("settings", "settings", Settings(units="US", sheet_size="Letter", book="us-46cfr")))
    made = document(b.installation)
    text = " ".join(words(made))
    assert "L = 35 ft [r]" in text
    assert "U = K · I · n · L / CM = 10.78 · 10 · 2 · 35 / 6530 = 1.155 V" in text
    # Letter, ANSI/ASME Y14.1 from memory, not confirmed: 8.5 by 11 in, upright
    assert {(round(p.width, 1), round(p.height, 1)) for p in made.pictures} == {(215.9, 279.4)}


def test_where_a_value_comes_from_stands_behind_it() -> None:
    b = simple()
    item, run = next(iter(b.installation.snapshot().runs.items()))
    origins = (("length_m", "measured"), ("insulation_c", "nameplate"), ("size", "typed"))
    apply(b.installation, Put("runs", item, msgspec.structs.replace(run, origins=origins)))
    text = " ".join(words(document(b.installation)))
    assert "conductor 12 AWG [t]" in text
    assert "insulation 105 °C [p]" in text
    assert "[m]" in text


def test_what_is_not_known_is_a_stated_gap() -> None:
    b = simple(current_a=None)
    made = document(b.installation)
    assert any("E1.current_a" in gap or "E1.power_w" in gap for gap in made.gaps)
    text = " ".join(words(made))
    assert "not judged" in text
    assert "missing: E1." in text


def test_nothing_stands_outside_the_frame_or_on_another_word(launch: bytes) -> None:
    with pdfplumber.open(io.BytesIO(launch)) as pdf:
        for n in (0, 8):
            page = pdf.pages[n]
            found = page.extract_words()
            assert found
            boxes = [(w["x0"], w["top"] + 1.2, w["x1"], w["bottom"] - 1.2) for w in found]
            for a, one in enumerate(boxes):
                assert 0 < one[0] < one[2] < page.width
                assert 0 < one[1] < one[3] < page.height
                for two in boxes[a + 1 :]:
                    meets = one[0] < two[2] - 0.3 and two[0] < one[2] - 0.3 and one[1] < two[3] and two[1] < one[3]
                    assert not meets, (n, found[a]["text"])


def test_text_stands_on_upright_a4_and_within_it(workboat: Document) -> None:
    # ISO 216:2007: A4 is 210 by 297 mm
    assert {(round(p.width), round(p.height)) for p in workboat.pictures} == {(210, 297)}
    for picture in workboat.pictures:
        for each in picture.primitives:
            if isinstance(each, Text):
                box = text_box(each)
                assert 0 < box.left < box.right < 210, each
                assert 0 < box.top < box.bottom < 297, each


def test_the_same_drawing_gives_the_same_bytes() -> None:
    first, second = (pdf_of(document(simple().installation)) for _each in range(2))
    assert first == second


# -- awkward boats --------------------------------------------------------------------------------------------------
def test_an_empty_drawing_says_so() -> None:
    made = document(Installation())
    text = " ".join(words(made))
    assert "Nothing is drawn that could be calculated" in text
    assert "No operating condition is recorded" in text
    assert "Nothing on these sheets certifies anything." in text


@pytest.mark.parametrize("label", ["", "<b>&=1+1", "\U0001f6a2 قارب", "two\nlines", "very long words " * 300])
def test_any_text_is_printed(label: str) -> None:
    b = simple(label=label)
    (condition,) = b.installation.snapshot().conditions.items()
    apply(b.installation, Put("conditions", condition[0], msgspec.structs.replace(condition[1], name=label or "x")))
    apply(b.installation, Put("vessel", "vessel", Vessel(name=label)))
    made = document(b.installation)
    for picture in made.pictures:
        for each in picture.primitives:
            if isinstance(each, Text):
                assert 0 < each.x < picture.width, each
                assert 0 < each.y < picture.height, each
    assert "W1 G1 – E1" in " ".join(words(made))


@pytest.mark.parametrize(
    ("load_facts", "run", "bank"),
    [
        ({"current_a": 1e6}, {}, {}),
        ({"current_a": -5.0}, {}, {}),
        ({"current_a": 0.0}, {"length_m": 0.0}, {}),
        ({"dc_v": 0}, {"size": "no size"}, {"unit_v": 0.0}),
        ({}, {"length_m": 1e9, "insulation_c": 0.0}, {"internal_resistance_ohm": 1e-9}),
        ({"current_a": None}, {"length_m": None, "size": ""}, {"unit_v": None, "unit_ah": None}),
        ({}, {"length_m": -3.0, "parallel": 40}, {"internal_resistance_ohm": -1.0}),
    ],
)
def test_figures_that_no_boat_can_have(load_facts: dict[str, Any], run: dict[str, Any], bank: dict[str, Any]) -> None:
    b = simple(**load_facts)
    for table, facts in (("runs", run), ("equipment", bank)):
        for item, record in b.installation.snapshot().tables[table].items():
            if facts and (table == "runs" or record.designation == "G1"):
                apply(b.installation, Put(table, item, msgspec.structs.replace(record, **facts)))
    text = " ".join(words(document(b.installation)))
    assert "4 Cables and voltage drop" in text
    assert " nan" not in text.lower()


# -- what other programs read ---------------------------------------------------------------------------------------
def test_the_command_writes_a_pdf(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "c.pdf"
    assert main(["calculations", str(LAUNCH), "-o", str(out), "--only", "cables"]) == 0
    assert f"{out} written: " in capsys.readouterr().out
    assert len(pypdf.PdfReader(out).pages) > 2


def test_other_programs_read_the_tables(tmp_path: Path) -> None:
    job = Job.of(simple().installation.snapshot())
    made = make(job)
    for ending in (".xlsx", ".json", ".csv"):
        write_document(made, tmp_path / f"c{ending}", job, print)
    book = openpyxl.load_workbook(tmp_path / "c.xlsx")
    sheet = next(book[name] for name in book.sheetnames if "Cables" in name)
    cells = [[cell.value for cell in row] for row in sheet.iter_rows()]
    head = next(row for row in cells if "Check" in row)
    ampacity = next(row for row in cells if "Ampacity" in row)
    read = dict(zip(head, ampacity, strict=True))
    assert (read["Found"], read["Limit"], read["Unit"]) == (
        pytest.approx(10),
        30,
        "A",
    )  # NFPA 70 310.16, secondary copy: 12 AWG, 90 degC
    assert read["Verdict"] == "in order"
    assert "6271 cmil" in json.dumps(json.loads((tmp_path / "c.json").read_text(encoding="utf-8")))
    texts = [file.read_text(encoding="utf-8-sig") for file in sorted(tmp_path.glob("*.csv"))]
    assert any("Ampacity" in text for text in texts)
    assert all(list(csv.reader(text.splitlines())) for text in texts)


def test_only_the_sections_asked_for() -> None:
    made = document(simple().installation, calculations=("cables",))
    text = " ".join(words(made))
    assert "4 Cables and voltage drop" in text
    assert "1 Load analysis" not in text
    assert [table.name for table in made.tables] == ["cables", "clauses"]


def test_a_section_there_is_not(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calculations", str(WORKBOAT), "-o", str(tmp_path / "c.pdf"), "--only", "sails"]) == 2
    assert "sails" in capsys.readouterr().err
    assert not (tmp_path / "c.pdf").exists()
