"""False alarms: correct installations give nothing above *notice*, and every rule that warns can judge them.

Of notices only `not-selective` is had: between fast fuses, breakers and a large bank selectivity is seldom reached.
"""

from __future__ import annotations

import pytest
from catalogue import CORPUS, Correct

from engine.check import check

EXPECTED = {("notice", "not-selective")}
# (installation, rule, field) that the installation deliberately leaves open
LEFT_OPEN: frozenset[tuple[str, str, str]] = frozenset()


@pytest.mark.parametrize("correct", CORPUS, ids=[one.name for one in CORPUS])
def test_nothing_above_notice(correct: Correct) -> None:
    """The whole catalogue of rules, by the book of the drawing."""
    result = check(correct.build().snapshot())
    found = [f"{f.word} {f.rule}: {f.message}" for f in result.findings if (f.word, f.rule) not in EXPECTED]
    assert found == []
    assert result.stopped == ()
    blind = [
        f"{gap.rule}: {gap.designations} {gap.missing} {gap.why}"
        for gap in result.not_judged
        if gap.would_be in ("danger", "warning")
        and not any((correct.name, gap.rule, field) in LEFT_OPEN for field in gap.missing)
    ]
    assert blind == []


def test_enough_of_them() -> None:
    """Forty, each with a name of its own and a sentence that says what it shows."""
    assert len(CORPUS) >= 40
    assert len({one.name for one in CORPUS}) == len(CORPUS)
    assert all((one.build.__doc__ or "").strip() for one in CORPUS)
