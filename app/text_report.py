"""Findings as text for a terminal: what could not be judged before the findings, the cautions at the end.

Every line is wrapped to the width asked for. Signal words are words, never colours.
"""

from __future__ import annotations

import itertools
import shutil
import sys
import textwrap
from collections.abc import Iterable, Iterator
from typing import TextIO

from app.terminal import unbroken
from engine.cautions import CAUTIONS
from engine.check import CheckResult
from engine.findings import WORDS, Finding, NotJudged
from engine.installation.model import Snapshot
from engine.installation.records import Waiver
from engine.judged_by import head, no_clause_note
from engine.tracing.told import finding_rests, resting_lines
from engine.words import N_, _, inward

__all__ = ["cautions", "finding_text", "full_report", "output_width", "short_table", "standing", "width_of"]

NARROWEST, WIDEST = 40, 120
WORD_NAMES = {"danger": N_("DANGER"), "warning": N_("WARNING"), "caution": N_("CAUTION"), "notice": N_("NOTICE")}


def width_of(stream: TextIO | None) -> int:
    """Columns to write in: the terminal's, 100 where it is none."""
    if stream is None or not stream.isatty():
        return 100
    return min(max(shutil.get_terminal_size().columns, NARROWEST), WIDEST)


def full_report(file: str, snapshot: Snapshot, result: CheckResult, width: int = 100) -> str:
    """One file's whole report."""
    parts = [_head(file, snapshot, result, width)]
    if result.not_judged:
        alike = itertools.groupby(result.not_judged, key=lambda g: (g.would_be, g.rule))
        parts.append(_section(_("NOT JUDGED"), (_gaps(list(gaps), width) for _key, gaps in alike)))
    parts.append(
        _section(_("FINDINGS"), (finding_text(f, result, width) for f in result.findings))
        if result.findings
        else _no_findings(snapshot)
    )
    if result.waived:
        parts.append(_section(_("WAIVED"), (_waived(f, result, width) for f in result.waived)))
    if result.assumptions:
        parts.append(
            _wrap(_("Assumptions taken: {assumptions}.").format(assumptions="; ".join(result.assumptions)), width)
        )
    parts.extend(_wrap(line, width) for line in resting_lines(result))
    parts.append(cautions(width))
    return "\n\n".join(parts)


def short_table(result: CheckResult, width: int = 100) -> str:
    """One line a finding: word, rule, what it speaks of, first sentence. Not judged is counted first."""
    rows = [
        (
            _(WORD_NAMES[f.word]),
            f.rule,
            ", ".join(f.designations),
            f"{f.message} ({f.condition})" if f.condition else f.message,
        )
        for f in result.findings
    ]
    lines = [result.summary()]
    if rows:
        heads = (_("word"), _("rule"), _("on"), _("what"))
        sizes = [max(len(row[c]) for row in (heads, *rows)) for c in range(3)]
        sizes[2] = min(sizes[2], 20)
        room = max(width - sum(sizes) - 6, 30)
        for row in (heads, *rows):
            lines.extend(_row(row, sizes, room))
    return "\n".join(lines)


def _row(row: tuple[str, str, str, str], sizes: list[int], room: int) -> Iterator[str]:
    cells = [
        [row[0]],
        [row[1]],
        textwrap.wrap(row[2], sizes[2]) or [""],
        textwrap.wrap(row[3], room) or [""],
    ]
    for n in range(max(len(cell) for cell in cells)):
        texts = [cell[n] if n < len(cell) else "" for cell in cells]
        yield "  ".join((*(t.ljust(s) for t, s in zip(texts, sizes, strict=False)), texts[3])).rstrip()


def standing(clause: str, confirmed: bool, law_here: bool | None) -> str:
    """A clause and what it is worth on this boat."""
    if not clause:
        return _("no clause in this book; good practice, not law here")
    parts = [_(clause)]
    parts.append(
        {
            True: _("law for this boat"),
            False: _("good practice, not law here"),
            None: _("whether it is law for this boat the vessel record does not say"),
        }[law_here]
    )
    if not confirmed and "not confirmed" not in clause:
        parts.append(_("not confirmed"))
    return "; ".join(parts)


def _head(file: str, snapshot: Snapshot, result: CheckResult, width: int) -> str:
    vessel = snapshot.vessel.name
    counts = ", ".join(f"{result.count(word)} {inward(_(WORD_NAMES[word]))}" for word in WORDS if result.count(word))
    lines = [
        f"{file} ({vessel})" if vessel else file,
        *head(result),
        f"{result.summary()}: {counts}" if counts else result.summary(),
    ]
    lines.extend(fault.told() for fault in result.disabled)
    dangers = [f for f in result.waived if f.word == "danger"]
    for finding in dangers:
        waiver = result.waivers[finding.waived]
        lines.append(
            _("Waived danger: {rule} on {items}, {intent} by {who}, to be looked at again by {review}.").format(
                rule=finding.rule,
                items=", ".join(finding.designations),
                intent=_(waiver.intent),
                who=waiver.who,
                review=waiver.review,
            )
        )
    if result.no_clause:
        lines.append(no_clause_note(result))
    return "\n".join(_wrap(line, width) for line in lines)


def _no_findings(snapshot: Snapshot) -> str:
    if not snapshot.equipment and not snapshot.runs:
        return _("Nothing is drawn, nothing was judged.")
    return _("No open findings.")


def _section(title: str, blocks: Iterable[str]) -> str:
    return "\n\n".join((title, *blocks))


def finding_text(finding: Finding, result: CheckResult, width: int) -> str:
    """One finding, whole."""
    lines = [_title(_(WORD_NAMES[finding.word]), finding.rule, finding.designations)]
    lines.append(_wrap(finding.message, width, "  "))
    if finding.undecided:
        lines.append(_wrap(_("Not decided: it counts as found."), width, "  "))
    if finding.condition:
        lines.append(_named(_("When"), finding.condition, width))
    if finding.arithmetic:
        lines.append(_named(_("Arithmetic"), finding.arithmetic, width))
    lines.append(_named(_("Clause"), standing(finding.clause, finding.confirmed, finding.law_here), width))
    if len(finding.fixes) == 1:
        lines.append(_named(_("To put right"), finding.fixes[0], width))
    elif finding.fixes:
        lines.append(_("  To put right, one of:"))
        lines.extend(_wrap(f"- {fix}", width, "    ", "      ") for fix in finding.fixes)
    rests = finding_rests(result, finding.key)
    if rests:
        lines.append(_wrap(rests, width, "  ", "    "))
    if finding.waiver_note:
        lines.append(_named(_("Its waiver does not hold"), finding.waiver_note, width))
    return "\n".join(lines)


def _waived(finding: Finding, result: CheckResult, width: int) -> str:
    waiver = result.waivers[finding.waived]
    return "\n".join(
        (
            _title(_(WORD_NAMES[finding.word]), finding.rule, finding.designations),
            _wrap(finding.message, width, "  "),
            _named(_("Waived"), _waiver(waiver), width),
        )
    )


def _waiver(waiver: Waiver) -> str:
    parts = [
        waiver.reason,
        _("by {who}").format(who=waiver.who) if waiver.who else "",
        waiver.date,
        _(waiver.intent),
        _("to be looked at again by {date}").format(date=waiver.review) if waiver.review else "",
        waiver.clause,
    ]
    return ", ".join(p for p in parts if p)


def _gaps(gaps: list[NotJudged], width: int) -> str:
    """What one rule could not judge, a paragraph each."""
    word = _("would be {word}").format(word=_(WORD_NAMES[gaps[0].would_be]))
    lines = [f"{word}  {gaps[0].rule}"]
    for gap in gaps:
        why = gap.why[:1].upper() + gap.why[1:]
        if why and not why.endswith("."):
            why += "."
        missing = _("Missing: {fields}.").format(fields=", ".join(gap.missing)) if gap.missing else ""
        on = f"{', '.join(gap.designations)}:" if gap.designations else ""
        lines.append(_wrap(" ".join(p for p in (on, why, missing) if p), width, "  ", "    "))
    return "\n".join(lines)


def _title(word: str, rule: str, designations: tuple[str, ...]) -> str:
    return unbroken(f"{word}  {rule}  {', '.join(designations)}".rstrip())


def _named(name: str, text: str, width: int) -> str:
    return _wrap(f"{name}: {text}", width, "  ", "    ")


def _wrap(text: str, width: int, indent: str = "", later: str | None = None) -> str:
    return textwrap.fill(
        text,
        width,
        initial_indent=indent,
        subsequent_indent=indent if later is None else later,
        break_on_hyphens=False,
    )


def cautions(width: int = 100) -> str:
    """The usual cautions, wrapped."""
    return "\n".join(_wrap(_(text), width) for text in CAUTIONS)


def output_width() -> int:
    """Columns of what this program writes to."""
    return width_of(sys.stdout)
