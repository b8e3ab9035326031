"""`linewright merge`: what a person reads and decides, what is written and what never is."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from app.cli import main
from engine.edits import SetFields, apply
from engine.files.drawing import load, save

LAUNCH = Path(__file__).parents[2] / "samples" / "launch" / "launch.linewright"


def made(path: Path, **fields: Any) -> str:
    installation = load(LAUNCH).installation
    for designation, values in fields.items():
        table, item = installation.find(designation)[0]
        apply(installation, SetFields(table, item, tuple(values.items())))
    save(installation, path)
    return str(path)


@pytest.fixture
def a(tmp_path: Path) -> str:
    return made(tmp_path / "a.linewright", F1={"rating_a": 25.0}, W1={"note": "seen"})


@pytest.fixture
def b(tmp_path: Path) -> str:
    return made(tmp_path / "b.linewright", F1={"rating_a": 20.0}, W2={"note": "renewed"})


def test_what_meets_is_listed_with_all_three_values(a: str, b: str, tmp_path: Path, capsys: Any) -> None:
    out = tmp_path / "out.linewright"
    assert main(["merge", str(LAUNCH), a, b, "-o", str(out)]) == 1
    told = capsys.readouterr()
    assert "1. F1" in told.out
    assert all(f"{side}: {value} A" in told.out for side, value in (("base", 30), ("a", 25), ("b", 20)))
    assert not out.exists()
    assert "nothing is written" in told.err


@pytest.mark.parametrize(
    ("how", "rating"), [(["--take", "1=b"], 20.0), (["--rest", "a"], 25.0), (["--take", "1=base"], 30.0)]
)
def test_decided_it_is_written(how: list[str], rating: float, a: str, b: str, tmp_path: Path) -> None:
    out = tmp_path / "out.linewright"
    assert main(["merge", str(LAUNCH), a, b, "-o", str(out), *how]) == 0
    x = load(out).installation
    assert x.get(*x.find("F1")[0]).rating_a == rating
    assert x.get(*x.find("W1")[0]).note == "seen"
    assert x.get(*x.find("W2")[0]).note == "renewed"


def test_as_json(a: str, b: str, capsys: Any) -> None:
    assert main(["merge", str(LAUNCH), a, b, "--format", "json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert [(c["number"], c["field"], c["a"], c["b"]) for c in told["open"]] == [(1, "rating_a", "25 A", "20 A")]


@pytest.mark.parametrize("take", ["2=a", "1=c", "x", "0=a", "1=", "1=a=b"])
def test_a_choice_that_is_none_is_one_sentence(take: str, a: str, b: str, capsys: Any) -> None:
    assert main(["merge", str(LAUNCH), a, b, "--take", take]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_no_input_is_written_over(a: str, b: str, capsys: Any) -> None:
    before = Path(a).read_bytes()
    assert main(["merge", str(LAUNCH), a, b, "-o", a, "--rest", "a", "--replace"]) == 2
    assert Path(a).read_bytes() == before
    capsys.readouterr()


def test_other_boats_are_refused(a: str, capsys: Any) -> None:
    ketch = LAUNCH.parents[1] / "ketch" / "ketch.linewright"
    assert main(["merge", str(LAUNCH), a, str(ketch)]) == 2
    assert "do not come from one another" in capsys.readouterr().err
