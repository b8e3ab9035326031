"""`linewright tidy`: writes a copy, says what came of each sheet."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.cli import main
from engine.files.drawing import load

KETCH = Path(__file__).parents[2] / "samples" / "ketch" / "ketch.linewright"


def test_one_sheet_of_a_copy(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "out.linewright"
    assert main(["tidy", str(KETCH), "-o", str(out), "--sheet", "4"]) == 0
    told = capsys.readouterr().out
    assert "Sheet 4" in told
    assert "Sheet 1" not in told
    assert f"{out} written" in told
    before, after = load(KETCH).installation.snapshot(), load(out).installation.snapshot()
    assert after.equipment == before.equipment
    assert after.runs == before.runs
    assert after.placements.keys() == before.placements.keys()
    assert main(["tidy", str(out), "-o", str(tmp_path / "again.linewright"), "--sheet", "4"]) == 0
    assert "already as tidy as this program can make it" in capsys.readouterr().out


def test_what_it_refuses(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "out.linewright"
    assert main(["tidy", str(KETCH), "-o", str(out), "--sheet", "44"]) == 2
    assert "has no sheet 44" in capsys.readouterr().err
    assert not out.exists()
    out.write_text("mine")
    assert main(["tidy", str(KETCH), "-o", str(out)]) == 2
    assert "is there already; --replace writes over it" in capsys.readouterr().err
    assert out.read_text() == "mine"
