"""Which findings and which passes rest on assumed values: found by judging again with those taken as not known.

What is said of one question without them is compared by its key. A finding that is then not found, or could not be
judged, rests on them; a question that was answered and could then not be judged, or is then found wrong, passed only by
them. It stays what it is: a finding that rests on an assumed value is a finding.

What this cannot tell: a field that is never empty cannot be taken away (`AssumedValue.stays`); a person's own rules are
not run again; a finding that is found either way, with other figures, does not rest on them. Where the judgement does
not name the values it then lacks, those of what it speaks of are told, else all of them: one or more of these.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

import msgspec

from engine.books import Book
from engine.check import CheckResult, check
from engine.findings import Finding, NotJudged
from engine.installation.model import Snapshot
from engine.study import Study
from engine.tracing.assumed import AssumedValue, Resting, assumed_values, has_assumed, without_assumed
from engine.wanted import WantedFields

__all__ = ["carried", "with_resting"]


def with_resting(
    result: CheckResult, snapshot: Snapshot, book: Book, budget: int = 0, go_on: Callable[[], object] | None = None
) -> CheckResult:
    """The result of that snapshot with what of it rests on assumed values; itself where no value is assumed.

    `book`: by which it was judged; `budget`: that of its searches where it was another than usual; `go_on` is called
    before every rule and may raise to stop.
    """
    values = assumed_values(snapshot)
    if not values:
        return msgspec.structs.replace(result, assumed=(), resting=()) if result.assumed else result
    bare = without_assumed(snapshot)
    made: tuple[Resting, ...] = ()
    if bare is not snapshot:
        study = Study(bare, book)
        if budget:
            study.budget = budget
        own = {rule.slug for rule in result.own} | {fault.rule for fault in result.disabled}
        again = check(bare, only=set(result.rules) - own, go_on=go_on, study=study)
        made = tuple(_compared(result, again, WantedFields(snapshot), values))
    return msgspec.structs.replace(result, assumed=values, resting=made)


def carried(result: CheckResult, before: CheckResult | None, snapshot: Snapshot) -> CheckResult:
    """A judgement with what rested on assumed values in the one before, until that has been looked at anew."""
    if before is None or not before.assumed or not has_assumed(snapshot):
        return result
    found = {finding.key for finding in (*result.findings, *result.waived)}
    kept = tuple(one for one in before.resting if one.what == "passed" or one.key in found)
    return msgspec.structs.replace(result, assumed=before.assumed, resting=kept)


def _compared(
    result: CheckResult, again: CheckResult, fields: WantedFields, values: tuple[AssumedValue, ...]
) -> Iterable[Resting]:
    still = {finding.key for finding in (*again.findings, *again.waived)}
    lacked: dict[str, list[NotJudged]] = {}
    for gap in again.not_judged:
        lacked.setdefault(gap.key, []).append(gap)
    told = _Values(fields, values)
    ran = set(again.rules)
    first = {finding.key for finding in (*result.findings, *result.waived)}
    for finding in (*result.findings, *result.waived):
        if finding.key in still or finding.rule not in ran:
            continue
        gaps = lacked.get(finding.key) or _of_rule(again, finding)
        found, named = told.of(gaps, finding.ids)
        yield Resting(
            key=finding.key,
            rule=finding.rule,
            what="waived" if finding.waived else "finding",
            without="not judged" if gaps else "not found",
            designations=finding.designations,
            ids=finding.ids,
            values=found,
            named=named,
        )
    before = {(gap.key, gap.missing, gap.why) for gap in result.not_judged}
    open_keys = {gap.key for gap in result.not_judged}
    answered = _answered(result)
    for key, gaps in lacked.items():
        fresh = [gap for gap in gaps if (gap.key, gap.missing, gap.why) not in before]
        if not fresh or key in open_keys or key in first:
            continue  # it could not be judged before either, or is told as a finding
        if any((gap.rule, gap.ids[:1]) in answered for gap in fresh):
            continue
        found, named = told.of(fresh, fresh[0].ids)
        yield _passed(fresh[0], "not judged", found, named)
    for finding in again.findings:
        if finding.key not in first and finding.key not in open_keys:
            found, named = told.of((), finding.ids)
            yield _passed(finding, "found", found, named)


def _of_rule(again: CheckResult, finding: Finding) -> list[NotJudged]:
    """What the rule then could not judge of the same thing, where it asks it otherwise."""
    ids = set(finding.ids[:1])
    return [gap for gap in again.not_judged if gap.rule == finding.rule and (ids & set(gap.ids) or gap.everywhere)]


def _answered(result: CheckResult) -> set[tuple[str, tuple[str, ...]]]:
    """Rule and first thing of what was found: the question that is then open was answered by a finding."""
    return {(finding.rule, finding.ids[:1]) for finding in (*result.findings, *result.waived)}


def _passed(remark: Finding | NotJudged, without: str, values: tuple[AssumedValue, ...], named: bool) -> Resting:
    return Resting(
        key=remark.key,
        rule=remark.rule,
        what="passed",
        without="found" if without == "found" else "not judged",
        designations=remark.designations,
        ids=remark.ids,
        values=values,
        named=named,
    )


class _Values:
    """The assumed values that an answer can rest on."""

    def __init__(self, fields: WantedFields, values: tuple[AssumedValue, ...]) -> None:
        self._fields = fields
        self._all = tuple(value for value in values if not value.stays)
        self._by_field = {(value.item, value.field): value for value in self._all}

    def of(self, gaps: Iterable[NotJudged], ids: tuple[str, ...]) -> tuple[tuple[AssumedValue, ...], bool]:
        """Those the gaps name, and that they name them; else those of the things, else all."""
        asked: dict[AssumedValue, None] = {}
        for gap in gaps:
            for _missing, found in self._fields.each(gap):
                for _table, item, field in found:
                    value = self._by_field.get((item, field.partition(".")[0]))
                    if value is not None:
                        asked[value] = None
        if asked:
            return tuple(asked), True
        near = tuple(value for value in self._all if value.item in ids)
        return near or self._all, len(self._all) == 1  # where there is one it is that
