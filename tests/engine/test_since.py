"""What is new, as before and gone; and that moves, other labels and another order change no fingerprint."""

from __future__ import annotations

import random
import re
from collections import Counter, defaultdict
from pathlib import Path

import msgspec
import pytest

from engine.builder import Builder
from engine.check import CheckResult, check
from engine.edits import Put, SetFields, apply
from engine.files.drawing import dump, load, read_bytes
from engine.findings import Finding, NotJudged
from engine.installation import Installation
from engine.since import Since, counterparts, since

SAMPLES = Path(__file__).parents[2] / "samples"
SAMPLED = ("workboat", pytest.param("ketch", marks=pytest.mark.long))


def boat(*, fuse_a: float | None = 60, first: str = "", length_m: float = 3, more: bool = False) -> Installation:
    """A bank feeds a lamp over 14 AWG behind a fuse that is too large; `first`: a lead drawn before all else."""
    b = Builder(name="Sandling")
    b.place("Saloon", "accommodation", 30)
    cable = {"insulation_c": 105, "bundle": 1, "places": ("Saloon",), "size": "14 AWG"}
    if first:
        b.add("load", first, dc_v=12, power_w=5, label="Anchor lamp")
        b.add("fuse", "F9", rating_a=50, rated_dc_v=32, label="Anchor lamp", fuse_class="other")
        b.run("W9", "F9.out", f"{first}.in", length_m=9, **cable)
    b.add("battery_bank", "G1", unit_v=12, unit_ah=100, short_circuit_a=1200, internal_resistance_ohm=0.01)
    b.add("fuse", "F1", rating_a=fuse_a, rated_dc_v=32, label="Saloon lamp")
    b.add("load", "E1", dc_v=12, power_w=60, label="Saloon lamp")
    b.run("W1", "G1.pos", "F1.in", length_m=0.1, **cable)
    b.run("W2", "F1.out", "E1.in", length_m=length_m, **cable)
    if first:
        b.run("W8", "G1.pos", "F9.in", length_m=0.1, **cable)
    if more:
        b.add("load", "E2", dc_v=12, power_w=60)
        b.run("W3", "G1.pos", "E2.in", length_m=3, **cable)
    return b.installation


def told(before: Installation, after: Installation) -> Since:
    was, now = before.snapshot(), after.snapshot()
    return since(check(was, "trade-na"), check(now, "trade-na"), counterparts(was, now))


def named(findings: object) -> set[tuple[str, tuple[str, ...]]]:
    return {(one.finding.rule, one.finding.designations) for one in findings}  # type: ignore[attr-defined]


def of(name: str, made: Installation) -> str:
    ((_table, item),) = made.find(name)
    return item


# -- sorting --------------------------------------------------------------------------------------------------------
def test_the_same_drawing_has_nothing_new_and_nothing_gone() -> None:
    found = told(boat(), boat())
    assert (*found.new, *found.gone, *found.new_gaps, *found.gone_gaps) == ()
    assert ("rating-above-ampacity", ("W2", "F1")) in named(found.kept)
    assert all(not kept.changes for kept in found.kept)
    assert not found.fails("notice")


def test_what_is_put_right_is_gone_and_what_is_added_is_new() -> None:
    found = told(boat(), boat(fuse_a=15, more=True))
    assert any(rule == "rating-above-ampacity" for rule, _names in named(found.gone))
    assert all(not gone.now for gone in found.gone if gone.finding.rule == "rating-above-ampacity")
    assert ("no-protection", ("W3", "G1")) in named(found.new)
    assert found.fails("danger")


def test_a_figure_that_changed_is_told_and_the_finding_is_not_new() -> None:
    found = told(boat(fuse_a=60), boat(fuse_a=80))
    (kept,) = (k for k in found.kept if k.finding.rule == "rating-above-ampacity" and "W2" in k.finding.designations)
    assert any("60" in change and "80" in change for change in kept.changes)
    assert "rating-above-ampacity" not in {new.finding.rule for new in found.new}
    assert not since(_with(kept.before), _with(kept.finding)).fails("notice")


def test_a_finding_that_can_no_longer_be_judged_is_not_told_as_put_right() -> None:
    found = told(boat(), boat(fuse_a=None))
    (gone,) = (g for g in found.gone if g.finding.rule == "rating-above-ampacity" and g.finding.designations[0] == "W2")
    assert gone.now == "not judged"
    assert any(gap.rule == "rating-above-ampacity" for gap in found.new_gaps)
    assert found.fails("danger")
    assert not found.fails("danger", allow_unknown=True)
    back = told(boat(fuse_a=None), boat())
    (new,) = (n for n in back.new if n.finding.rule == "rating-above-ampacity" and n.finding.designations[0] == "W2")
    assert new.was == "not judged"


def test_a_waived_finding_is_gone_because_it_is_waived_and_comes_back_as_such() -> None:
    plain, waived = boat(), boat()
    finding = next(f for f in check(plain.snapshot(), "trade-na").findings if f.rule == "rating-above-ampacity")
    record = load_waiver(finding)
    apply(waived, Put("waivers", f"w{waived.last_id + 1}", record))
    (gone,) = (g for g in told(plain, waived).gone if g.finding.rule == "rating-above-ampacity")
    assert gone.now == "waived"
    (new,) = (n for n in told(waived, plain).new if n.finding.rule == "rating-above-ampacity")
    assert new.was == "waived"


def load_waiver(finding: Finding) -> object:
    from engine.installation import Waiver

    return Waiver(
        rule=finding.rule, designations=finding.designations, reason="as built", who="A. Dunnock", review="2099-01-01"
    )


def _with(*remarks: Finding | NotJudged, **more: object) -> CheckResult:
    return CheckResult(
        book="trade-na",
        title="",
        edition="1",
        basis="",
        binds="",
        law=None,
        findings=tuple(r for r in remarks if isinstance(r, Finding)),
        not_judged=tuple(r for r in remarks if isinstance(r, NotJudged)),
        **more,  # type: ignore[arg-type]
    )


def test_a_word_that_became_worse_fails_and_one_that_became_better_does_not() -> None:
    mild = Finding(rule="overloaded", word="caution", designations=("W1",), ids=("r1",), message="It is.")
    bad = msgspec.structs.replace(mild, word="danger")
    worse = since(_with(mild), _with(bad))
    assert worse.kept[0].changes == ("caution has become danger",)
    assert worse.fails("danger")
    assert not since(_with(bad), _with(mild)).fails("caution")


def test_a_rule_that_a_fault_stopped_counts_whatever_is_allowed() -> None:
    gap = NotJudged(rule="overloaded", would_be="danger", designations=(), ids=(), missing=(), detail="stopped")
    found = Finding(rule="overloaded", word="danger", designations=("W1",), ids=("r1",), message="It is.")
    stopped = since(_with(found), _with(gap, stopped=("overloaded",)))
    assert stopped.fails("danger", allow_unknown=True)
    assert stopped.gone[0].now == "not judged"


def test_several_findings_alike_are_matched_one_to_one() -> None:
    one = Finding(rule="overloaded", word="caution", designations=("W1",), ids=("r1",), message="It is.")
    found = since(_with(one), _with(one, one))
    assert (len(found.new), len(found.kept), len(found.gone)) == (1, 1, 0)


# -- a drawing made anew -----------------------------------------------------------------------------------------------
def test_a_drawing_made_anew_with_one_more_thing_in_front_keeps_its_findings() -> None:
    """Every id stands for another thing then; F1 stays F1 by what is recorded of it."""
    before, after = boat(), boat(first="E5")
    assert of("F1", before) != of("F1", after)
    found = told(before, after)
    assert "W2" not in {name for new in found.new for name in new.finding.designations}
    assert ("rating-above-ampacity", ("W2", "F1")) in named(found.kept)
    assert all(not kept.changes for kept in found.kept if kept.finding.designations == ("W2", "F1"))
    back = told(after, before)
    assert not {name for gone in back.gone for name in gone.finding.designations} & {"W2", "E1"}


def test_without_drawings_designations_match_what_ids_do_not() -> None:
    one = Finding(rule="overloaded", word="caution", designations=("W1",), ids=("r1",), message="It is.")
    moved = msgspec.structs.replace(one, ids=("r7",))
    assert len(since(_with(one), _with(moved)).kept) == 1
    other = msgspec.structs.replace(one, ids=("r7",), designations=("W8",))
    assert (len(since(_with(one), _with(other)).new), len(since(_with(one), _with(other)).gone)) == (1, 1)


# -- fingerprints ---------------------------------------------------------------------------------------------------
def _moved(made: Installation, rng: random.Random) -> None:
    for item in made.ids("placements"):
        there = made.get("placements", item)
        apply(made, SetFields("placements", item, (("x", there.x + rng.randint(0, 9)), ("y", there.y + 4))))
    for item in made.ids("routes"):
        apply(made, SetFields("routes", item, (("bends", ()),)))


def _called_otherwise(made: Installation, rng: random.Random) -> None:
    """Designations change hands among things of one letter, the hardest case; each stays of its letter."""
    for table in ("equipment", "runs"):
        groups: dict[str, list[tuple[str, str]]] = defaultdict(list)
        for item in made.ids(table):
            name = made.get(table, item).designation
            if name:
                groups[re.sub(r"\d+$", "", name)].append((item, name))
        for group in groups.values():
            names = [name for _item, name in group]
            if len(set(names)) == len(names):  # where two are called alike that itself is a finding
                rng.shuffle(names)
                for (item, _old), name in zip(group, names, strict=True):
                    apply(made, SetFields(table, item, (("designation", name),)))


def _made_anew(made: Installation, rng: random.Random) -> Installation:
    """The same boat from lists in another order: every record has the id of another."""
    text = dump(made).decode()
    anew: dict[str, str] = {}
    for table in ("equipment", "runs", "places", "enclosures", "placements", "routes", "conditions"):
        ids = made.ids(table)
        anew |= dict(zip(ids, rng.sample(ids, len(ids)), strict=True))
    return read_bytes(re.sub(r'"([a-z]\d+)"', lambda m: f'"{anew.get(m[1], m[1])}"', text).encode()).installation


@pytest.mark.parametrize("sample", SAMPLED)
def test_moves_and_other_labels_change_no_fingerprint(sample: str) -> None:
    made = load(SAMPLES / sample / f"{sample}.linewright").installation
    before = made.snapshot()
    was = _judged(sample)
    _moved(made, random.Random(sample))
    _called_otherwise(made, random.Random(sample))
    after = made.snapshot()
    assert after != before
    now = check(after)
    assert _keys(now) == _keys(was)
    assert Counter(gap.key for gap in now.not_judged) == Counter(gap.key for gap in was.not_judged)
    found = since(was, now, counterparts(before, after))
    skipped = ("needless-waiver", "duplicate-designation")  # they speak of labels
    assert [n.finding.key for n in found.new if n.finding.rule not in skipped and n.was != "waived"] == []
    assert [g.finding.key for g in found.gone if g.finding.rule not in skipped and g.now != "waived"] == []


@pytest.mark.parametrize("sample", SAMPLED)
def test_a_drawing_whose_ids_all_changed_hands_has_the_same_findings(sample: str) -> None:
    made = load(SAMPLES / sample / f"{sample}.linewright").installation
    before, after = made.snapshot(), _made_anew(made, random.Random(sample)).snapshot()
    found = since(_judged(sample), check(after), counterparts(before, after))
    # of all the runs of one colour it names the one drawn first
    assert [n.finding.message for n in found.new if n.finding.rule != "wrong-colour"] == []
    assert [g.finding.message for g in found.gone if g.finding.rule != "wrong-colour"] == []
    assert [g.key for g in found.new_gaps] == [g.key for g in found.gone_gaps] == []
    assert [k.changes for k in found.kept if k.changes] == []


_results: dict[str, CheckResult] = {}


def _judged(sample: str) -> CheckResult:
    if sample not in _results:
        _results[sample] = check(load(SAMPLES / sample / f"{sample}.linewright").installation.snapshot())
    return _results[sample]


def _keys(result: CheckResult) -> Counter[str]:
    """A waiver names designations: it follows a label, and so does what speaks of waivers and of labels."""
    every = (*result.findings, *result.waived)
    return Counter(f.key for f in every if f.rule not in ("needless-waiver", "duplicate-designation"))


def test_every_finding_of_a_drawing_has_a_fingerprint_of_its_own() -> None:
    result = _judged("workboat")
    keys = [f.key for f in (*result.findings, *result.waived)]
    assert len(keys) == len(set(keys)) > 20
