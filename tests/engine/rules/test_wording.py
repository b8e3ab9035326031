"""One finding a rule, word for word: a change of wording is a decision, not an accident."""

from __future__ import annotations

import pytest

from engine.books import load
from engine.findings import Finding
from engine.rules import rules
from engine.study import Study

WORDING = {
    "duplicate-designation": ("2 things are called F1: fuse, fuse.", ""),
    "needless-waiver": ("The waiver of unconnected for W1 no longer hides anything.", ""),
    "rated-below-voltage": (
        "F1 (fuse) is rated 32 V DC; G1 (battery bank) puts a nominal 48 V DC on it.",
        "in every switch position",
    ),
    "sources-meet": ("X1 (shore inlet) and G1 (generator) can be joined on L1.", "Q1 closed, Q2 closed"),
    "unconnected": ("Nothing is connected to terminal out of F1 (fuse).", ""),
    "voltage-mismatch": (
        "E1 (load) is made for 12 V DC; G1 (battery bank) puts 25.6 V DC on it.",
        "in every switch position",
    ),
}


@pytest.mark.parametrize("slug", WORDING)
def test_wording(slug: str) -> None:
    rule = rules()[slug]
    example = rule.bad[0]
    study = Study(example.build().snapshot(), load(example.book))
    first = next(r for r in rule.check(study) if isinstance(r, Finding))
    assert (first.message, first.condition) == WORDING[slug]
    assert first.fixes
