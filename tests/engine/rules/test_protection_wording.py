"""How the rules of overcurrent protection speak: the first finding of each, word for word."""

from __future__ import annotations

import pytest

from engine.books import load
from engine.builder import Builder
from engine.findings import Finding, NotJudged
from engine.rules import rules
from engine.study import Study

SPOKEN = {
    "rating-above-ampacity": (
        "Run W12 is 6 AWG, good for 120 A; F3 (200 A) protects it.",
        "",
        "6 AWG 105 °C, 120 A; one device: 120 A × 1.5 = 180 A",
        ("replace F3 by one of 180 A or less", "run a conductor good for 133.4 A or more"),
    ),
    "far-from-source": (
        "F1 (150 A) stands 0.18 m from G1 along W11; 0.178 m (7 in) is allowed.",
        "",
        "W11 0.18 m",
        (
            "move F1 to within 0.178 m (7 in) of G1",
            "run W11 in a sheath or enclosure all the way: 1.83 m (72 in) is allowed then",
        ),
    ),
    "far-end-unprotected": (
        "G2 feeds run W12 at G2 with nothing before it; F1 (150 A) guards the end at F1 only.",
        "",
        "2 AWG 105 °C, 210 A",
        ("fit a device of 315 A or less within 0.178 m (7 in) of G2",),
    ),
    "no-protection": (
        "Nothing protects run W11: G1 feeds it, and no protective device stands before M1.",
        "",
        "14 AWG 105 °C, 35 A",
        (
            "fit a device of 52.5 A or less within 0.178 m (7 in) of G1",
            "if it is part of a cranking circuit or a component's own lead, record that on the run",
        ),
    ),
    "bypass-unprotected": (
        "Run W15 is 10 AWG, good for 60 A, and protected as drawn; otherwise Q2 (100 A) can feed 100 A into it at X2.",
        "Inverter bypassed: Q2 closed",
        "10 AWG 105 °C, 60 A",
        ("replace Q2 by one of 60 A or less", "fit a device of 60 A or less at X2"),
    ),
    "equipment-over-protected": (
        "X1 (shore inlet) is good for 30 A; 50 A can pass through it from the breaker ashore of G3 (50 A).",
        "",
        "",
        ("have a breaker of 30 A or less ashore", "fit equipment good for 50 A or more"),
    ),
}


@pytest.mark.parametrize("slug", SPOKEN)
def test_first_finding(slug: str) -> None:
    rule = rules()[slug]
    example = rule.bad[0]
    finding = next(iter(rule.check(Study(example.build().snapshot(), load(example.book)))))
    assert isinstance(finding, Finding)
    assert (finding.message, finding.condition, finding.arithmetic, finding.fixes) == SPOKEN[slug]


def test_lengths_follow_the_drawing() -> None:
    """In the US system feet and inches."""
    rule = rules()["far-from-source"]
    installation = rule.bad[1].build()
    installation._put("settings", "settings", installation.settings.__class__(book="trade-na", units="US"))
    finding = next(iter(rule.check(Study(installation.snapshot(), load("trade-na")))))
    assert isinstance(finding, Finding)
    assert finding.message == "F1 (150 A) stands 2 ft 6 in from G1 along W11; 7 in is allowed."


def test_several_live_conductors_are_one_finding_that_names_them() -> None:
    b = Builder(book="k1")
    b.add("shore_supply", "X1", ac_v=120.0, phases="L1 L2", breaker_a=50)
    b.add("load", "E1", ac_v=120.0, phases="L1 L2")
    b.run("W1", "X1.out", "E1.in", function="ac", phases="L1 L2", size="40 mm2", length_m=5.0)
    rule = rules()["rating-above-ampacity"]
    (finding,) = rule.check(Study(b.installation.snapshot(), load("k1")))
    assert isinstance(finding, Finding)
    assert finding.detail == "from L1 L2"
    assert finding.message == "Run W1 is 40 mm², good for 40 A; the breaker ashore of X1 (50 A) protects it."


def test_an_alternator_taken_as_limiting_itself_is_said_to_be() -> None:
    b = Builder()
    b.place("cabin", "accommodation")
    b.add("alternator", "G2", dc_v=12.0, rating_a=150.0)
    b.add("load", "E1", dc_v=12.0)
    b.run(
        "W1",
        "G2.pos",
        "E1.in",
        function="dc positive",
        size="6 AWG",
        insulation_c=105.0,
        bundle=1,
        places=("cabin",),
        length_m=3.0,
        sheath="bare",
    )
    rule = rules()["rating-above-ampacity"]
    (finding,) = rule.check(Study(b.installation.snapshot(), load("trade-na")))
    assert isinstance(finding, Finding)
    assert "G2 taken as limiting itself, as this book does with an ordinary alternator" in finding.arithmetic


def test_what_is_missing_is_told() -> None:
    b = Builder(book="k1")
    b.add("battery_bank", "G1", unit_v=12.0)
    b.add("fuse", "F1")
    b.add("load", "E1", dc_v=12.0)
    b.run("W1", "G1.pos", "F1.in", function="dc positive", size="900 mm2", length_m=0.1, sheath="bare")
    b.run("W2", "F1.out", "E1.in", function="dc positive", size="50 mm2", length_m=3.0, sheath="bare")
    gaps = [
        remark
        for rule in rules().values()
        if rule.family == "protection"
        for remark in rule.check(Study(b.installation.snapshot(), load("k1")))
    ]
    assert all(isinstance(gap, NotJudged) for gap in gaps)
    (second,) = [gap for gap in gaps if gap.designations == ("W2",)]
    assert isinstance(second, NotJudged)
    assert second.missing == ("F1.rating_a",)
    assert second.would_be == "danger"
    assert second.why == "what feeds run W2 at F1 cannot be compared with what it may carry"
