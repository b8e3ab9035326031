"""Open findings that no block of the sheets shows."""

from __future__ import annotations

from engine.calculations.results import Calculation
from engine.check import CheckResult
from engine.findings import Finding
from engine.words import _

__all__ = ["beside_blocks", "finding_text"]


def beside_blocks(result: CheckResult, made: tuple[Calculation, ...]) -> tuple[Finding, ...]:
    """In the order of the check."""
    shown = {(check.rule, check.ids) for one in made for check in one.checks if check.verdict == "fails"}
    return tuple(finding for finding in result.findings if (finding.rule, finding.ids) not in shown)


def finding_text(finding: Finding) -> str:
    """*danger: its sentence*."""
    return f"{_(finding.word)}: {finding.message}"
