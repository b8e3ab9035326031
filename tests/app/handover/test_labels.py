"""Labels: what is made of a drawing, where it stands on the paper, what is told of it."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import msgspec
import pdfplumber
import pytest
from pypdf import PdfReader

from app.commands.opening import opened
from app.handover.documents.labels import make
from app.handover.job import Job, Options
from app.handover.labels.counts import label_counts
from app.handover.labels.making import legends, markers, plates, ways
from app.handover.labels.wanted import LabelsWanted
from app.handover.writing import files_of
from engine.builder import Builder
from engine.edits import Put, apply
from engine.files.drawing import save
from engine.installation import Enclosure, Legend, Snapshot
from engine.rules.record import no_label
from engine.rules.safety import no_several_sources_sign as several_sources

MM = 72 / 25.4


def _panel(builder: Builder, **facts: object) -> str:
    item = builder.installation.new_id("enclosures")
    apply(builder.installation, Put("enclosures", item, Enclosure(**facts)))  # type: ignore[arg-type]
    return item


def _small() -> Snapshot:
    b = Builder()
    panel = _panel(
        b,
        name="DC panel",
        rows=1,
        columns=4,
        legend=(
            Legend(position="1", text="CABIN LIGHTS"),
            Legend(position="2", text="OLD CHARGER"),
            Legend(position="4", spare=True),
        ),
    )
    b.add("battery_bank", "G1", unit_v=12, label="House bank")
    b.add("fuse", "F1", rating_a=10, enclosure=panel, position="1", old_marking="LORAN", marking="CABIN")
    b.add("fuse", "F2", rating_a=10, enclosure=panel, position="2", status="to remove")
    b.add("fuse", "F10", rating_a=5, enclosure=panel, position="3", status="new", marking="VHF")
    b.add("load", "E1", current_a=2)
    b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=1, sheath="bare", function="dc pair")
    b.run("W2", "F1.out", "E1.in", size="14 AWG", length_m=1, sheath="sheathed", parallel=2, old_marking="17")
    b.run("W3", "G1.pos", "F2.in", size="14 AWG", length_m=1, status="to remove")
    return b.installation.snapshot()


def _made(snapshot: Snapshot, **wanted: object) -> tuple[Job, object]:
    job = Job.of(snapshot, options=Options(labels=LabelsWanted(**wanted)))  # type: ignore[arg-type]
    return job, make(job)


# -- what is made -------------------------------------------------------------------------------------------------
def test_legends_are_those_of_the_panel_once_the_work_is_done() -> None:
    assert [label.lines for label in legends(_small())] == [("CABIN LIGHTS", "1 F1"), ("VHF", "3 F10")]
    assert [label.lines[0] for label in legends(_small(), only_new=True)] == ["VHF"]


def test_markers_stand_at_both_ends_and_name_the_far_one() -> None:
    made = [(tuple(" ".join(line.split()) for line in label.lines), label.quantity) for label in markers(_small())]
    assert made == [
        (("W1 +", "at G1.pos to F1.in"), 1),
        (("W1 -", "at G1.pos to F1.in"), 1),
        (("W1 +", "at F1.in to G1.pos"), 1),
        (("W1 -", "at F1.in to G1.pos"), 1),
        (("W2", "at F1.out to E1.in", "formerly 17"), 2),
        (("W2", "at E1.in to F1.out", "formerly 17"), 2),
    ]


def test_a_marker_recorded_at_an_end_is_printed_there() -> None:
    snapshot = _small()
    run = snapshot.runs[next(item for item, run in snapshot.runs.items() if run.designation == "W2")]
    run = msgspec.structs.replace(run, from_end=msgspec.structs.replace(run.from_end, marker="17A"))
    snapshot.runs.update({item: run for item, old in snapshot.runs.items() if old.designation == "W2"})
    first, second = [label for label in markers(snapshot) if label.name == "W2"]
    assert first.lines[:2] == ("17A", "W2")
    assert second.lines[0] == "W2"


def test_plates_tell_designation_label_rating_volts_and_are_in_order() -> None:
    job, _document = _made(_small())
    made = list(plates(job.snapshot, job.study))
    assert [label.name for label in made] == ["E1", "F1", "F10", "G1"]  # F2 is to be removed
    assert made[1].lines[:2] == ("F1", "CABIN")
    assert "12 V DC" in made[1].lines
    assert any("10 A" in line for line in made[1].lines)


def test_counts_are_what_is_printed() -> None:
    snapshot = _small()
    counts = {each.kind: each.many for each in label_counts(snapshot, only_new=False)}
    rows = _made(snapshot)[1].tables[0].rows  # type: ignore[attr-defined]
    for kind, many in counts.items():
        assert sum(row[4] for row in rows if row[0] == kind) == many
    assert counts["markers"] == 8


# -- signs --------------------------------------------------------------------------------------------------------
def _sample(name: str) -> Snapshot:
    return opened(f"samples/{name}/{name}.linewright").installation.snapshot()


def test_a_panel_of_several_sources_gets_its_sign_and_says_what_to_open() -> None:
    _job, document = _made(_sample("workboat"), kinds=("signs",))
    rows = {row[5]: row for row in document.tables[0].rows}  # type: ignore[attr-defined]
    board = rows["230 V board: several sources"]
    assert board[1] == "WARNING"
    assert "SHORE Q10" in board[3]
    assert "GENERATOR Q11" in board[3]
    assert "several sources feed" in board[9]  # the book's clause
    assert rows["Wheelhouse panel: several sources"][1] == "CAUTION"  # no alternating current there
    assert rows["X1: plate beside it"][1:3] == ("SHORE INLET", "230 V 50 Hz 16 A")


def test_a_sign_that_hangs_there_is_listed_and_not_printed() -> None:
    missing = _made(several_sources.BAD[0].build().snapshot(), kinds=("signs",))[1]
    assert "main panel: several sources" in [row[5] for row in missing.tables[0].rows]  # type: ignore[attr-defined]
    job, document = _made(several_sources.GOOD[0].build().snapshot(), kinds=("signs",))
    assert "main panel: several sources" not in [row[5] for row in document.tables[0].rows]  # type: ignore[attr-defined]
    text = PdfReader(io.BytesIO(next(files_of(document, ".pdf", job, "x")).data)).pages[0].extract_text()  # type: ignore[arg-type]
    assert "there already" in text


def test_an_inlet_whose_figures_are_not_known_gets_no_plate_and_that_is_told() -> None:
    snapshot = no_label.BAD[2].build().snapshot()
    assert "X1: plate beside it" in [row[5] for row in _made(snapshot)[1].tables[0].rows]  # type: ignore[attr-defined]
    inlet = next(item for item, record in snapshot.equipment.items() if record.designation == "X1")
    snapshot.equipment[inlet] = msgspec.structs.replace(snapshot.equipment[inlet], frequency_hz=None)
    document = _made(snapshot, kinds=("signs",))[1]
    assert not [row for row in document.tables[0].rows if "X1" in row[5]]  # type: ignore[attr-defined]
    assert any("X1.frequency_hz is not recorded" in gap for gap in document.gaps)  # type: ignore[attr-defined]


# -- on paper -----------------------------------------------------------------------------------------------------
def _pages(snapshot: Snapshot, **wanted: object) -> list[pdfplumber.page.Page]:
    job, document = _made(snapshot, **wanted)
    data = next(files_of(document, ".pdf", job, "x")).data  # type: ignore[arg-type]
    return list(pdfplumber.open(io.BytesIO(data)).pages)


def test_cells_stand_in_the_pdf_where_the_sheet_has_them() -> None:
    grid = "A4 3x8 63.5x33.9 gap 2.5x0 margin 7.2x13.1"
    page = _pages(_small(), kinds=("plates",), grid=grid, outline=True)[-1]
    assert (page.width / MM, page.height / MM) == pytest.approx((210, 297), abs=0.01)  # ISO 216:2007
    cells = [shape for shape in (*page.rects, *page.curves) if abs((shape["x1"] - shape["x0"]) / MM - 63.5) < 0.3]
    assert len(cells) == 24
    left = sorted({round(cell["x0"] / MM, 2) for cell in cells})
    top = sorted({round(cell["top"] / MM, 2) for cell in cells})
    assert left == pytest.approx([7.2, 73.2, 139.2], abs=0.02)
    assert top == pytest.approx([13.1 + 33.9 * n for n in range(8)], abs=0.02)


def test_text_stays_in_its_cell_and_skipped_cells_stay_empty() -> None:
    page = _pages(_small(), kinds=("plates",), grid="A4 3x8 63.5x33.9 gap 2.5x0 margin 7.2x13.1", skip=2)[-1]
    words = [word for word in page.extract_words() if word["top"] / MM > 13.1 and word["top"] / MM < 284]
    assert words
    for word in words:
        column = int((word["x0"] / MM - 7.2) // 66.0)
        row = int((word["top"] / MM - 13.1) // 33.9)
        assert word["x1"] / MM <= 7.2 + 66.0 * column + 63.5
        assert word["bottom"] / MM <= 13.1 + 33.9 * (row + 1) + 1.0  # the font's own box is taller than its letters
        assert (row, column) not in ((0, 0), (0, 1))
    first = next(word for word in words if word["text"] == "E1")
    assert first["x0"] / MM > 139.2


def test_the_ruler_is_100_mm() -> None:
    for page in _pages(_small(), kinds=("legends", "strips")):
        lines = [line for line in page.lines if abs(line["x1"] - line["x0"]) / MM == pytest.approx(100.0, abs=0.02)]
        assert lines, page.page_number


def test_a_marker_repeats_around_its_cable_and_keeps_its_width() -> None:
    page = _pages(_small(), kinds=("markers",), grid="A4 2x5 80x30 margin 10x30", marker_width_mm=40.0)[-1]
    here = [word for word in page.extract_words() if 30 < word["top"] / MM < 60 and word["x0"] / MM < 90]
    assert len([word for word in here if word["text"] == "W1"]) >= 2
    assert max(word["x1"] for word in here) / MM <= 50


def test_a_strip_has_the_pitch_asked_for_and_the_old_marking_struck() -> None:
    snapshot = _small()
    panel = next(iter(snapshot.enclosures))
    told = {way.position: (way.new, way.old) for way in ways(snapshot, panel)}
    assert told == {"1": ("CABIN LIGHTS", "LORAN"), "2": ("", "OLD CHARGER"), "3": ("VHF", ""), "4": ("", "")}
    page = _pages(snapshot, kinds=("strips",), pitch_mm=23.0)[-1]
    ticks = sorted(
        {
            round(line["x0"] / MM, 2)
            for line in page.lines
            if abs(line["x0"] - line["x1"]) < 0.01 and abs(abs(line["bottom"] - line["top"]) / MM - 4.5) < 0.05
        }
    )
    assert ticks[1] - ticks[0] == pytest.approx(4 * 23.0, abs=0.02)  # cut marks of four positions
    struck = next(word for word in page.extract_words() if word["text"] == "LORAN")
    new = next(word for word in page.extract_words() if word["text"] == "CABIN")
    middle = (struck["top"] + struck["bottom"]) / 2
    assert [
        line
        for line in page.lines
        if line["x0"] < struck["x0"] and line["x1"] > struck["x1"] and abs(line["top"] - middle) < 1.5
    ]
    assert struck["bottom"] <= new["top"] + 2.0
    assert new["x1"] - struck["x0"] < 23 * MM


def test_a_long_strip_is_cut_between_positions_and_the_pitch_is_told() -> None:
    b = Builder()
    panel = _panel(
        b, name="P", rows=1, columns=40, legend=tuple(Legend(position=str(n), text="X") for n in range(1, 41))
    )
    b.add("fuse", "F1", enclosure=panel, position="1")
    _job, document = _made(b.installation.snapshot(), kinds=("strips",))
    text = " ".join(p.dump() for p in document.pictures)  # type: ignore[attr-defined]
    assert "P, piece 1 of 4" in text
    assert "P, piece 4 of 4" in text
    assert any("18 mm apart" in gap for gap in document.gaps)  # type: ignore[attr-defined]


# -- files --------------------------------------------------------------------------------------------------------
def test_the_printer_list_is_one_row_a_label_and_harmless() -> None:
    b = Builder()
    b.add("fuse", "F1", label="=1+1", marking="line\nbreak")
    b.add("fuse", "F2", label="مرحبا 🙂 <b>&")
    job, document = _made(b.installation.snapshot())
    (file,) = files_of(document, ".csv", job, "x")  # type: ignore[arg-type]
    rows = list(csv.reader(io.StringIO(file.data.decode("utf-8-sig"), newline="")))
    assert rows[0][:5] == ["Kind", "Line 1", "Line 2", "Line 3", "Quantity"]
    assert [row[:4] for row in rows[1:]] == [
        ["plates", "F1", "line break", "'=1+1"],
        ["plates", "F2", "مرحبا 🙂 <b>&", ""],
    ]
    assert any("U+1F642" in gap and "F2" in gap for gap in document.gaps)  # type: ignore[attr-defined]


def test_svg_is_one_file_a_label_sheet_and_the_same_twice() -> None:
    one, two = _made(_small())[1], _made(_small())[1]
    assert [name for name, _data in one.files] == ["legends-01.svg", "markers-01.svg", "plates-01.svg"]  # type: ignore[attr-defined]
    assert one.files == two.files  # type: ignore[attr-defined]
    assert one.pictures == two.pictures  # type: ignore[attr-defined]


def test_a_picture_file_holds_the_label_sheets_alone() -> None:
    document = _made(_small(), kinds=("legends",), sheets_only=True)[1]
    assert [picture.width for picture in document.pictures] == [210.0]  # type: ignore[attr-defined]


def test_text_that_does_not_fit_is_printed_on_a_list_and_reported() -> None:
    b = Builder()
    b.add("fuse", "F1", label="very long " * 40)
    job, document = _made(b.installation.snapshot(), grid="A4 10x20 10x10")
    assert any("does not fit" in gap and "F1" in gap for gap in document.gaps)  # type: ignore[attr-defined]
    text = PdfReader(io.BytesIO(next(files_of(document, ".pdf", job, "x")).data)).pages[0].extract_text()  # type: ignore[arg-type]
    assert " ".join(text.split()).count("very long") >= 40


def test_an_empty_drawing_says_so() -> None:
    job, document = _made(Builder().installation.snapshot())
    assert "Nothing on the drawing is labelled." in document.gaps  # type: ignore[attr-defined]
    text = PdfReader(io.BytesIO(next(files_of(document, ".pdf", job, "x")).data)).pages[0].extract_text()  # type: ignore[arg-type]
    assert "Nothing on the drawing is labelled." in text
    assert "does not certify" in text


def test_more_left_out_than_a_sheet_holds_is_told() -> None:
    document = _made(_small(), kinds=("plates",), skip=25, grid="A4 3x8 63.5x33.9")[1]
    assert any("holds 24 labels" in gap for gap in document.gaps)  # type: ignore[attr-defined]


def test_the_command_writes_sheets_and_refuses_in_one_sentence(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    b = Builder()
    b.add("fuse", "F1", rating_a=10, label="Horn")
    file, out = tmp_path / "boat.linewright", tmp_path / "x.pdf"
    save(b.installation, file)
    code, _out, err = run("labels", file, "-o", out, "--grid", "A4 3x9 63.5x33.9")
    assert code == 2
    assert "9 rows of 33.9 with gaps of 0 = 305.1 mm, the paper has 297 mm" in err
    assert not out.exists()
    code, told, _err = run("labels", file, "-o", out, "--grid", "A4 3x8 63.5x33.9")
    assert code == 0
    assert "x.pdf written: 2 pages" in told  # what there is, and one sheet of plates
