"""`linewright deficiencies`: what is listed, in which form, with which exit code; and what it is on paper."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from app.cli import main
from engine.cautions import CAUTIONS
from engine.deficiencies import close, mark
from engine.edits import Put, apply
from engine.files.drawing import load, save
from engine.installation import Deficiency, Survey

LAUNCH = Path(__file__).parents[2] / "samples" / "launch" / "launch.linewright"


@pytest.fixture
def surveyed(tmp_path: Path) -> Path:
    i = load(LAUNCH).installation
    apply(i, Put("surveys", "y900", Survey(name="Spring", date="2026-05-01")))
    i.last_id = max(i.last_id, 905)
    q1 = i.find("Q1")[0][1]
    records = (
        Deficiency(at=q1, grade="B", observation="=burnt lug", risk="fire", recommendation="renew", survey="y900"),
        Deficiency(grade="A", observation="no diagram aboard", due="2026-06-01"),
        Deficiency(at=q1, grade="C", observation="dirty"),
    )
    for n, record in enumerate(records, 901):
        apply(i, mark(i.snapshot(), f"d{n}", record))
    apply(i, close(i.snapshot(), "d903", closed_by="R. Tern", closed="2026-05-20", evidence="cleaned"))
    path = tmp_path / "surveyed.linewright"
    save(i, path)
    return path


def test_class_a_first_with_the_cautions_and_one_for_open(surveyed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["deficiencies", str(surveyed)]) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "3 deficiencies, 2 not closed." in told
    assert told.index("no diagram aboard") < told.index("burnt lug") < told.index("dirty")
    assert "Closed, seen put right by R. Tern on 2026-05-20: cleaned." in told
    for text in CAUTIONS:
        assert text in told


def test_nothing_open_is_nought_and_bad_input_two(
    surveyed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["deficiencies", str(surveyed), "--status", "closed"]) == 0
    assert "burnt lug" not in capsys.readouterr().out
    assert main(["deficiencies", str(LAUNCH)]) == 0
    assert main(["deficiencies", str(tmp_path / "gone.linewright")]) == 2
    assert main(["deficiencies", str(surveyed), "--status", "shut"]) == 2
    assert main(["deficiencies", str(surveyed), "--survey", "Autumn"]) == 2
    assert "there are: Spring" in capsys.readouterr().err
    assert main(["deficiencies", str(surveyed), str(tmp_path / "gone.linewright")]) == 2
    assert "burnt lug" in capsys.readouterr().out


def test_filters_and_forms(surveyed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["deficiencies", str(surveyed), "--format", "json", "--status", "not-closed"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert [(d["number"], d["class" if "class" in d else "grade"]) for d in told["deficiencies"]] == [
        (2, "A"),
        (1, "B"),
    ]
    assert {d["status"] for d in told["deficiencies"]} == {"open"}
    assert told["deficiencies"][1]["at_name"] == "Q1"
    assert main(["deficiencies", str(surveyed), "--format", "csv", "--survey", "Spring"]) == 1
    rows = list(csv.reader(io.StringIO(capsys.readouterr().out)))
    assert len(rows) == 2
    assert rows[1][0] == "1"
    assert rows[1][4] == "'=burnt lug"  # no spreadsheet runs it
    assert main(["deficiencies", str(surveyed), "--class", "C"]) == 0


def test_print_carries_them_leaves_closed_ones_or_all_out(surveyed: Path, tmp_path: Path) -> None:
    import pypdfium2

    def text(*options: str) -> str:
        out = tmp_path / "out.pdf"
        assert main(["print", str(surveyed), "-o", str(out), *options]) == 0
        made = " ".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(out))
        return " ".join(made.split())

    every = text()
    assert "Class A, to be put right before further use" in every
    assert "no diagram aboard" in every
    assert "Closed, seen put right by R. Tern" in every
    still = text("--deficiencies", "open")
    assert "no diagram aboard" in still
    assert "R. Tern" not in still
    assert "no diagram aboard" not in text("--deficiencies", "none")
