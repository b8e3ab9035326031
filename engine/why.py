"""Why a rule says nothing of a thing, or what it says: rule by rule, for people who have to believe a silence.

For each rule one of five answers: *found*, *waived*, *not judged* with the fields that would tell, *passed* with its
margin, or *not applicable* with what the rule looks at. Wants a result of `check(..., proving=True)`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Literal, TypeAlias

import msgspec

from engine.check import CheckResult
from engine.circuit.uncovered import SLUGS
from engine.findings import WORDS, Finding, NotJudged, Passed, Word
from engine.installation.model import Snapshot
from engine.rules import rules
from engine.rules.own import as_rule
from engine.words import _, inward

__all__ = ["VERDICTS", "Said", "called", "why"]

Verdict: TypeAlias = Literal["found", "waived", "not judged", "passed", "not applicable"]
VERDICTS: tuple[Verdict, ...] = ("found", "waived", "not judged", "passed", "not applicable")


class Said(msgspec.Struct, frozen=True, kw_only=True):
    """What one rule says of one thing. `word` is that of the finding, or the one it would carry."""

    rule: str
    title: str
    verdict: Verdict
    text: str = ""
    word: Word | None = None
    missing: tuple[str, ...] = ()
    condition: str = ""
    passed: Passed | None = None

    @property
    def margin(self) -> float | None:
        """Share of the limit that is left, where figures were compared."""
        return None if self.passed is None else self.passed.margin


def called(snapshot: Snapshot, designation: str) -> tuple[str, ...]:
    """Ids of everything that a designation names: equipment, runs, enclosures; capitals only where that tells apart."""
    wanted = designation.strip()
    tables = (snapshot.equipment, snapshot.runs, snapshot.enclosures)
    names = [(item, snapshot.name(item)) for table in tables for item in table]
    exact = tuple(item for item, name in names if name == wanted)
    return exact or tuple(item for item, name in names if name.casefold() == wanted.casefold())


def why(result: CheckResult, snapshot: Snapshot, items: Iterable[str]) -> tuple[Said, ...]:
    """What every rule that ran says of things, by id; thing by thing, verdicts in the order of `VERDICTS`.

    What passed comes by its margin, the least first.
    """
    return tuple(said for item in items for said in sorted(_of(result, snapshot, item), key=_order))


def _order(said: Said) -> tuple[int, float, str, str]:
    """Findings and questions worst first, what passed by its margin."""
    urgency = 0.0 if said.word is None else float(WORDS.index(said.word))
    if said.verdict == "passed":
        urgency = math.inf if said.margin is None else said.margin
    return VERDICTS.index(said.verdict), urgency, said.rule, said.text


def _of(result: CheckResult, snapshot: Snapshot, item: str) -> Iterator[Said]:
    told: dict[str, list[Said]] = {}
    for finding in result.findings:
        if item in finding.ids:
            told.setdefault(finding.rule, []).append(_found(finding, "found"))
    for finding in result.waived:
        if item in finding.ids:
            told.setdefault(finding.rule, []).append(_waived(finding, result))
    for gap in result.not_judged:
        if item in gap.ids or gap.everywhere or not gap.ids:
            told.setdefault(gap.rule, []).append(_not_judged(gap, snapshot.name(item)))
    for passed in result.passed:
        if item in passed.ids:
            told.setdefault(passed.rule, []).append(_passed(passed))
    ends = [slug for slug in SLUGS if any(said.verdict != "passed" for said in told.get(slug, ()))]
    looked = _looked_at(result, snapshot)
    for slug in dict.fromkeys((*result.rules, *told)):
        if slug in told:
            yield from told[slug]
        else:
            elsewhere = ends[0] if slug in SLUGS and item in snapshot.runs and ends else ""
            alike = _kind(snapshot, item) in looked.get(slug, ())
            yield _not_applicable(result, snapshot, item, slug, elsewhere, alike)


def _looked_at(result: CheckResult, snapshot: Snapshot) -> dict[str, set[str]]:
    """Kinds of things that each rule said something of first."""
    made: dict[str, set[str]] = {}
    for told in (result.findings, result.waived, result.not_judged, result.passed):
        for remark in told:
            if remark.ids:
                made.setdefault(remark.rule, set()).add(_kind(snapshot, remark.ids[0]))
    return made


def _title(slug: str) -> str:
    rule = rules().get(slug)
    return _(rule.title) if rule is not None else slug


def _found(finding: Finding, verdict: Verdict) -> Said:
    return Said(
        rule=finding.rule,
        title=_title(finding.rule),
        verdict=verdict,
        text=finding.message,
        word=finding.word,
        condition=finding.condition,
    )


def _waived(finding: Finding, result: CheckResult) -> Said:
    waiver = result.waivers[finding.waived]
    said = _found(finding, "waived")
    if not waiver.reason:
        return said
    text = _("{message} Waived: {reason}.").format(message=finding.message, reason=waiver.reason.rstrip("."))
    return msgspec.structs.replace(said, text=text)


def _not_judged(gap: NotJudged, name: str) -> Said:
    """Of a question left open for several things, the fields of this one first."""
    own = [field for field in gap.missing if field.rpartition(".")[0] == name]
    return Said(
        rule=gap.rule,
        title=_title(gap.rule),
        verdict="not judged",
        text=gap.why[:1].upper() + gap.why[1:] + "." if gap.why else "",
        word=gap.would_be,
        missing=(*own, *(field for field in gap.missing if field not in own)),
    )


def _passed(passed: Passed) -> Said:
    return Said(
        rule=passed.rule,
        title=_title(passed.rule),
        verdict="passed",
        text=passed.message,
        condition=passed.condition,
        passed=passed,
    )


def _not_applicable(result: CheckResult, snapshot: Snapshot, item: str, slug: str, elsewhere: str, alike: bool) -> Said:
    """`elsewhere`: the rule that tells of this end. `alike`: it looked at others of the kind."""
    rule = rules().get(slug) or next((as_rule(own) for own in result.own if own.slug == slug), None)
    name = snapshot.name(item)
    if elsewhere:
        text = _("An end of a run is told once, and {rule} tells of this one.").format(rule=elsewhere)
    elif rule is None or not rule.looks_at:
        text = _("It says nothing of {name}.").format(name=name)
    else:
        text = _("It looks at {what}; not at {name} ({kind}).")
        status = _status(snapshot, item)
        if alike and status:
            text = _("It looks at {what}; {name} ({kind}) is recorded as {status}, and it leaves that out.")
        elif alike:
            text = _("It looks at {what}; at {name} ({kind}) it had nothing to compare.")
        text = text.format(what=_(rule.looks_at), name=name, kind=_kind(snapshot, item), status=status)
    if slug in result.no_clause:
        text = _("{text} This book has no clause for it.").format(text=text)
    return Said(rule=slug, title=_title(slug), verdict="not applicable", text=text)


def _status(snapshot: Snapshot, item: str) -> str:
    """*spare*, *to remove*: what many rules leave out."""
    record = snapshot.equipment.get(item) or snapshot.runs.get(item)
    return _(record.status) if record is not None and record.status in ("spare", "to remove") else ""


def _kind(snapshot: Snapshot, item: str) -> str:
    if item in snapshot.equipment:
        return inward(_(snapshot.equipment[item].NAME))
    return _("run") if item in snapshot.runs else _("enclosure")
