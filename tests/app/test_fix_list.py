"""`check --fix-list`: the edits in words, numbered; the drawing stays as it is."""

from __future__ import annotations

import json
from pathlib import Path

from engine.builder import Builder
from engine.files.drawing import save
from engine.rules import rules

FUSE = "a fuse far above the ampacity"


def _drawn(slug: str, name: str) -> Path:
    example = next(e for e in rules()[slug].bad if e.name == name)
    path = Path("boat.linewright")
    save(example.build(), path)
    return path


def test_the_edits_are_listed_and_nothing_is_changed(run) -> None:
    path = _drawn("rating-above-ampacity", FUSE)
    before = path.read_bytes()
    code, out, _err = run("check", "--fix-list", "boat.linewright")
    assert code == 1  # as the judgement itself
    lines = [line.strip() for line in out.splitlines()]
    assert "1  fit F3 as 175 A" in lines
    assert "2  run W12 in 4 AWG" in lines
    assert path.read_bytes() == before


def test_json_has_them_beside_the_fixes(run) -> None:
    _drawn("rating-above-ampacity", FUSE)
    plain = json.loads(run("check", "--format", "json", "boat.linewright")[1])
    told = json.loads(run("check", "--fix-list", "--format", "json", "boat.linewright")[1])
    assert all("edits" not in finding for finding in plain["findings"])
    first = next(f for f in told["findings"] if f["rule"] == "rating-above-ampacity")
    assert first["edits"][:2] == ["fit F3 as 175 A", "run W12 in 4 AWG"]
    assert first["fixes"]


def test_what_no_edit_puts_right_says_so(run) -> None:
    b = Builder()
    b.add("shore_supply", "G1", ac_v=230, breaker_a=16, frequency_hz=50)
    b.add("load", "E1", dc_v=12, current_a=1.0)
    b.run("W1", "G1.out", "E1.in", function="ac", size="10 AWG", length_m=1.0)
    save(b.installation, "boat.linewright")
    _code, out, _err = run("check", "--fix-list", "boat.linewright")
    assert "No edit of the drawing is offered." in out


def test_a_clean_drawing_and_a_missing_one(run) -> None:
    save(Builder().installation, "empty.linewright")
    code, out, _err = run("check", "--fix-list", "empty.linewright")
    assert code == 0
    assert "0 findings" in out
    assert run("check", "--fix-list", "nowhere.linewright")[0] == 2
    assert run("check", "--fix-list", "--format", "sarif", "empty.linewright")[0] == 2
