"""`check --fix-list` and `fix`: the edits in words, numbered; the drawing stays as it is, a copy has them done."""

from __future__ import annotations

import json
from pathlib import Path

from engine.builder import Builder
from engine.files.drawing import load, save
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


# -- fix ------------------------------------------------------------------------------------------------------------
def _rating(path: str) -> float | None:
    return next(r for r in load(path).installation.equipment.values() if r.designation == "F3").rating_a


def test_a_copy_is_written_with_the_edit_done(run) -> None:
    path = _drawn("rating-above-ampacity", FUSE)
    before = path.read_bytes()
    code, out, err = run("fix", "boat.linewright", "1", "-o", "mended.linewright")
    assert (code, err) == (0, "")
    assert "rating-above-ampacity at W12, F3: fit F3 as 175 A" in out
    assert path.read_bytes() == before
    assert _rating("mended.linewright") == 175.0
    assert run("check", "mended.linewright", "--allow-unknown", "--fail-on", "danger")[0] == 0


def test_two_edits_of_one_finding_are_done_once(run) -> None:
    _drawn("rating-above-ampacity", FUSE)
    code, _out, err = run("fix", "boat.linewright", "1,2", "-o", "mended.linewright")
    assert code == 0
    assert "is put right already; “run W12 in 4 AWG” is not done" in err


def test_what_cannot_be_done_is_said_and_nothing_is_written(run) -> None:
    path = _drawn("rating-above-ampacity", FUSE)
    before = path.read_bytes()
    for arguments, why in (
        (("99", "-o", "mended.linewright"), "there is no edit 99"),
        (("one", "-o", "mended.linewright"), "expected numbers like 3 or 1,4"),
        (("0", "-o", "mended.linewright"), "expected numbers like 3 or 1,4"),
        (("1", "-o", "boat.linewright"), "is the drawing itself"),
        (("1", "-o", "mended.pdf"), "the ending is .pdf"),
    ):
        code, _out, err = run("fix", "boat.linewright", *arguments)
        assert code == 2
        assert why in err
    assert path.read_bytes() == before
    assert not Path("mended.linewright").exists()
    save(Builder().installation, "there.linewright")
    assert "--replace writes over it" in run("fix", "boat.linewright", "1", "-o", "there.linewright")[2]
    assert run("fix", "boat.linewright", "1", "-o", "there.linewright", "--replace")[0] == 0
