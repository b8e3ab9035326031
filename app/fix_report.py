"""The edits offered for findings, as text for a terminal and as numbers that `linewright fix` takes."""

from __future__ import annotations

import textwrap
from typing import NamedTuple

from app.terminal import unbroken
from app.text_report import WORD_NAMES
from engine.check import CheckResult
from engine.findings import Finding
from engine.fixes import Fix, offered
from engine.study import Study
from engine.words import _, ngettext

__all__ = ["Offer", "edits_by_key", "fix_list", "offers"]


class Offer(NamedTuple):
    """A finding and the edits that put it right, numbered through the whole list from `first`."""

    finding: Finding
    first: int
    fixes: tuple[Fix, ...]


def offers(study: Study, result: CheckResult) -> tuple[Offer, ...]:
    """What is offered for every open finding, in the order of the report."""
    made: list[Offer] = []
    number = 1
    for finding in result.findings:
        fixes = offered(study, finding)
        made.append(Offer(finding, number, fixes))
        number += len(fixes)
    return tuple(made)


def edits_by_key(of: tuple[Offer, ...]) -> dict[str, list[str]]:
    """The edits in words, by the key of the finding."""
    return {offer.finding.key: [fix.text for fix in offer.fixes] for offer in of}


def fix_list(file: str, of: tuple[Offer, ...], width: int = 100) -> str:
    """Finding by finding, its edits numbered; what no edit puts right says so."""
    mended = [offer for offer in of if offer.fixes]
    head = ngettext(
        "{file}: {n} finding, edits for {mended} of them. Each puts its finding right and brings no danger or warning; "
        "nothing is changed.",
        "{file}: {n} findings, edits for {mended} of them. Each puts its finding right and brings no danger or "
        "warning; nothing is changed.",
        len(of),
    ).format(file=file, n=len(of), mended=len(mended))
    parts = [textwrap.fill(head, width, break_on_hyphens=False)]
    wide = len(str(max((offer.first + len(offer.fixes) - 1 for offer in mended), default=1)))
    for offer in of:
        finding = offer.finding
        names = unbroken(", ".join(finding.designations))
        lines = [f"{_(WORD_NAMES[finding.word])}  {finding.rule}  {names}".rstrip()]
        lines.append(_filled(finding.message, width, "  "))
        for number, fix in enumerate(offer.fixes, start=offer.first):
            lead = f"  {number:>{wide}}  "
            lines.append(_filled(fix.text, width, lead, " " * len(lead)))
        if not offer.fixes:
            lines.append(_filled(_("No edit of the drawing is offered."), width, "  "))
        parts.append("\n".join(lines))
    return "\n\n".join(parts)


def _filled(text: str, width: int, first: str, later: str = "  ") -> str:
    return textwrap.fill(text, width, initial_indent=first, subsequent_indent=later, break_on_hyphens=False)
