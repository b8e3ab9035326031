"""`check --why`: why a rule says nothing of a thing, on the command line."""

from __future__ import annotations

import json
from pathlib import Path

from engine.builder import Builder
from engine.files.drawing import save
from engine.rules import rules
from engine.rules.example_parts import boat, cable


def _drawn(b: Builder | None = None) -> Path:
    path = Path("boat.linewright")
    if b is None:
        example = next(e for e in rules()["rating-above-ampacity"].good if e.name.startswith("one device at 150 %"))
        save(example.build(), path)
    else:
        save(b.installation, path)
    return path


def _groups(out: str) -> list[str]:
    return [line for line in out.splitlines() if line.endswith(":") and not line.startswith(" ")]


def test_it_tells_group_by_group_the_least_margin_first(run) -> None:
    _drawn()
    code, out, err = run("check", "--why", "W12", "boat.linewright")
    assert err == ""
    assert out.splitlines()[0].startswith("boat.linewright: W12 (run from ")
    assert _groups(out) == ["Not judged:", "Passed, nearest to its limit first:", "Not applicable:"]
    # 180 A behind 6 AWG: 120 A, 150 % behind one device
    assert "0 %  rating-above-ampacity: feed 180 A, at most 180 A (allowed):" in out
    passed = out[out.index("Passed,") : out.index("Not applicable:")]
    margins = [float(line.split("%")[0]) for line in passed.splitlines() if "%  " in line[:12]]
    assert margins == sorted(margins)
    assert len(margins) > 1
    assert "It looks at buses; not at W12 (run)." in out
    assert "does not certify" in out
    assert code == run("check", "boat.linewright")[0]


def test_several_may_be_named_and_one_name_may_mean_several(run) -> None:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0)
    b.add("fuse", "F1", rating_a=30)
    b.add("fuse", "F1", rating_a=10)
    cable(b, "W1", "G1.pos", "F1.in", "6 AWG", 4)
    _drawn(b)
    _code, out, _err = run("check", "--why", "F1", "--why", "W1", "boat.linewright")
    heads = [line for line in out.splitlines() if line.startswith("boat.linewright: ")]
    assert len(heads) == 3
    assert heads[2] == "boat.linewright: W1 (run from G1 to F1)"
    assert out.count("CAUTION  duplicate-designation: 2 things are called F1") == 2


def test_json_says_the_same_as_data(run) -> None:
    _drawn()
    _code, out, _err = run("check", "--why", "W12", "--format", "json", "boat.linewright")
    made = json.loads(out)
    (told,) = made["why"]
    assert told["designation"] == "W12"
    by_rule = {said["rule"]: said for said in told["says"]}
    assert set(by_rule) == set(rules())
    rating = by_rule["rating-above-ampacity"]
    assert (rating["verdict"], rating["margin"], rating["unit"]) == ("passed", 0, "A")
    assert (rating["found"]["value"], rating["limit"]["value"]) == (180, 180)
    gap = next(said for said in told["says"] if said["verdict"] == "not judged")
    assert gap["would_be"]
    assert gap["missing"]
    assert by_rule["bus-overloaded"]["verdict"] == "not applicable"
    assert {one["rule"] for one in made["passed"]} >= {"rating-above-ampacity", "no-protection"}


def test_an_unknown_designation_is_one_sentence(run) -> None:
    _drawn()
    code, out, err = run("check", "--why", "F3", "--why", "Q99", "boat.linewright")
    assert code == 2
    assert out == ""
    assert err == "linewright: boat.linewright: nothing on the drawing is called 'Q99'\n"


def test_it_tells_of_one_drawing_and_not_in_every_form(run) -> None:
    _drawn()
    assert run("check", "--why", "F1", "boat.linewright", "boat.linewright")[0] == 2
    code, _out, err = run("check", "--why", "F1", "--format", "sarif", "boat.linewright")
    assert code == 2
    assert err == "linewright: --why is told as text or json, not as sarif\n"


def test_the_json_of_a_check_holds_what_was_proved_and_text_proves_nothing(run) -> None:
    _drawn()
    made = json.loads(run("check", "--format", "json", "boat.linewright")[1])
    least = min((one for one in made["passed"] if one["margin"] is not None), key=lambda one: one["margin"])
    assert least["margin"] == 0
    assert least["limit"]["value"] == least["found"]["value"]
    log = json.loads(run("check", "--format", "sarif", "boat.linewright")[1])
    kinds = {result["kind"] for result in log["runs"][0]["results"]}
    assert "pass" in kinds
    assert "at most" not in run("check", "boat.linewright")[1]
