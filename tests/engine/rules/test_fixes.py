"""Every edit a rule offers puts its finding right, brings no danger or warning, and is taken back to the letter."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from engine.books import load
from engine.builder import Builder
from engine.edits import SetFields, apply
from engine.findings import Finding
from engine.fixes import Fix, offered, set_fields
from engine.fixing.trial import harm, is_mended, sound
from engine.installation import Installation
from engine.rules import Example, Rule, rules
from engine.study import Study

MENDING = [rule for rule in rules().values() if rule.fixes is not None]
# rules that must offer an edit for one of their own examples at least
OFFERS = {
    "bank-overdrawn",
    "bank-too-small",
    "bus-overloaded",
    "bypass-incomplete",
    "bypass-unprotected",
    "cannot-break-fault",
    "charge-too-high",
    "dips-on-start",
    "drop-too-high",
    "duplicate-designation",
    "earth-interrupted",
    "earths-apart",
    "equipment-over-protected",
    "far-end-unprotected",
    "far-from-source",
    "hull-carries-current",
    "needless-waiver",
    "no-protective-earth",
    "no-polarity-indication",
    "no-protection",
    "no-residual-current",
    "not-selective",
    "overloaded",
    "rated-below-voltage",
    "rating-above-ampacity",
    "rating-below-load",
    "recharge-too-slow",
    "return-interrupted",
    "shore-main-far",
    "slow-to-clear",
    "solar-over-input",
    "source-device-too-large",
    "source-overloaded",
    "sources-meet",
    "stalled-motor-held",
    "switch-overloaded",
    "too-little-ventilation",
    "unconnected",
}


def _name(value: object) -> str:
    return value.slug if isinstance(value, Rule) else value.name if isinstance(value, Example) else str(value)


def _found(rule: Rule, example: Example) -> Iterator[tuple[Installation, Study, Finding]]:
    """Each finding of an example, in a drawing of its own."""
    for number in range(len(example.expect)):
        installation = example.build()
        study = Study(installation.snapshot(), load(example.book))
        remark = list(rule.check(study))[number]
        if isinstance(remark, Finding) and not remark.undecided:
            yield installation, study, remark


def _complaints(rule: Rule, example: Example) -> tuple[int, list[str]]:
    """How many edits a rule offers for an example, and what is wrong with them."""
    offers, wrong = 0, []
    for installation, study, finding in _found(rule, example):
        assert rule.fixes is not None
        for fix in rule.fixes(study, finding):
            offers += 1
            before = installation.snapshot()
            back = apply(installation, fix.edit)
            after = Study(installation.snapshot(), study.book)
            if any(isinstance(r, Finding) and r.key == finding.key for r in rule.check(after)):
                wrong.append(f"{fix.text}: still found")
            if not is_mended(study, finding, fix.edit):
                wrong.append(f"{fix.text}: not judged afterwards")
            wrong += [f"{fix.text}: brings {new.key}" for new in harm(study, fix.edit)]
            if not fix.text or "{" in fix.text or not fix.edit.words:
                wrong.append(f"{fix.text!r}: not told in words, or not in the undo list")
            apply(installation, back)
            if installation.snapshot() != before:
                wrong.append(f"{fix.text}: not taken back")
    return offers, wrong


@pytest.mark.parametrize("rule", MENDING, ids=_name)
def test_every_edit_of_every_bad_example_puts_it_right(rule: Rule) -> None:
    offers = 0
    for example in rule.bad:
        number, wrong = _complaints(rule, example)
        assert wrong == [], example.name
        offers += number
    assert offers or rule.slug not in OFFERS


def test_the_rules_that_must_offer_something_have_fixes() -> None:
    assert {rule.slug for rule in MENDING} >= OFFERS


def _wrong_rule(edit: Fix) -> Rule:
    return rules()["rating-above-ampacity"]._replace(fixes=lambda _study, _finding: iter([edit]))


@pytest.mark.parametrize(
    ("fix", "complaint"),
    [
        (set_fields("paint it", "equipment", "e2", {"note": "red"}), "still found"),
        (set_fields("fit F3 as 3000 A", "equipment", "e2", {"rating_a": 3000.0}), "still found"),
        # below its load: the finding goes and a warning comes
        (set_fields("fit F3 as 1 A", "equipment", "e2", {"rating_a": 1.0}), "brings rating-below-load"),
        (set_fields("forget its rating", "equipment", "e2", {"rating_a": None}), "not judged afterwards"),
    ],
)
def test_an_edit_that_does_not_work_is_seen_and_not_offered(fix: Fix, complaint: str) -> None:
    rule = _wrong_rule(fix)
    example = rule.bad[0]
    installation = example.build()
    item = next(i for i, r in installation.equipment.items() if r.designation == "F3")
    assert isinstance(fix.edit, SetFields)
    fix = fix._replace(edit=SetFields("equipment", item, fix.edit.values, fix.text))
    rule = _wrong_rule(fix)
    study = Study(installation.snapshot(), load(example.book))
    assert any(complaint in wrong for wrong in _complaints(rule, example)[1])
    (finding,) = (r for r in rule.check(study) if isinstance(r, Finding))
    assert list(sound(study, finding, [fix])) == []


def test_what_is_fitted_anew_is_new_and_sheds_the_old_article() -> None:
    rule = rules()["rating-above-ampacity"]
    installation = rule.bad[0].build()
    fuse = next(i for i, r in installation.equipment.items() if r.designation == "F3")
    apply(installation, SetFields("equipment", fuse, (("part_number", "A-300"), ("price", 12.0))))
    study = Study(installation.snapshot(), load("trade-na"))
    (finding,) = (r for r in rule.check(study) if isinstance(r, Finding))
    smaller, larger, *_rest = offered(study, finding)
    assert smaller.text == "fit F3 as 175 A"
    apply(installation, smaller.edit)
    record = installation.equipment[fuse]
    assert (record.status, record.part_number, record.price) == ("new", "", None)
    assert larger.text == "run W12 in 4 AWG"


def test_what_is_set_otherwise_was_not_measured_so() -> None:
    """Whatever form a rule gives its edit."""
    rule = rules()["too-small"]
    installation = rule.bad[0].build()
    item = next(i for i, r in installation.runs.items() if r.designation == "W2")
    known = (("size", "nameplate"), ("length_m", "measured"), ("part_number", "typed"))
    apply(installation, SetFields("runs", item, (("part_number", "W-18"), ("maker", "Tern"), ("origins", known))))
    study = Study(installation.snapshot(), load("trade-na"))
    (finding,) = (r for r in rule.check(study) if isinstance(r, Finding))
    fix = offered(study, finding)[0]
    back = apply(installation, fix.edit)
    run = installation.runs[item]
    assert (run.status, run.part_number, run.maker) == ("new", "", "")
    assert run.origins == (("length_m", "measured"),)
    apply(installation, back)
    assert installation.runs[item].part_number == "W-18"


def test_a_device_that_is_moved_leaves_the_length_of_the_way_as_it_was() -> None:
    rule = rules()["far-from-source"]
    installation = rule.bad[1].build()
    before = {run.designation: run.length_m for run in installation.runs.values()}
    study = Study(installation.snapshot(), load("trade-na"))
    (finding,) = (r for r in rule.check(study) if isinstance(r, Finding))
    moved = offered(study, finding)[0]
    assert moved.text.startswith("move F1 to within")
    apply(installation, moved.edit)
    after = {run.designation: run.length_m for run in installation.runs.values()}
    assert after["W11"] == pytest.approx(0.1778, abs=1e-4)  # 33 CFR 183.455(b): 7 in
    assert after["W11"] + after["W12"] == pytest.approx(before["W11"] + before["W12"], abs=1e-3)


def test_a_device_put_in_parts_the_run_and_keeps_its_length() -> None:
    rule = rules()["no-protection"]
    installation = rule.bad[0].build()
    study = Study(installation.snapshot(), load("trade-na"))
    (finding,) = (r for r in rule.check(study) if isinstance(r, Finding))
    (fix,) = offered(study, finding)
    assert fix.text == "fit a fuse of 50 A, F1, in run W11 at G1"
    apply(installation, fix.edit)
    runs = {run.designation: run for run in installation.runs.values()}
    lengths = [run.length_m or 0.0 for run in runs.values()]
    assert sum(lengths) == pytest.approx(120 * 0.0254)
    assert runs["W11"].to_end.equipment == study.snapshot.runs[finding.ids[0]].to_end.equipment
    new = next(r for r in installation.equipment.values() if r.designation == "F1")
    assert new.status == "new"


def test_a_larger_device_takes_its_conductor_with_it() -> None:
    """36 A at 80 % of a rating: 45 A. 14 AWG carries 35 A, so that it is 12 AWG (33 CFR 183.425 Table 5: 45 A)."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=200.0, chemistry="AGM", internal_resistance_ohm=0.001)
    b.add("fuse", "F1", rating_a=20)
    b.add("load", "E1", dc_v=12, current_a=36.0)
    facts = {"insulation_c": 105.0, "bundle": 1, "sheath": "bare", "function": "dc pair"}
    place = {"places": ("saloon",)}
    b.place("saloon", "accommodation")
    b.run("W1", "G1.pos", "F1.in", size="4 AWG", length_m=0.1, **facts, **place)
    b.run("W2", "F1.out", "E1.in", size="16 AWG", length_m=1.0, **facts, **place)
    study = Study(b.installation.snapshot(), load("trade-na"))
    (finding,) = (r for r in rules()["rating-below-load"].check(study) if isinstance(r, Finding))
    (fix,) = offered(study, finding)
    assert fix.text == "fit F1 as 45 A; run W2 in 12 AWG"
    apply(b.installation, fix.edit)
    after = Study(b.installation.snapshot(), load("trade-na"))
    grave = [f for r in rules().values() for f in r.check(after) if isinstance(f, Finding) and f.word == "danger"]
    assert grave == [] or {f.key for f in grave} <= {
        f.key for r in rules().values() for f in r.check(study) if isinstance(f, Finding)
    }


def test_nothing_is_offered_for_what_was_not_decided() -> None:
    rule = rules()["sources-meet"]
    study = Study(rule.bad[0].build().snapshot(), load("trade-na"))
    (finding,) = (r for r in rule.check(study) if isinstance(r, Finding))
    import msgspec

    assert offered(study, finding)
    assert offered(study, msgspec.structs.replace(finding, undecided=True)) == ()
