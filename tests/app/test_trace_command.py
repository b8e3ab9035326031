"""`linewright trace`, `check` of assumed values and `missing --assumed` as a person and a script use them."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest

from app.cli import main
from engine.edits import apply
from engine.files.drawing import save
from engine.installation.model import Installation
from engine.tracing.rows import rows_edit

ROWS = [
    {"from": "G1 battery 12 V 100 Ah in Bilge", "to": "F1 class t 200", "from_seen": "y", "to_seen": "y",
     "function": "+", "size": "35 mm2", "length_m": "0.4 m ~assumed"},
    {"from": "F1", "to": "Q1 switch", "from_seen": "y", "to_seen": "y", "size": "35 mm2"},
    {"from": "Q1", "to": "", "from_seen": "y", "places": "Engine space 2 m", "size": "16 mm2"},
    {"from": "G1.neg", "to": "E1 lamp 20 W", "from_seen": "y", "to_seen": "n", "function": "-", "size": "2.5 mm2"},
    {"from": "Q1", "to": "E1", "from_seen": "y", "to_seen": "y", "function": "+", "size": "2.5 mm2"},
]  # fmt: skip


def boat(tmp_path: Path, rows: int = len(ROWS)) -> str:
    made = Installation()
    apply(made, rows_edit(made.snapshot(), 0, ROWS[:rows]).edit)
    path = tmp_path / "tern.linewright"
    save(made, path)
    return str(path)


def test_it_lists_by_place_and_says_so_by_its_exit_code(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["trace", boat(tmp_path)]) == 1
    told = capsys.readouterr().out
    assert told.index("Bilge\n") < told.index("Engine space\n")
    assert "W3" in told
    assert "2 ends are to be traced" in told
    assert "Isolate and prove dead" in told


def test_nothing_to_trace_is_0_and_a_file_that_is_none_is_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    empty = tmp_path / "empty.linewright"
    save(Installation(), empty)
    assert main(["trace", str(empty)]) == 0
    assert "No run is recorded" in capsys.readouterr().out
    assert main(["trace", str(tmp_path / "nowhere.linewright")]) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_json_and_csv_tell_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = boat(tmp_path)
    main(["trace", path, "--format", "json"])
    made = json.loads(capsys.readouterr().out)
    main(["trace", path, "--format", "csv"])
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert made["summary"] == {"to_be_traced": 2, "runs": 5, "both_ends_seen": 3, "not_said": 0}
    assert [one["name"] for one in made["to_be_traced"]] == [row["Run or terminal"] for row in rows if row["Why"]]
    assert {one["why"] for one in made["to_be_traced"]} == {"open end", "not seen"}


@pytest.mark.parametrize("ending", ["pdf", "xlsx", "csv", "json"])
def test_it_is_written_to_take_along(tmp_path: Path, ending: str) -> None:
    target = tmp_path / f"list.{ending}"
    assert main(["trace", boat(tmp_path), "-o", str(target)]) == 1
    assert target.stat().st_size > 100
    if ending == "pdf":
        text = " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(target).pages).split())
        assert "To be traced" in text
        assert "W3" in text
        assert "Isolate and prove dead" in text


def test_check_tells_what_rests_on_the_assumed_length(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = boat(tmp_path)
    main(["check", path])
    told = " ".join(capsys.readouterr().out.split())
    assert "1 value is only assumed: W1 (length, one way: 0.4 m)." in told
    main(["check", path, "--format", "json"])
    made = json.loads(capsys.readouterr().out)
    assert [(v["on"], v["field"]) for v in made["assumed"]] == [("W1", "length_m")]
    main(["missing", path, "--assumed"])
    told = " ".join(capsys.readouterr().out.split())
    assert "1 value is only assumed and to be read." in told
    assert "assumed: 0.4 m" in told


def test_a_check_without_assumed_values_looks_for_none(tmp_path: Path) -> None:
    """In a process of its own: what judges again is not even loaded."""
    made = Installation()
    apply(made, rows_edit(made.snapshot(), 0, ROWS[1:2]).edit)
    save(made, tmp_path / "tern.linewright")
    code = (
        "import sys; from app.cli import main; "
        f"main(['check', {str(tmp_path / 'tern.linewright')!r}]); "
        "sys.exit('engine.tracing.resting' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, check=False).returncode == 0
