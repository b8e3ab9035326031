"""The rows of the page of notes, as plain values: what was found, not judged, waived, and what it all rests on."""

from __future__ import annotations

import itertools
import re
from typing import Literal, NamedTuple

from app.judgement import Judgement
from app.text_report import WORD_NAMES
from engine.check import CheckResult
from engine.findings import WORDS, Finding, NotJudged
from engine.installation.model import Snapshot
from engine.installation.records import Waiver
from engine.judged_by import head, no_clause_note
from engine.tracing.told import resting_lines
from engine.wanted import WantedFields
from engine.words import N_, _, ngettext

__all__ = ["BEFORE", "Line", "first_sentence", "ids_of", "lines_of", "summary", "waiver_words"]

BEFORE = N_("before the last change")


class Line(NamedTuple):
    """A row: what kind, its signal word, what stands in it, and what choosing it leads to."""

    kind: Literal["heading", "rule", "finding", "gap", "waived", "text"]
    text: str
    title: str = ""  # the rule of a finding
    word: str = ""  # danger, warning, caution, notice
    number: int = 0  # in the circle
    sheet: int = 0  # whose margin tells it
    more: str = ""  # in a second paragraph
    key: str = ""  # of a finding, or of a gap: what `reveal` carries
    item: str = ""  # the record whose field is missing
    field: str = ""
    gap: NotJudged | None = None

    @property
    def name(self) -> str:
        """What tells this row from the others, over judgements."""
        return "|".join((self.kind, self.key, self.item, self.field, self.text if not self.key else ""))

    def said(self, stale: bool = False) -> str:
        """The row in words, for whoever does not see it."""
        parts = [self.text]
        if self.kind in ("finding", "waived"):
            lead = _("{word}: {rule}").format(word=_(WORD_NAMES[self.word]), rule=self.title)
            if self.number:
                lead = _("Note {number}, {lead}").format(number=self.number, lead=lead)
            if self.sheet:
                lead = _("{lead}, sheet {sheet}").format(lead=lead, sheet=self.sheet)
            parts = [f"{lead}.", self.text]
        elif self.kind == "gap":
            what = _("Not recorded: {what}.") if self.field else "{what}"
            parts = [what.format(what=self.text), self.title]
        parts.append(self.more)
        if stale and self.kind in ("finding", "gap", "waived"):
            parts.append(f"({_(BEFORE)})")
        return " ".join(part for part in parts if part)


def first_sentence(message: str) -> str:
    """The first sentence of a message. A point inside a number or a name ends none."""
    found = re.search(r"[.!?](?=\s+[^\s\d])", message)
    return message if found is None else message[: found.end()]


def ids_of(result: CheckResult, key: str) -> tuple[str, ...] | None:
    """What a finding (open or waived) or a gap speaks of, by its key; `None` where the judgement has none of it."""
    for finding in (*result.findings, *result.waived):
        if finding.key == key:
            return finding.ids
    return next((gap.ids for gap in result.not_judged if gap.key == key), None)


def summary(judgement: Judgement | None) -> str:
    """*4 found, 17 not judged, 1 waived.*"""
    if judgement is None:
        return _("Not yet judged.")
    result = judgement.result
    parts = [
        ngettext("{n} found", "{n} found", len(result.findings)).format(n=len(result.findings)),
        ngettext("{n} not judged", "{n} not judged", len(result.not_judged)).format(n=len(result.not_judged)),
    ]
    if result.waived:
        parts.append(ngettext("{n} waived", "{n} waived", len(result.waived)).format(n=len(result.waived)))
    return f"{', '.join(parts)}."


def lines_of(judgement: Judgement, snapshot: Snapshot) -> list[Line]:
    """Every row of the page."""
    result = judgement.result
    sheets = {item: sheet.number for item, sheet in snapshot.sheets.items()}
    made = [Line("heading", _("Found: {n}").format(n=len(result.findings)))]
    found = sorted(result.findings, key=lambda f: (WORDS.index(f.word), judgement.numbers.get(f.key, 0)))
    made += [_finding(f, judgement, sheets) for f in found]
    if not result.findings:
        made.append(Line("text", _nothing_found(judgement, snapshot)))
    made.append(Line("heading", _("Not judged: {n}").format(n=len(result.not_judged))))
    made += _gaps(result.not_judged, snapshot)
    if not result.not_judged:
        made.append(Line("text", _("Every rule that ran could tell.")))
    if result.waived:
        made.append(Line("heading", _("Waived: {n}").format(n=len(result.waived))))
        made += [_waived(f, judgement) for f in result.waived]
    made.append(Line("heading", _("What the judgement rests on")))
    made += [Line("text", text) for text in _basis(judgement)]
    return made


def _nothing_found(judgement: Judgement, snapshot: Snapshot) -> str:
    if not snapshot.equipment and not snapshot.runs:
        return _("Nothing is drawn, nothing was judged.")
    n = len(judgement.result.not_judged)
    if not n:
        return _("Nothing was found in what is drawn and filled in. That is no proof of safety.")
    return ngettext(
        "Nothing was found in what could be judged; {n} question could not be judged.",
        "Nothing was found in what could be judged; {n} questions could not be judged.",
        n,
    ).format(n=n)


def _finding(finding: Finding, judgement: Judgement, sheets: dict[str, int]) -> Line:
    return Line(
        "finding",
        first_sentence(finding.message),
        title=finding.rule,
        word=finding.word,
        number=judgement.numbers.get(finding.key, 0),
        sheet=sheets.get(judgement.homes.get(finding.key, ""), 0),
        more=_more(finding, judgement),
        key=finding.key,
    )


def _more(finding: Finding, judgement: Judgement) -> str:
    """What else is to be known of it before it is opened."""
    rests = any(one.key == finding.key and one.what != "passed" for one in judgement.result.resting)
    parts = (
        _("Its waiver does not hold.") if finding.waiver_note else "",
        _("It rests on assumed values.") if rests else "",
    )
    return " ".join(part for part in parts if part)


def _gaps(gaps: tuple[NotJudged, ...], snapshot: Snapshot) -> list[Line]:
    """By rule; a row for each missing field, or one that says why where no field would tell."""
    fields = WantedFields(snapshot)
    made: list[Line] = []
    for (rule, word), group in itertools.groupby(gaps, key=lambda g: (g.rule, g.would_be)):
        some = list(group)
        made.append(
            Line(
                "rule",
                _("{rule}, would be {word}: {n}").format(rule=rule, word=_(WORD_NAMES[word]), n=len(some)),
                title=rule,
                word=word,
            )
        )
        for gap in some:
            why = _as_sentence(gap.why)
            wanted = fields.of(gap)
            for each in wanted:
                made.append(
                    Line(
                        "gap",
                        each.text,
                        rule,
                        word,
                        more=why,
                        key=gap.key,
                        item=each.item,
                        field=each.field,
                        gap=gap,
                    )
                )
            if not wanted:
                names = ", ".join(dict.fromkeys(gap.designations)) or rule
                rest = _("Missing: {what}.").format(what=", ".join(gap.missing)) if gap.missing else ""
                more = " ".join(part for part in (why, rest) if part)
                made.append(Line("gap", names, rule, word, more=more, key=gap.key, gap=gap))
    return made


def _waived(finding: Finding, judgement: Judgement) -> Line:
    waiver = judgement.result.waivers.get(finding.waived)
    return Line(
        "waived",
        first_sentence(finding.message),
        title=finding.rule,
        word=finding.word,
        more=waiver_words(waiver) if waiver is not None else "",
        key=finding.key,
    )


def waiver_words(waiver: Waiver) -> str:
    """Who decided what, when, why."""
    parts = [
        _(waiver.intent),
        _("by {who}").format(who=waiver.who) if waiver.who else "",
        waiver.date,
    ]
    head = " ".join(part for part in parts if part)
    review = _("to be looked at again by {date}").format(date=waiver.review) if waiver.review else ""
    told = [_("{head}: {reason}").format(head=head, reason=waiver.reason) if waiver.reason else head, review]
    text = "; ".join([*(part for part in told if part), *filter(None, (waiver.clause,))])
    return _as_sentence(text)


def _basis(judgement: Judgement) -> list[str]:
    result = judgement.result
    made = head(result)
    if result.no_clause:
        made.append(no_clause_note(result))
    if result.faulted:
        made.append(
            _("Stopped by a fault of the program, not judged: {rules}.").format(rules=", ".join(result.faulted))
        )
    made += [fault.told() for fault in result.disabled]
    if result.assumptions:
        made.append(_("Taken as so, where the record is silent:"))
        made += [_as_sentence(text) for text in result.assumptions]
    made += resting_lines(result)
    return made


def _as_sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if not text or text.endswith((".", "!", "?", ":")) else f"{text}."
