"""A note in full: message, when, arithmetic, clause and what it is worth here, what to do, figures, waiver."""

from __future__ import annotations

import html

from app.help.page import LINK
from app.judgement import Judgement
from app.text_report import WORD_NAMES, standing
from app.window.notes.lines import Line, waiver_words
from engine.findings import Finding
from engine.rules import rules
from engine.tracing.told import finding_rests
from engine.waivers import figure_text
from engine.words import _

__all__ = ["finding_of", "whole_note"]


def finding_of(judgement: Judgement | None, key: str) -> Finding | None:
    """The finding of a key, open or waived."""
    if judgement is None:
        return None
    every = (*judgement.result.findings, *judgement.result.waived)
    return next((finding for finding in every if finding.key == key), None)


def whole_note(line: Line, judgement: Judgement | None, stale: bool = False) -> str:
    """What is known of a row, as rich text. Every word of the drawing is escaped."""
    if line.kind == "gap":
        return _page(_gap(line, judgement), stale)
    finding = finding_of(judgement, line.key) if line.key else None
    if finding is None or judgement is None:
        return _page([_paragraph(line.said())], stale)
    return _page(_finding(finding, line, judgement), stale)


def _page(parts: list[str], stale: bool) -> str:
    if stale:
        parts.insert(0, _paragraph(_("As it was before the last change; the drawing is being judged.")))
    return "".join(parts)


def _finding(finding: Finding, line: Line, judgement: Judgement) -> list[str]:
    word = _(WORD_NAMES[finding.word])
    number = f"{line.number}. " if line.number else ""
    parts = [f"<p><b>{html.escape(f'{number}{word}  {finding.rule}')}</b></p>", _paragraph(finding.message)]
    if finding.undecided:
        parts.append(_paragraph(_("Not decided: it counts as found.")))
    if finding.condition:
        parts.append(_named(_("When"), finding.condition))
    if finding.arithmetic:
        parts.append(_named(_("Arithmetic"), finding.arithmetic))
    parts.append(_named(_("Clause"), standing(finding.clause, finding.confirmed, finding.law_here)))
    if len(finding.fixes) == 1:
        parts.append(_named(_("To put right"), finding.fixes[0]))
    elif finding.fixes:
        points = "".join(f"<li>{html.escape(fix)}</li>" for fix in finding.fixes)
        parts.append(f"<p><b>{html.escape(_('To put right, one of:'))}</b></p><ul>{points}</ul>")
    if finding.figures:
        parts.append(_named(_("Figures"), "; ".join(figure_text(f) for f in finding.figures)))
    if finding.waived and finding.waived in judgement.result.waivers:
        parts.append(_named(_("Waived"), waiver_words(judgement.result.waivers[finding.waived])))
    rests = finding_rests(judgement.result, finding.key)
    if rests:
        parts.append(_paragraph(rests))
    if finding.waiver_note:
        parts.append(_named(_("Its waiver does not hold"), finding.waiver_note))
    parts.append(_about(finding.rule, judgement))
    return parts


def _gap(line: Line, judgement: Judgement | None) -> list[str]:
    gap = line.gap
    word = _(WORD_NAMES[line.word]) if line.word else ""
    parts = [
        f"<p><b>{html.escape(_('Not judged: {rule} (would be {word})').format(rule=line.title, word=word))}</b></p>"
    ]
    if line.field:
        parts.append(_named(_("Not recorded"), line.text))
    elif line.text != line.title:
        parts.append(_named(_("On"), line.text))
    if line.more:
        parts.append(_paragraph(line.more))
    if gap is not None and len(gap.missing) > 1:
        parts.append(_named(_("All that is missing for this"), ", ".join(gap.missing)))
    parts.append(_about(line.title, judgement))
    return parts


def _about(slug: str, judgement: Judgement | None) -> str:
    """What the rule looks at, in one line, and the way to its page."""
    own = () if judgement is None else judgement.result.own
    titles = {rule.slug: rule.title for rule in own}
    if slug in rules():
        titles[slug] = _(rules()[slug].title)
    if slug not in titles:
        return ""
    link = f'<a href="{LINK}{html.escape(slug)}">{html.escape(_("About this rule"))}</a>'
    return f"{_named(_('The rule'), titles[slug])}<p>{link}</p>"


def _paragraph(text: str) -> str:
    return f"<p>{html.escape(text)}</p>"


def _named(name: str, text: str) -> str:
    return f"<p><b>{html.escape(name)}:</b> {html.escape(text)}</p>"
