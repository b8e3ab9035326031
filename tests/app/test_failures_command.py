"""`linewright failures`: text, JSON, files, what it says of bad input."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from app.cli import main

SAMPLES = Path(__file__).parents[2] / "samples"
KETCH = str(SAMPLES / "ketch" / "ketch.linewright")


def test_text_tells_what_goes_dark_and_what_feeds_the_rest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["failures", KETCH]) == 0
    text = capsys.readouterr().out
    after = text.split("T3 24/12 V converter, electronics fails")[1]
    assert after.split("\n\n")[0].strip().endswith("DARK: A41 VHF radio")
    bank = " ".join(text.split("G1 House bank shuts itself off, or is flat")[1].split("\n\n")[0].split())
    assert "G10 Shore supply with Q10 closed, Q13 closed" in bank
    assert "Battery fault currents and AC on boats kill." in " ".join(text.split())


def test_json_names_ids(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["failures", KETCH, "--format", "json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert len(told["loads"]) == 9
    kinds = {failure["kind"] for failure in told["failures"]}
    assert {"unit", "bank", "device"} <= kinds
    for failure in told["failures"]:
        assert [each["load"] for each in failure["loads"]] == [each["load"] for each in told["loads"]]


@pytest.mark.parametrize("ending", ["pdf", "xlsx", "csv", "json"])
def test_files(tmp_path: Path, capsys: pytest.CaptureFixture[str], ending: str) -> None:
    out = tmp_path / f"failures.{ending}"
    assert main(["failures", KETCH, "-o", str(out)]) == 0
    assert out.stat().st_size > 500
    assert "written" in capsys.readouterr().out


def test_a_budget_too_small_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["failures", KETCH, "--budget", "1"]) == 1
    assert "not decided" in capsys.readouterr().out


def test_a_budget_that_is_no_number(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["failures", KETCH, "--budget", "many"]) == 2
    assert "'many' is not a whole number above 0" in capsys.readouterr().err


def test_check_can_be_given_more_or_less_to_look_at(capsys: pytest.CaptureFixture[str]) -> None:
    """With one condition to look at, whether two sources meet is not decided, and that is a danger told as such."""
    workboat = str(SAMPLES / "workboat" / "workboat.linewright")
    assert main(["check", workboat, "--format", "json", "--budget", "1"]) == 1
    told = json.loads(capsys.readouterr().out)
    meeting = [f for f in told["findings"] if f["rule"] == "sources-meet"]
    assert meeting
    assert all("is not decided" in f["message"] for f in meeting)
    assert main(["check", workboat, "--format", "json", "--budget", "0"]) == 2
