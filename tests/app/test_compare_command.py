"""`linewright compare`: what a person reads, what a program reads, the exit code, the marked sheets."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from app.cli import main
from app.words import load as load_words
from engine.builder import Builder
from engine.cautions import CAUTIONS
from engine.edits import SetFields, apply
from engine.files.drawing import load, save

LAUNCH = Path(__file__).parents[2] / "samples" / "launch" / "launch.linewright"


@pytest.fixture
def changed(tmp_path: Path) -> Path:
    installation = load(LAUNCH).installation
    fuse = installation.find("F1")[0][1]
    apply(installation, SetFields("equipment", fuse, (("rating_a", 33.0),)))
    path = tmp_path / "other.linewright"
    save(installation, path)
    return path


def test_the_same_drawing(capsys: Any) -> None:
    assert main(["compare", str(LAUNCH), str(LAUNCH)]) == 0
    out = capsys.readouterr().out
    assert "Nothing differs" in out
    assert " ".join(CAUTIONS[0].split()) in " ".join(out.split())


def test_one_value(changed: Path, capsys: Any) -> None:
    assert main(["compare", str(LAUNCH), str(changed)]) == 1
    out = capsys.readouterr().out
    assert "changed: F1 Helm panel fuse" in out
    assert "rated current of the link: 30 A, now 33 A" in out


def test_as_json(changed: Path, capsys: Any) -> None:
    assert main(["compare", str(LAUNCH), str(changed), "--format", "json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["matched"] == "ids"
    assert [(c["name"], c["field"], c["before"], c["after"]) for c in told["changed"]] == [("F1", "rating_a", 30, 33)]
    assert told["added"] == told["removed"] == []


def test_two_lists_are_matched_by_likeness_and_why_is_told(tmp_path: Path, capsys: Any) -> None:
    assert main(["compare", str(LAUNCH), str(LAUNCH), "--match", "likeness", "--why"]) == 0
    out = capsys.readouterr().out
    assert "F1 is F1 (1 of 1): both are called F1" in out
    assert "runs lead to the same" in out


def test_marked_sheets(changed: Path, tmp_path: Path, capsys: Any) -> None:
    target = tmp_path / "marked.pdf"
    assert main(["compare", str(LAUNCH), str(changed), "-o", str(target)]) == 1
    assert target.read_bytes().startswith(b"%PDF")
    assert str(target) in capsys.readouterr().err


@pytest.mark.parametrize("wrong", [["nothing.linewright"], ["README.md"]])
def test_bad_input_is_one_sentence(wrong: list[str], tmp_path: Path, capsys: Any) -> None:
    (tmp_path / "README.md").write_text("no drawing")
    assert main(["compare", str(LAUNCH), str(tmp_path / wrong[0])]) == 2
    err = capsys.readouterr().err
    assert err.count("\n") == 1
    assert "Traceback" not in err


def test_a_form_nobody_writes_is_refused_before_anything_is_read(capsys: Any) -> None:
    assert main(["compare", "a.linewright", "b.linewright", "-o", "marked.doc"]) == 2
    assert ".pdf" in capsys.readouterr().err


def test_in_german_numbers_are_german(changed: Path, capsys: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    installation = load(changed).installation
    fuse = installation.find("F1")[0][1]
    apply(installation, SetFields("equipment", fuse, (("rating_a", 33.5),)))
    save(installation, changed)
    monkeypatch.setenv("LANGUAGE", "de")
    try:
        assert main(["compare", str(LAUNCH), str(changed)]) == 1
    finally:
        load_words("en")
    out = capsys.readouterr().out
    assert "33,5 A" in out
    assert "33.5" not in out


def test_two_lists_of_one_boat_and_what_is_not_sure_is_listed(tmp_path: Path, capsys: Any) -> None:
    """Two lamps nobody can tell apart, one fuse less and one renamed: the lamps are told as unsure without asking."""
    files = []
    for hand in ("one", "other"):
        b = Builder()
        b.add("battery_bank", "G1", unit_v=12, label="House bank")
        for name in ("F1", "F2") if hand == "one" else ("F7", "F1"):  # another order: another id for everything
            b.add("fuse", name, rating_a=10.0 if name in ("F1", "F7") else 20.0)
        if hand == "other":
            b.add("load", "", label="Lamp", current_a=2.0)
        b.add("load", "", label="Lamp", current_a=2.0)
        if hand == "one":
            b.add("load", "", label="Windlass", current_a=80.0)
        path = tmp_path / f"{hand}.linewright"
        save(b.installation, path)
        files.append(str(path))
    assert main(["compare", *files, "--match", "likeness"]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "The two were made apart" in out
    assert "Taken for the same, but not surely" in out
    assert "Lamp is Lamp (1 of 1, not sure)" in out
    assert "removed: Windlass" in out
    assert main(["compare", *files, "--match", "likeness", "--format", "json"]) == 1
    read = json.loads(capsys.readouterr().out)
    assert {each["name"]: each["record"]["kind"] for each in read["removed"]}["Windlass"] == "load"
    assert main(["compare", files[1], files[0], "--match", "likeness", "--format", "json"]) == 1
    back = json.loads(capsys.readouterr().out)
    assert {(p["before"], p["after"], p["score"]) for p in read["pairs"]} == {
        (p["after"], p["before"], p["score"]) for p in back["pairs"]
    }


def test_matched_by_ids_nothing_heavy_is_loaded() -> None:
    script = "import sys; from app.cli import main; main(sys.argv[1:]); print([m for m in sys.modules if m in HEAVY])"
    script = script.replace("HEAVY", repr(("scipy", "shapely", "reportlab", "PySide6", "fontTools", "PIL", "openpyxl")))
    run = subprocess.run(
        [sys.executable, "-c", script, "compare", str(LAUNCH), str(LAUNCH)], capture_output=True, text=True, check=True
    )
    assert run.stdout.splitlines()[-1] == "[]"
