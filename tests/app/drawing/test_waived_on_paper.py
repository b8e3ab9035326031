"""Waivers as they print: a danger on the first sheet, all of them in a section of their own; back when they lapse."""

from __future__ import annotations

import datetime
from typing import Any

import msgspec
import pytest

from app.drawing.layout import lay_out
from app.drawing.sheets import pictures
from app.text_report import full_report
from engine.check import CheckResult, check
from engine.edits import Put, SetFields, apply
from engine.findings import Finding
from engine.installation import Installation
from engine.installation.records import Waiver
from engine.picture import Picture, Text
from engine.rules import rules
from engine.waivers import figure_text

TODAY = datetime.date(2026, 11, 28)
DANGER = "rating-above-ampacity"


def _found(installation: Installation, rule: str) -> Finding:
    result = check(installation.snapshot(), only=[rule], today=TODAY)
    return result.findings[0]


def _waived(rule: str = DANGER, **facts: Any) -> Installation:
    """The first bad example of a rule, its finding waived, laid out on a sheet."""
    installation = rules()[rule].bad[0].build()
    finding = _found(installation, rule)
    known: dict[str, Any] = {
        "reason": "fuse ordered",
        "who": "R. Petrel",
        "date": "2026-11-01",
        "review": "2027-03-01",
        "clause": "yard rule 4",
        "intent": "to be put right",
        "figures": tuple(figure_text(figure) for figure in finding.figures),
    }
    waiver = Waiver(rule=rule, designations=finding.designations, **(known | facts))
    apply(installation, Put("waivers", installation.new_id("waivers"), waiver))
    apply(installation, lay_out(installation.snapshot()))
    return installation


def _judged(installation: Installation, rule: str = DANGER, today: datetime.date = TODAY) -> CheckResult:
    return check(installation.snapshot(), only=[rule], today=today)


def _said(picture: Picture) -> str:
    return " ".join(p.text for p in picture.primitives if isinstance(p, Text))


def _report(installation: Installation, result: CheckResult) -> str:
    return full_report("boat", installation.snapshot(), result, 100)


def test_a_waived_danger_stands_on_the_first_sheet_and_in_the_head_of_the_report() -> None:
    installation = _waived()
    result = _judged(installation)
    assert [f.rule for f in result.waived] == [DANGER]
    first = _said(pictures(installation.snapshot(), result)[0])
    told = "rating-above-ampacity on W12, F3: to be put right by R. Petrel, to be looked at again by 2027-03-01."
    assert f"Waived dangers {told}" in first
    head, _whole = _report(installation, result).split("\n\nWAIVED\n\n")
    assert "Waived danger: rating-above-ampacity on W12, F3, to be put right by R. Petrel" in " ".join(head.split())


def test_however_many_notes_there_are() -> None:
    installation = _waived()
    result = _judged(installation)
    (waived,) = result.waived

    many = tuple(msgspec.structs.replace(waived, waived="", detail=str(n)) for n in range(16))
    made = pictures(installation.snapshot(), msgspec.structs.replace(result, findings=many))
    assert len(made) > 1
    assert "Waived dangers" in _said(made[0])
    assert not any("Waived dangers" in _said(page) for page in made[1:])


def test_waived_findings_have_a_section_of_their_own() -> None:
    installation = _waived()
    result = _judged(installation)
    every = " ".join(_said(page) for page in pictures(installation.snapshot(), result))
    said = "fuse ordered, by R. Petrel, 2026-11-01, to be put right, to be looked at again by 2027-03-01, yard rule 4"
    assert said in every[every.index("Waived DANGER rating-above-ampacity") :]
    own = _report(installation, result).split("\n\nWAIVED\n\n")[1]
    assert own.startswith("DANGER  rating-above-ampacity")
    assert said in " ".join(own.split())


def test_what_is_no_danger_is_not_told_on_the_first_page() -> None:
    installation = _waived("rating-below-load", who="", review="")
    result = _judged(installation, "rating-below-load")
    assert [f.rule for f in result.waived] == ["rating-below-load"]
    first = _said(pictures(installation.snapshot(), result)[0])
    assert "Waived dangers" not in first
    assert "Waived danger:" not in _report(installation, result)


@pytest.mark.parametrize(
    ("facts", "why"),
    [
        ({"who": " "}, "the waiver of a danger names nobody who decided"),
        ({"review": ""}, "the waiver of a danger has no review date"),
        ({"review": "2026-11-27"}, "its review date 2026-11-27 has passed"),
    ],
)
def test_a_danger_that_nobody_answers_for_is_open(facts: dict[str, str], why: str) -> None:
    installation = _waived(**facts)
    result = _judged(installation)
    assert result.waived == ()
    first = _said(pictures(installation.snapshot(), result)[0])
    assert "Waived dangers" not in first
    assert f"Its waiver does not hold: {why}" in first
    assert f"Its waiver does not hold: {why}" in " ".join(_report(installation, result).split())


def test_it_holds_on_the_day_and_is_back_the_day_after() -> None:
    installation = _waived(review="2026-12-01")
    assert _judged(installation, today=datetime.date(2026, 12, 1)).findings == ()
    assert len(_judged(installation, today=datetime.date(2026, 12, 2)).findings) == 1


def test_it_is_back_when_a_figure_changes() -> None:
    installation = _waived()
    fuse = next(i for i, r in installation.equipment.items() if r.designation == "F3")
    before = installation.equipment[fuse].rating_a
    apply(installation, SetFields("equipment", fuse, (("rating_a", before + 50),)))
    result = _judged(installation)
    (finding,) = result.findings
    assert finding.waiver_note == f"feed={before:g} A was waived, feed={before + 50:g} A is found"
    assert finding.waiver_note in _said(pictures(installation.snapshot(), result)[0])
