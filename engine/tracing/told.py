"""What rests on assumed values, in sentences for reports, sheets and pages."""

from __future__ import annotations

from collections.abc import Sequence

from engine.check import CheckResult
from engine.tracing.assumed import AssumedValue, Resting
from engine.words import _, ngettext

__all__ = ["finding_rests", "resting_lines", "values_words"]

MOST = 6  # values named in one sentence


def values_words(values: Sequence[AssumedValue], most: int = MOST) -> str:
    """*W3 (length: 4 m); F1 (rated current: 30 A) and 3 more*."""
    named = "; ".join(value.words for value in values[:most])
    more = len(values) - most
    if more <= 0:
        return named
    return ngettext("{first} and {more} more", "{first} and {more} more", more).format(first=named, more=more)


def finding_rests(result: CheckResult, key: str) -> str:
    """The sentence that says on which assumed values a finding rests; "" where it rests on none."""
    one = next((r for r in result.resting if r.key == key and r.what != "passed"), None)
    return "" if one is None else _sentence(one)


def _sentence(one: Resting) -> str:
    told = (
        _("It rests on values that are only assumed: {values}.")
        if one.named
        else _("It rests on one or more values that are only assumed, among these: {values}.")
    )
    return told.format(values=values_words(one.values))


def resting_lines(result: CheckResult) -> tuple[str, ...]:
    """How much rests on assumed values and on which, as whole sentences; () where none is assumed."""
    if not result.assumed:
        return ()
    made = [
        ngettext(
            "{n} value is only assumed: {values}.", "{n} values are only assumed: {values}.", len(result.assumed)
        ).format(n=len(result.assumed), values=values_words(result.assumed))
    ]
    findings = [r for r in result.resting if r.what != "passed"]
    if findings:
        made.append(
            ngettext(
                "{n} finding rests on assumed values; it stays a finding.",
                "{n} findings rest on assumed values; they stay findings.",
                len(findings),
            ).format(n=len(findings))
        )
    passed = [r for r in result.resting if r.what == "passed"]
    if passed:
        made.append(
            ngettext(
                "{n} question is answered only by assumed values: {what}.",
                "{n} questions are answered only by assumed values: {what}.",
                len(passed),
            ).format(n=len(passed), what=_questions(passed))
        )
    if not result.resting:
        made.append(_("No finding and no pass rests on an assumed value alone."))
    stay = [value for value in result.assumed if value.stays]
    if stay:
        told = _("Without these nothing could be judged, so what rests on them is not told: {values}.")
        made.append(told.format(values=values_words(stay)))
    return tuple(made)


def _questions(passed: Sequence[Resting]) -> str:
    """*thin-for-fuse (W3, W4); slow-to-clear (F1)*."""
    by_rule: dict[str, dict[str, None]] = {}
    for one in passed:
        by_rule.setdefault(one.rule, {}).update(dict.fromkeys(one.designations[:1]))
    told = []
    for rule, names in sorted(by_rule.items()):
        some = [name for name in names if name]
        shown = ", ".join(some[:MOST])
        if len(some) > MOST:
            shown = _("{first} and {more} more").format(first=shown, more=len(some) - MOST)
        told.append(_("{rule} ({names})").format(rule=rule, names=shown) if shown else rule)
    return "; ".join(told)
