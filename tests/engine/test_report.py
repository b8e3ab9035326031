"""JSON as agreed; SARIF by what SARIF 2.1.0 (OASIS Standard, 27 March 2020) requires, clause by clause.

Clause numbers are from memory, not confirmed; the requirements were checked against the published schema.
"""

from __future__ import annotations

import datetime
import json
import re
from pathlib import Path
from urllib.parse import unquote

import pytest

from engine.builder import Builder
from engine.check import CheckResult, check
from engine.findings import Finding
from engine.report import as_json, as_sarif, dumps
from engine.rules import rules
from engine.rules.example_parts import boat, cable

TODAY = datetime.date(2026, 6, 1)
ONLY = ("needless-waiver", "rated-below-voltage", "sources-meet", "unconnected")


def installation() -> Builder:
    """One finding of every level, one waived, one not judged."""
    b = Builder(book="us-33cfr183", name="Sandling", engine_fuel="diesel")
    b.add("battery_bank", "G1", unit_v=48)
    b.add("fuse", "F1", rating_a=100, rated_dc_v=32, label="main fuse Ω")
    b.add("fuse", "F2", rating_a=100, rated_dc_v=32)
    b.add("fuse", "F3", rating_a=100)
    for number in "123":
        b.add("load", f"E{number}", dc_v=48)
        b.run(f"W1{number}", "G1.pos", f"F{number}.in", size="2 AWG", length_m=0.1)
        b.run(f"W2{number}", f"F{number}.out", f"E{number}.in", size="2 AWG", length_m=2)
    b.add("fuse", "F4", rating_a=10)
    b.waive(
        "rated-below-voltage", "F2", "G1", reason="replaced at haul-out", who="A. Tern", date="2026-03-01",
        review="2026-10-31",
    )  # fmt: skip
    b.waive("unconnected", "F9", reason="gone")
    return b


@pytest.fixture(scope="module")
def result() -> CheckResult:
    return check(installation().installation.snapshot(), only=ONLY, today=TODAY)


@pytest.fixture(scope="module")
def run(result: CheckResult) -> dict:
    log = json.loads(dumps(as_sarif([("boats/Sand ling.linewright", result)])))
    assert len(log["runs"]) == 1
    return log["runs"][0]


# -- JSON -----------------------------------------------------------------------------------------------------------
def test_json_has_the_agreed_members(result: CheckResult) -> None:
    made = json.loads(dumps(as_json(result, "sandling.linewright")))
    assert list(made) == [
        "file", "book", "edition", "findings", "not_judged", "waived", "passed", "no_clause", "assumptions",
        "cautions", "summary",
    ]  # fmt: skip
    assert (made["file"], made["book"], made["edition"]) == ("sandling.linewright", "us-33cfr183", "2015")
    assert any("does not certify" in text for text in made["cautions"])
    danger = made["findings"][0]
    assert danger["rule"] == "rated-below-voltage"
    assert danger["word"] == "danger"
    assert danger["designations"] == ["F1", "G1"]
    assert danger["figures"] == {
        "rated voltage": {"value": 32.0, "unit": "V"},
        "voltage": {"value": 48.0, "unit": "V"},
    }
    assert danger["clause"] == "33 CFR 183.455(d)"
    assert danger["confirmed"] is True
    assert danger["law_here"] is False
    assert danger["fixes"] == ["fit a device rated 48 V DC or more"]
    assert danger["condition"] == "in every switch position"
    assert danger["message"].startswith("F1 (main fuse Ω) is rated 32 V DC; ")
    assert "undecided" not in danger
    (gap,) = made["not_judged"]
    assert (gap["rule"], gap["would_be"], gap["designations"], gap["missing"]) == (
        "rated-below-voltage",
        "danger",
        ["F3"],
        ["F3.rated_dc_v"],
    )
    (waived,) = made["waived"]
    assert waived["waiver"]["who"] == "A. Tern"
    assert made["no_clause"] == ["needless-waiver", "sources-meet", "unconnected"]
    assert made["summary"]["danger"] == 1
    assert made["summary"]["not_judged"] == 1


def test_what_was_proved_stands_beside_the_findings() -> None:
    proved = check(installation().installation.snapshot(), only=["no-protection", "unconnected"], proving=True)
    made = json.loads(dumps(as_json(proved, "x")))["passed"]
    (loose,) = [one for one in made if one["designations"] == ["F1"]]
    assert loose["rule"] == "unconnected"
    assert loose["message"].startswith("A run arrives at every terminal of F1")
    assert loose["margin"] is None
    assert loose["at_least"] is False
    assert not [one for one in made if one["designations"] == ["F4"]]


def test_a_margin_is_a_share_of_its_limit() -> None:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0)
    b.add("fuse", "F1", rating_a=30)
    b.add("load", "E1", dc_v=12)
    cable(b, "W1", "G1.pos", "F1.in", "6 AWG", 4)
    cable(b, "W2", "F1.out", "E1.in", "6 AWG", 80)
    proved = check(b.installation.snapshot(), only=["far-from-source"], proving=True)
    passed, begins = json.loads(dumps(as_json(proved, "x")))["passed"]
    assert begins["message"] == "Run W2 is protected where it begins."
    assert passed["unit"] == "m"
    assert passed["found"] == {"name": "distance", "value": 0.1016}
    assert passed["limit"] == {"name": "allowed", "value": 0.1778}  # 4 in of 7 in
    assert passed["margin"] == pytest.approx(1 - 4 / 7, rel=1e-3)
    (run,) = as_sarif([("x", proved)])["runs"]
    told = run["results"][0]
    assert (told["kind"], told["level"]) == ("pass", "none")
    assert told["message"]["text"] == "distance 0.1016 m, allowed 0.1778 m or less."
    assert told["properties"]["margin"] == passed["margin"]


def test_an_undecided_finding_is_marked(monkeypatch: pytest.MonkeyPatch) -> None:
    def undecided(study):
        yield Finding(rule="unconnected", word="caution", designations=(), ids=(), message="?", undecided=True)

    monkeypatch.setitem(rules(), "unconnected", rules()["unconnected"]._replace(check=undecided))
    result = check(Builder().installation.snapshot(), only=["unconnected"])
    assert as_json(result, "x")["findings"][0]["undecided"] is True


def test_same_bytes_every_time_and_no_time_in_them(result: CheckResult) -> None:
    again = check(installation().installation.snapshot(), only=ONLY, today=TODAY)
    for make in (lambda r: as_json(r, "x"), lambda r: as_sarif([("x", r)])):
        assert dumps(make(result)) == dumps(make(again))
        assert not re.search(rb'"\d{4}-\d\d-\d\dT', dumps(make(result)))


# -- SARIF 2.1.0 ----------------------------------------------------------------------------------------------------
def test_log_file(result: CheckResult) -> None:
    """3.13.2 version, 3.13.3 $schema, 3.13.4 runs."""
    log = as_sarif([("a.linewright", result), ("b.linewright", result)])
    assert log["version"] == "2.1.0"
    assert log["$schema"].endswith("sarif-schema-2.1.0.json")
    assert [r["artifacts"][0]["location"]["uri"] for r in log["runs"]] == ["a.linewright", "b.linewright"]


def test_tool_and_rules(run: dict) -> None:
    """3.14.6 tool, 3.18.2 driver, 3.19.8 name, 3.19.23 rules, 3.49.3 id, 3.49.9 short description, 3.49.13 help."""
    driver = run["tool"]["driver"]
    assert driver["name"]
    assert driver["version"]
    ids = [rule["id"] for rule in driver["rules"]]
    assert ids == sorted(set(ids)) == list(ONLY)
    for rule in driver["rules"]:
        assert rule["shortDescription"]["text"]
        assert "Why it matters" in rule["help"]["text"]
        assert rule["defaultConfiguration"]["level"] in ("error", "warning", "note")


def test_every_result(run: dict) -> None:
    """3.27.5 ruleId, 3.27.6 ruleIndex, 3.27.9 kind, 3.27.10 level, 3.27.11 message, 3.27.17 partialFingerprints."""
    ids = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
    prints = set()
    for each in run["results"]:
        assert ids[each["ruleIndex"]] == each["ruleId"]
        assert each["kind"] in ("fail", "open")
        # 3.27.10: any kind but fail goes with level none
        assert (each["level"] == "none") == (each["kind"] == "open")
        assert each["message"]["text"]
        (mark,) = each["partialFingerprints"].values()
        prints.add((each["kind"], mark))
    assert len(prints) == len(run["results"])


def test_levels_follow_the_signal_words(run: dict) -> None:
    """3.27.10: danger is error, warning and caution are warning, notice is note."""
    levels = {(r["properties"]["word"], r["level"]) for r in run["results"] if r["kind"] == "fail"}
    assert levels == {("danger", "error"), ("caution", "warning"), ("notice", "note")}


def test_what_could_not_be_judged_is_open(run: dict) -> None:
    """3.27.9: *open*, evaluated with insufficient information to decide."""
    (gap,) = [r for r in run["results"] if r["kind"] == "open"]
    assert "F3.rated_dc_v" in gap["message"]["text"]
    assert gap["properties"]["wouldBe"] == "danger"


def test_locations(run: dict) -> None:
    """3.28.3 physicalLocation, 3.29.3 artifactLocation, 3.4.3 uri, 3.4.5 index, 3.28.4 and 3.33 logicalLocations."""
    assert unquote(run["artifacts"][0]["location"]["uri"]) == "boats/Sand ling.linewright"
    assert " " not in run["artifacts"][0]["location"]["uri"]
    for each in run["results"]:
        (place,) = each["locations"]
        at = place["physicalLocation"]["artifactLocation"]
        assert run["artifacts"][at["index"]]["location"]["uri"] == at["uri"]
    danger = next(r for r in run["results"] if r["level"] == "error")
    fuse, bank = danger["locations"][0]["logicalLocations"]
    assert (fuse["name"], fuse["kind"]) == ("F1", "equipment")
    assert (bank["name"], bank["kind"]) == ("G1", "equipment")
    assert fuse["fullyQualifiedName"] != bank["fullyQualifiedName"]


def test_suppressions(run: dict) -> None:
    """3.27.23: present in all results of a run or in none; 3.35.2 kind, 3.35.3 status, 3.35.4 justification."""
    assert all("suppressions" in r for r in run["results"])
    (waived,) = [r for r in run["results"] if r["suppressions"]]
    (suppression,) = waived["suppressions"]
    assert suppression["kind"] == "inSource"
    assert suppression["status"] == "accepted"
    assert "A. Tern" in suppression["justification"]


def test_invocation(run: dict, monkeypatch: pytest.MonkeyPatch) -> None:
    """3.20.14 executionSuccessful; 3.20.21 toolExecutionNotifications, where a rule was stopped."""
    assert run["invocations"] == [{"executionSuccessful": True}]

    def broken(study):
        raise ZeroDivisionError

    monkeypatch.setitem(rules(), "unconnected", rules()["unconnected"]._replace(check=broken))
    result = check(Builder().installation.snapshot(), only=["unconnected"])
    (invocation,) = as_sarif([("x", result)])["runs"][0]["invocations"]
    assert invocation["executionSuccessful"] is False
    (notification,) = invocation["toolExecutionNotifications"]
    assert notification["message"]["text"]
    assert notification["associatedRule"] == {"id": "unconnected", "index": 0}


def test_an_absolute_path_is_a_file_uri(result: CheckResult, tmp_path: Path) -> None:
    """3.10.2 and RFC 8089."""
    uri = as_sarif([(str(tmp_path / "a b.linewright"), result)])["runs"][0]["artifacts"][0]["location"]["uri"]
    assert uri.startswith("file:///")
    assert uri.endswith("a%20b.linewright")
