"""What rests on assumed values: judged again here by hand with those taken away, and compared."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.books import load
from engine.builder import Builder
from engine.check import CheckResult, check
from engine.files.drawing import load as load_drawing
from engine.installation.model import Snapshot
from engine.missing import assumed_facts
from engine.record import field_specs
from engine.report import as_json, as_sarif
from engine.tracing import assumed_values, without_assumed
from engine.tracing.resting import carried, with_resting
from engine.tracing.told import finding_rests, resting_lines

ROOT = Path(__file__).parents[3]
BOOK = "metric"


def lamp(**origins: str) -> Snapshot:
    """A lamp behind a fuse that is too large for its cable; where values come from as given: `W2_size="assumed"`."""
    b = Builder(name="Sandling")
    cable = {"insulation_c": 105, "bundle": 1}
    b.add("battery_bank", "G1", unit_v=12, unit_ah=100, short_circuit_a=1200)
    b.add("fuse", "F1", rating_a=100, rated_dc_v=32)
    b.add("load", "E1", dc_v=12, power_w=60)
    b.run("W1", "G1.pos", "F1.in", size="16 mm2", length_m=0.1, **cable)
    b.run("W2", "F1.out", "E1.in", size="1.5 mm2", length_m=3, **cable)
    snapshot = b.installation.snapshot()
    for name, origin in origins.items():
        designation, _line, field = name.partition("_")
        snapshot = marked(snapshot, [(t, i, field) for t, i in everything(snapshot) if
                                     snapshot.tables[t][i].designation == designation], origin)  # fmt: skip
    return snapshot


def everything(snapshot: Snapshot) -> list[tuple[str, str]]:
    return [(table, item) for table in ("equipment", "runs") for item in snapshot.tables[table]]


def marked(snapshot: Snapshot, fields: list[tuple[str, str, str]], origin: str = "assumed") -> Snapshot:
    tables = {name: dict(records) for name, records in snapshot.tables.items()}
    for table, item, field in fields:
        record = tables[table][item]
        said = dict(record.origins) | {field: origin}
        tables[table][item] = msgspec.structs.replace(record, origins=tuple(sorted(said.items())))
    return Snapshot(tables=tables, lone=snapshot.lone)


def judged(snapshot: Snapshot, book: str = BOOK) -> CheckResult:
    return with_resting(check(snapshot, book), snapshot, load(book))


def test_a_finding_that_needs_an_assumed_size_says_so_and_stays_a_finding() -> None:
    result = judged(lamp(W2_size="assumed"))
    plain = check(lamp(), BOOK)
    assert result.findings == plain.findings
    over = next(f for f in result.findings if f.rule == "rating-above-ampacity" and "W2" in f.designations)
    one = next(r for r in result.resting if r.key == over.key)
    assert (one.what, one.without) == ("finding", "not judged")
    assert [(v.name, v.field) for v in one.values] == [("W2", "size")]
    assert "W2" in finding_rests(result, over.key)
    assert any("1 value is only assumed" in line for line in resting_lines(result))


def test_a_question_that_only_an_assumed_value_answers_is_told_as_a_pass() -> None:
    result = judged(lamp(W1_size="assumed"))
    passed = [r for r in result.resting if r.what == "passed" and r.rule == "no-protection"]
    assert [r.designations[0] for r in passed] == ["W1"] or any("W1" in r.designations for r in passed)


@pytest.mark.parametrize("origin", ["measured", "nameplate", "typed"])
def test_what_was_seen_is_not_assumed(origin: str) -> None:
    snapshot = lamp(W2_size=origin)
    result = check(snapshot, BOOK)
    assert with_resting(result, snapshot, load(BOOK)) is result
    assert resting_lines(result) == ()
    assert "assumed" not in as_json(result, "x")


def test_a_field_that_is_never_empty_is_told_as_one_that_stays() -> None:
    snapshot = lamp(W2_parallel="assumed")
    assert [(v.field, v.stays) for v in assumed_values(snapshot)] == [("parallel", True)]
    assert without_assumed(snapshot) is snapshot
    assert any("W2" in line and "could be judged" in line for line in resting_lines(judged(snapshot)))


def test_json_and_sarif_name_the_values() -> None:
    result = judged(lamp(W2_size="assumed"))
    made = as_json(result, "boat")
    assert [(v["on"], v["field"]) for v in made["assumed"]] == [("W2", "size")]
    keys = {f["fingerprint"] for f in made["findings"]}
    assert any(r["fingerprint"] in keys and r["what"] == "finding" for r in made["resting"])
    run = as_sarif([("boat", result)])["runs"][0]
    told = [r["properties"]["restsOnAssumed"] for r in run["results"] if "restsOnAssumed" in r["properties"]]
    assert told
    assert all(one == ["W2.size"] for one in told)
    assert run["properties"]["assumed"]


def test_assumed_values_are_to_be_read_with_the_rules_that_want_them() -> None:
    snapshot = lamp(W2_size="assumed", E1_power_w="assumed")
    bare = without_assumed(snapshot)
    facts = {(f.name, f.field): f for f in assumed_facts(check(bare, BOOK), bare, snapshot).facts}
    assert set(facts) == {("W2", "size"), ("E1", "power_w")}
    assert "rating-above-ampacity" in {u.rule for u in facts["W2", "size"].unlocks}
    assert facts["E1", "power_w"].assumed == "60 W"


def test_what_rested_is_kept_until_it_is_judged_anew_and_never_longer() -> None:
    before = judged(lamp(W2_size="assumed"))
    fresh = check(lamp(W2_size="assumed"), BOOK)
    assert carried(fresh, before, lamp(W2_size="assumed")).resting == before.resting
    assert carried(fresh, before, lamp()).resting == ()
    stale = msgspec.structs.replace(fresh, assumed=before.assumed, resting=before.resting)
    assert with_resting(stale, lamp(), load(BOOK)).resting == ()


def sample(name: str) -> Snapshot:
    return load_drawing(ROOT / "samples" / name / f"{name}.linewright").installation.snapshot()


def candidates(snapshot: Snapshot) -> list[tuple[str, str, str]]:
    """Every number and size recorded on equipment and runs."""
    found = []
    for table, item in everything(snapshot):
        record: Any = snapshot.tables[table][item]
        for spec in field_specs(type(record)):
            value = getattr(record, spec.name)
            if (spec.shape == "number" or spec.fact.unit == "size") and value not in (None, ""):
                found.append((table, item, spec.name))
    return found


LAUNCH = sample("launch")


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.sampled_from(candidates(LAUNCH)), min_size=1, max_size=6, unique=True))
def test_taken_away_what_is_said_to_rest_on_them_changes_and_the_rest_stays(fields: list[tuple[str, str, str]]) -> None:
    snapshot = marked(LAUNCH, fields)
    book = snapshot.settings.book
    result = judged(snapshot, book)
    again = check(without_assumed(snapshot), book)
    found = {f.key for f in again.findings} | {f.key for f in again.waived}
    open_now = {g.key for g in again.not_judged}
    rests = {r.key for r in result.resting if r.what != "passed"}
    for finding in (*result.findings, *result.waived):
        assert (finding.key in rests) == (finding.key not in found)
    before = {g.key for g in result.not_judged}
    for one in result.resting:
        assert one.values
        assert {(v.table, v.item, v.field) for v in one.values} <= set(fields)
        if one.what == "passed":
            assert one.key in (open_now if one.without == "not judged" else found)
            assert one.key not in before
    assert result.findings == check(LAUNCH, book).findings  # where a value comes from changes no finding


def test_the_ketch_says_which_finding_rests_on_her_assumed_efficiency() -> None:
    ketch = sample("ketch")
    result = judged(ketch, ketch.settings.book)
    assert [(v.name, v.field) for v in result.assumed] == [("T1", "efficiency")]
    assert {r.rule for r in result.resting if r.what == "finding"} == {"dips-on-start"}
