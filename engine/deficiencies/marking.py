"""A deficiency made from a finding: its words, figures, arithmetic, clause and standing go along."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from engine.findings import Finding
from engine.installation import Snapshot
from engine.installation.surveying import Basis, Deficiency, Grade
from engine.waivers import figure_text
from engine.words import _

if TYPE_CHECKING:
    from engine.check import CheckResult

__all__ = ["from_finding", "proposed_grade"]

# which class a signal word proposes: common practice, no source
_PROPOSED: dict[str, Grade] = {"danger": "A", "warning": "B", "caution": "C", "notice": "C"}


def proposed_grade(finding: Finding) -> Grade:
    """The class proposed by the signal word; a person may give another."""
    return _PROPOSED[finding.word]


def from_finding(
    snapshot: Snapshot,
    result: CheckResult,
    finding: Finding,
    survey: str = "",
    *,
    who: str = "",
    date: str = "",
) -> Deficiency:
    """The deficiency a finding makes; without a number, which `mark` gives.

    It rests on law only where the book's clause is law for this vessel (`Finding.law_here`), then with the year of the
    book's edition; on good practice in all other cases, its clause beside it.
    """
    law = finding.law_here is True and not finding.beyond_clause and bool(finding.clause)
    basis: Basis = "law that binds her" if law else "good practice"
    is_year = re.fullmatch(r"(?:1[89]|20|21)\d\d", result.edition)
    at = next((i for i in finding.ids if i in snapshot.equipment or i in snapshot.runs), "")
    return Deficiency(
        at=at,
        grade=proposed_grade(finding),
        basis=basis,
        standard=result.title if law else "",
        standard_year=int(result.edition) if law and is_year else None,
        clause=finding.clause,
        observation=_observed(finding),
        recommendation="; ".join(finding.fixes),
        who=who,
        date=date,
        survey=survey,
        rule=finding.rule,
        figures=tuple(figure_text(figure) for figure in finding.figures),
        arithmetic=finding.arithmetic,
    )


def _observed(finding: Finding) -> str:
    if not finding.condition:
        return finding.message
    return " ".join((finding.message, _("When: {condition}").format(condition=finding.condition)))
