"""`linewright find`, as somebody types it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from app.cli import main

KETCH = str(Path(__file__).parents[2] / "samples" / "ketch" / "ketch.linewright")


def test_a_line_a_thing_with_its_sheet_and_zone(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["find", KETCH, "300", "a"]) == 0
    first = capsys.readouterr().out.splitlines()[0]
    assert first.startswith("sheet 1 / ")
    assert "F1" in first
    assert "300 A" in first
    assert main(["find", KETCH, "f1", "--format", "json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told[0]["name"] == "F1"
    assert told[0]["drawn"][0]["sheet"] == 1


def test_nothing_found_is_said_and_told_by_the_exit_code(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["find", KETCH, "zzz"]) == 1
    assert "zzz" in capsys.readouterr().err
