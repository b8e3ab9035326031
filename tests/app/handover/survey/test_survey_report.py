"""The survey report read back: as PDF by pdfplumber, as DOCX by python-docx, photographs out of both by Pillow."""

from __future__ import annotations

import io
import re
import shutil
import zipfile
from pathlib import Path

import docx
import msgspec
import pdfplumber
import pytest
from PIL import Image

from app.cli import main
from app.drawing.squares.notes import targets
from app.handover.survey.cut_out import CutOuts
from engine.builder import Builder
from engine.edits import Put, SetFields, apply
from engine.files.drawing import load, save
from engine.installation import Deficiency, Sheet, Survey
from engine.picture import Text, around

WORKBOAT = Path(__file__).parents[4] / "samples" / "workboat"


@pytest.fixture
def boat(tmp_path: Path) -> Path:
    shutil.copytree(WORKBOAT / "photographs", tmp_path / "photographs")
    return Path(shutil.copy(WORKBOAT / "surveyed.linewright", tmp_path / "boat.linewright"))


def _pdf(boat: Path, *options: str) -> str:
    out = boat.with_name("report.pdf")
    assert main(["survey", str(boat), "-o", str(out), *options]) == 0
    with pdfplumber.open(out) as book:
        return "\n".join(page.extract_text() for page in book.pages)


def _plain(text: str) -> str:
    """Without the letters of the zones, which stand at the edge of a line, as one line."""
    return " ".join(re.sub(r"^[A-F] | [A-F]$|^[A-F]$", "", text, flags=re.MULTILINE).split())


def _change(boat: Path, table: str, item: str, **values: object) -> None:
    opened = load(boat)
    apply(opened.installation, SetFields(table, item, tuple(values.items())))
    save(opened.installation, boat)


def _numbered(boat: Path, number: int) -> str:
    every = load(boat).installation.snapshot().deficiencies
    return next(item for item, d in every.items() if d.number == number)


def test_every_deficiency_stands_alone_with_what_is_recorded(boat: Path) -> None:
    out = boat.with_name("report.pdf")
    text = _pdf(boat, "--survey", "RAZ-S-1")
    snapshot = load(boat).installation.snapshot()
    survey = next(item for item, each in snapshot.surveys.items() if each.name == "RAZ-S-1")
    records = [d for d in snapshot.deficiencies.values() if d.survey == survey]
    assert len(records) == 10
    with pdfplumber.open(out) as book:
        pages = [page.extract_text() for page in book.pages]
        heads = {d.number: n for d in records for n, t in enumerate(pages) if f"Deficiency {d.number}, Class" in t}
        assert len(set(heads.values())) == len(records)  # a page of its own for each
        for d in records:
            page = _plain(pages[heads[d.number or 0]])
            assert _plain(d.observation) in page
            for said in (d.risk, d.recommendation, d.arithmetic, d.due):
                assert not said or _plain(said)[1:60] in page  # a cell begins with a capital
        first = book.pages[heads[1]]
        assert len(first.images) == 3  # two photographs, and the one that shows it put right
        small = [c["size"] for page in book.pages for c in page.chars if c["size"] * 0.688 * 25.4 / 72 < 1.75]
        assert not small
        body = [c for c in book.pages[heads[2]].chars if c["top"] < book.pages[0].height * 0.85]
        letters = [c["size"] * 0.688 * 25.4 / 72 for c in body if c["text"].isalpha()]
        assert min(letters) >= 2.49  # in the cut-out too
    assert "Scope" not in text
    assert "P. Sandpiper" in text


def test_the_cut_out_shows_the_thing_with_its_square(boat: Path) -> None:
    _pdf(boat, "--survey", "RAZ-S-1")
    with pdfplumber.open(boat.with_name("report.pdf")) as book:
        page = next(p for p in book.pages if "Deficiency 3, Class A: F4" in p.extract_text())
        text = page.extract_text()
        assert "at the size it has there" in text
        red = [c for c in page.chars if c["non_stroking_color"] and c["non_stroking_color"][0] > 0.5]
        assert "3" in "".join(c["text"] for c in red)  # the number in its square
        assert "Charging link fuse" in text


def test_a_run_is_told_by_its_ends_and_figures_as_people_read_them(boat: Path) -> None:
    text = _plain(_pdf(boat, "--survey", "RAZ-S-1"))
    assert "Run from F4 to G2, Engine room, Battery box" in text
    assert "feed without limit; allowed 38.25 A; ampacity 38.25 A" in text
    assert "fault current 6.818 kA; breaks 2 kA" in text
    assert "Two AC sources can be joined (sources-meet)" in text
    assert "=" not in text[text.index("Figures") : text.index("Arithmetic")]


def test_the_title_block_counts_deficiencies_and_the_check_is_told_apart(boat: Path) -> None:
    _pdf(boat, "--survey", "RAZ-S-1")
    with pdfplumber.open(boat.with_name("report.pdf")) as book:
        words = book.pages[0].extract_words()
        head = next(w for w in words if w["text"] == "Open")
        below = [w for w in words if abs(w["x0"] - head["x0"]) < 3 and 0 < w["top"] - head["top"] < 25]
        assert [w["text"] for w in below] == ["8"]  # of ten, two are closed
        text = _plain("\n".join(page.extract_text() for page in book.pages))
    assert "The check of the drawing has 40 findings; this report tells what the surveyor noted" in text


@pytest.mark.parametrize("number", range(1, 10))
def test_no_label_in_a_cut_out_loses_a_line(boat: Path, number: int) -> None:
    snapshot = load(boat).installation.snapshot()
    cut_outs = CutOuts(snapshot, 162.0)
    deficiency = snapshot.deficiencies[_numbered(boat, number)]
    figure = cut_outs.of(deficiency)
    assert figure is not None
    made = [p for p in figure.draw(0.0, 0.0) if isinstance(p, Text) and p.owner and not p.owner.startswith("flag:")]
    sheet = next(each for each in cut_outs._sheets if each.title in figure.caption)
    everywhere = [(p, box) for p, box in sheet.drawn if isinstance(p, Text)]
    (moved,) = {  # by how much all of its words were moved
        shift
        for shift in {(round(p.x - made[0].x, 3), round(p.y - made[0].y, 3)) for p, _box in everywhere}
        if all(any(_same(p, q, shift) for p, _box in everywhere) for q in made)
    }
    whose = targets(snapshot, deficiency)
    for owner, label in sheet.labels:
        lines = [p for p, box in everywhere if p.owner == owner and around([label, box]) == label]
        there = [p for p in lines if any(_same(p, q, moved) for q in made)]
        assert owner in whose or len(there) in (0, len(lines)), [p.text for p in lines]


def _same(on_sheet: Text, cut: Text, moved: tuple[float, float]) -> bool:
    apart = on_sheet.x - cut.x - moved[0], on_sheet.y - cut.y - moved[1]
    return on_sheet.text == cut.text and max(map(abs, apart)) < 0.01


def test_nothing_is_called_a_breach_of_what_is_younger_than_the_vessel(boat: Path) -> None:
    text = _plain(_pdf(boat, "--survey", "RAZ-S-1"))
    assert "ISO 13297 (2020)" in text
    assert "would not be asked of a vessel built 1986; recommended" in text
    assert "is not met" in text  # of the yard's own rules of 1984
    breach = text[text.index("is not met") - 200 : text.index("is not met")]
    assert "1984" in breach


def test_what_was_not_inspected_and_not_judged_is_said(boat: Path) -> None:
    text = _plain(_pdf(boat, "--survey", "RAZ-S-1"))
    for said in (
        "What was not inspected", "behind the fuel tank", "boards screwed down under cargo", "no supply on the slip",
        "What could not be judged", "To be traced", "What is only assumed", "Limits of this survey",
        "it does not certify", "Signature", "Insulation tester IT-1 was calibrated until 2026-09-30",
    ):  # fmt: skip
        assert said in text, said


def test_a_follow_up_tells_what_became_of_each(boat: Path) -> None:
    text = _plain(_pdf(boat, "--survey", "RAZ-S-2", "--follow-up"))
    order = ["Closed since", "Still open", "In hand", "Not agreed", "New in this survey", "Deficiency 11"]
    places = [text.index(each) for each in order]
    assert places == sorted(places)
    closed = text[places[0] : places[1]]
    assert "K1, Engine room" in closed
    assert "Both studs" in closed
    assert "W14" in closed
    assert "second opinion" in text[places[3] : places[4]]
    assert "F26" in text[places[4] : places[5]]


def test_a_plain_report_of_a_follow_up_says_that_more_is_open(boat: Path) -> None:
    text = _plain(_pdf(boat, "--survey", "RAZ-S-2"))
    assert "8 deficiencies of the surveys that this one follows are not closed" in text


def test_what_was_closed_before_the_survey_it_follows_is_not_told_again(boat: Path) -> None:
    _change(boat, "deficiencies", _numbered(boat, 6), closed="2026-10-14")
    text = _plain(_pdf(boat, "--survey", "RAZ-S-2", "--follow-up"))
    assert "1 deficiency had been closed before" in text
    assert "Both studs covered" not in text


def test_photographs_that_are_gone_or_altered_are_told(boat: Path, capsys: pytest.CaptureFixture[str]) -> None:
    records = load(boat).installation.snapshot().photographs
    gone, altered = (next(r for r in records.values() if r.name == name) for name in ("IMG-0012.jpg", "IMG-0015.jpg"))
    (boat.parent / "photographs" / f"{gone.sha256}.jpg").unlink()
    (boat.parent / "photographs" / f"{altered.sha256}.jpg").write_bytes(b"\xff\xd8 something else")
    text = _plain(_pdf(boat, "--survey", "RAZ-S-1"))
    assert "Photograph “Charging link fuse F4: the holder's cover is browned” is missing" in text
    assert "Photograph “Searchlight lead put straight on the battery post” is left out" in text
    told = capsys.readouterr().err
    assert "is missing" in told
    assert str(boat.parent) not in text


def test_the_docx_opens_with_headings_tables_and_pictures(boat: Path) -> None:
    out = boat.with_name("report.docx")
    assert main(["survey", str(boat), "-o", str(out), "--survey", "RAZ-S-1"]) == 0
    first = out.read_bytes()
    assert main(["survey", str(boat), "-o", str(out), "--survey", "RAZ-S-1"]) == 0
    assert out.read_bytes() == first
    opened = docx.Document(str(out))
    heads = [p.text for p in opened.paragraphs if p.style.name.startswith("Heading")]
    assert heads[0] == "Survey report: Razorbill"
    assert sum(text.startswith("Deficiency ") for text in heads) == 10
    header = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}tblHeader"
    ruled = [t for t in opened.tables if t.style.name == "Table Grid"]
    assert ruled
    assert all(t.rows[0]._tr.findall(f".//{header}") for t in ruled)
    assert len(opened.inline_shapes) >= 9 + 9  # photographs and cut-outs
    assert opened.core_properties.author == "P. Sandpiper"  # whose report it is
    foot = opened.sections[0].footer
    assert "Battery fault currents" in foot.paragraphs[0].text
    assert "NUMPAGES" in foot._element.xml
    with zipfile.ZipFile(out) as packed:
        assert packed.namelist()[1:] == sorted(packed.namelist()[1:])
        for name in packed.namelist():
            if name.endswith((".jpg", ".png")):
                with Image.open(io.BytesIO(packed.read(name))) as image:
                    image.load()


def test_what_a_person_typed_harms_no_form(boat: Path) -> None:
    nasty = "<b>&amp;\x07 \ufffe =1+1 ]]> {number} %s \u202e"
    _change(boat, "deficiencies", _numbered(boat, 3), observation=nasty, recommendation="x" * 4000)
    assert "<b>&amp;" in _pdf(boat, "--survey", "RAZ-S-1")
    out = boat.with_name("report.docx")
    assert main(["survey", str(boat), "-o", str(out), "--survey", "RAZ-S-1"]) == 0
    text = "\n".join(cell.text for t in docx.Document(str(out)).tables for row in t.rows for cell in row.cells)
    assert "<b>&amp;\ufffd \ufffd =1+1 ]]> {number} %s" in text


def test_which_survey_is_told_is_asked_in_one_sentence(boat: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = str(boat.with_name("x.pdf"))
    assert main(["survey", str(boat), "-o", out, "--survey", "RAZ-S-9"]) == 2
    assert re.search(r"no survey 'RAZ-S-9'; there are: RAZ-S-1 \(y\d+\), RAZ-S-2", capsys.readouterr().err)
    assert main(["survey", str(boat), "-o", out, "--survey", "RAZ-S-1", "--follow-up"]) == 2
    assert "does not say which survey it follows" in capsys.readouterr().err
    assert main(["survey", str(WORKBOAT / "workboat.linewright"), "-o", out]) == 2
    assert "no survey is recorded" in capsys.readouterr().err
    assert not Path(out).exists()


def test_other_forms_say_that_they_are_without_photographs(boat: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = boat.with_name("sheet.svg")
    assert main(["survey", str(boat), "-o", str(out), "--survey", "RAZ-S-1"]) == 0
    assert "photographs are in PDF, PNG and DOCX only" in capsys.readouterr().err


def test_the_pack_has_the_report_where_there_is_a_survey_and_is_without_it_else(boat: Path, tmp_path: Path) -> None:
    for drawing, there in ((boat, True), (WORKBOAT / "workboat.linewright", False)):
        pack = tmp_path / f"{there}.zip"
        assert main(["pack", str(drawing), "-o", str(pack), "--only", "survey", "--only", "schedules"]) == 0
        names = zipfile.ZipFile(pack).namelist()
        assert any(name.endswith("-survey.docx") for name in names) is there
        assert any(name.endswith("-survey.pdf") for name in names) is there
        assert b"Survey report:" not in zipfile.ZipFile(pack).read("contents.txt") or there


def test_a_deficiency_of_no_survey_is_not_lost(boat: Path) -> None:
    opened = load(boat)
    record = opened.installation.snapshot().deficiencies[_numbered(boat, 9)]
    made = msgspec.structs.replace(record, survey="", number=99, observation="Nobody said in which survey.")
    apply(opened.installation, Put("deficiencies", opened.installation.new_id("deficiencies"), made))
    save(opened.installation, boat)
    assert "Nobody said in which survey." in _plain(_pdf(boat, "--survey", "RAZ-S-1"))
    text = _plain(_pdf(boat, "--survey", "RAZ-S-2", "--follow-up"))
    new = text[text.index("New in this survey") : text.index("Noted in no survey")]
    assert "F26" in new
    assert "Nobody said" not in new  # nobody knows when it was noted: it is not told as new
    assert "Nobody said in which survey." in text


def test_of_an_empty_drawing_nothing_is_told_as_seen(tmp_path: Path) -> None:
    b = Builder(name="Sandling")
    apply(b.installation, Put("surveys", b.installation.new_id("surveys"), Survey(name="S-1", date="2026-05-01")))
    save(b.installation, tmp_path / "boat.linewright")
    text = _plain(_pdf(tmp_path / "boat.linewright"))
    assert "Nothing is drawn: there was no list to walk by, and nothing is told as inspected." in text
    assert "Nothing is drawn, nothing was judged." in text
    for said in ("Everything drawn was seen", "0 of 0", "Nothing is missing", "finds 0"):
        assert said not in text


@pytest.mark.parametrize(("x", "y"), [(0, 0), (40, 30), (0, 60)])
def test_a_square_at_the_edge_of_the_sheet_is_in_its_cut_out(x: int, y: int) -> None:
    b = Builder(name="Sandling")
    sheet = b.installation.new_id("sheets")
    apply(b.installation, Put("sheets", sheet, Sheet(number=1)))
    record = Deficiency(number=7, sheet=sheet, x=x, y=y, observation="no diagram aboard")
    apply(b.installation, Put("deficiencies", b.installation.new_id("deficiencies"), record))
    figure = CutOuts(b.installation.snapshot(), 162.0).of(record)
    assert figure is not None
    made = figure.draw(0.0, 0.0)
    (number,) = (p for p in made if isinstance(p, Text) and p.text == "7")
    assert 0 < number.x < figure.width
    assert 0 < number.y < figure.height
