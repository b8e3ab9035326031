"""False alarms: correct installations give nothing above *notice*, and every rule that warns can judge them.

Two notices are had: `not-selective`, since between fast fuses, breakers and a large bank selectivity is seldom reached;
and `no-alternative`, since a small boat has one bank.
"""

from __future__ import annotations

import functools

import pytest
from catalogue import CORPUS, Correct

from engine.check import CheckResult, check
from engine.rules import rules

NOTHING_TO_PROVE = {"needless-waiver"}  # no waivers
EXPECTED = {("notice", "not-selective"), ("notice", "no-alternative")}
# (installation, rule, field) that the installation deliberately leaves open
LEFT_OPEN: frozenset[tuple[str, str, str]] = frozenset(
    ("direct_current.found_on_survey", rule, "W52.size")
    for rule in ("overloaded", "rating-above-ampacity", "slow-to-clear")
)


@functools.cache
def judged(correct: Correct) -> CheckResult:
    """By the book of the drawing, with what was proved."""
    return check(correct.build().snapshot(), proving=True)


@pytest.mark.parametrize("correct", CORPUS, ids=[one.name for one in CORPUS])
def test_nothing_above_notice(correct: Correct) -> None:
    """The whole catalogue of rules, by the book of the drawing."""
    result = judged(correct)
    found = [f"{f.word} {f.rule}: {f.message}" for f in result.findings if (f.word, f.rule) not in EXPECTED]
    assert found == []
    assert result.stopped == ()
    blind = {
        (correct.name, gap.rule, field)
        for gap in result.not_judged
        if gap.would_be in ("danger", "warning")
        for field in gap.missing or (gap.why,)
    }
    assert blind == {one for one in LEFT_OPEN if one[0] == correct.name}


def test_every_rule_that_can_pass_does_so_somewhere() -> None:
    """Silence is worth something where the rule has looked: all but those that judge no part of a correct boat."""
    looked = {passed.rule for one in CORPUS for passed in judged(one).passed}
    assert set(rules()) - looked == NOTHING_TO_PROVE


def test_enough_of_them() -> None:
    """Forty, each with a name of its own and a sentence that says what it shows."""
    assert len(CORPUS) >= 40
    assert len({one.name for one in CORPUS}) == len(CORPUS)
    assert all((one.build.__doc__ or "").strip() for one in CORPUS)
