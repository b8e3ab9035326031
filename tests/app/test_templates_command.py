"""`linewright templates` and `linewright place`, as somebody types them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from app.cli import main
from engine.builder import Builder
from engine.files.drawing import load, save
from engine.files.lock import Lock, take
from engine.templates import templates


@pytest.fixture
def empty(tmp_path: Path) -> Path:
    """A drawing with nothing in it."""
    path = tmp_path / "turnstone.linewright"
    save(Builder("trade-na", name="Turnstone").installation, path)
    return path


def test_the_list_names_every_template_and_its_questions(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["templates"]) == 0
    out = capsys.readouterr().out
    for template in templates().values():
        assert template.name in out
    assert "1 to 3; usual: 1" in out
    assert main(["templates", "solar", "--format", "json"]) == 0
    (told,) = json.loads(capsys.readouterr().out)
    assert told["name"] == "solar"
    assert {"volts", "bus"} <= {question["name"] for question in told["questions"]}
    assert main(["templates", "bypas"]) == 2
    assert "did you mean 'bypass'?" in capsys.readouterr().err


def test_placing_writes_a_copy_and_leaves_the_drawing(empty: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before, out = empty.read_bytes(), empty.with_name("out.linewright")
    assert main(["place", "solar", str(empty), "volts=24", "array_m=12 ft", "-o", str(out)]) == 0
    assert "placed: G1," in capsys.readouterr().out
    assert empty.read_bytes() == before
    drawn = load(out).installation
    assert {r.dc_v for r in drawn.equipment.values() if r.KIND == "solar_controller"} == {24}
    assert any(abs((r.length_m or 0) - 3.6576) < 1e-9 for r in drawn.runs.values())
    assert main(["place", "solar", str(empty), "-o", str(out)]) == 2  # it is there
    assert "--replace" in capsys.readouterr().err
    assert main(["place", "solar", str(empty), "-o", str(out), "--replace"]) == 0


def test_without_a_copy_the_drawing_itself_is_written(empty: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["place", "charging-relay", str(empty)]) == 0
    assert main(["place", "solar", str(empty), "--sheet", "1"]) == 0
    drawn = load(empty).installation
    assert len(drawn.snapshot().sheets) == 1
    assert sum(r.KIND == "battery_bank" for r in drawn.equipment.values()) == 3
    assert not list(empty.parent.glob(".*lock"))
    capsys.readouterr()


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["solar", "{file}", "volts"], "expected an answer like volts=24"),
        (["solar", "{file}", "volts=24", "volts=12"], "a question is answered twice"),
        (["solar", "{file}", "volts=13"], "volts: it is one of 12, 24, 48"),
        (["sola", "{file}"], "did you mean 'solar'?"),
        (["solar", "{file}", "--sheet", "4"], "has no sheet 4"),
        (["solar", "{file}x"], "there is no such file"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_nothing_is_written(
    empty: Path, arguments: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = empty.read_bytes()
    assert main(["place", *(a.format(file=empty) for a in arguments)]) == 2
    error = capsys.readouterr().err
    assert told in error
    assert "Traceback" not in error
    assert empty.read_bytes() == before


def test_a_drawing_that_is_open_elsewhere_is_not_written(empty: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before, held = empty.read_bytes(), take(empty)
    assert isinstance(held, Lock)
    try:
        assert main(["place", "solar", str(empty)]) == 2
        assert "Nothing is written; -o writes a copy." in capsys.readouterr().err
        assert empty.read_bytes() == before
    finally:
        held.release()
