"""`linewright compare`: what a person reads, what a program reads, the exit code, the marked sheets."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from app.cli import main
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
