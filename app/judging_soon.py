"""A judgement in two parts: dangers and warnings that need nothing solved first, the others as they were meanwhile."""

from __future__ import annotations

import functools

import msgspec

from engine.check import CheckResult, in_order
from engine.installation.model import Snapshot
from engine.rules import rules

__all__ = ["rules_told_first", "with_remarks"]


@functools.cache
def rules_told_first() -> tuple[str, ...]:
    """Rules of dangers and warnings that neither solve the circuit nor search long over switch positions."""
    some = ((slug, rule) for slug, rule in rules().items() if not rule.solves and not rule.searches)
    return tuple(slug for slug, rule in some if rule.word in ("danger", "warning"))


def with_remarks(soon: CheckResult, before: CheckResult, snapshot: Snapshot) -> CheckResult:
    """`soon` with what the rules it lacks said in `before`, as far as what they spoke of is still there."""
    disabled = {fault.rule for fault in before.disabled}
    late = (set(before.rules) | disabled) - set(soon.rules)
    there = snapshot.equipment.keys() | snapshot.runs.keys() | snapshot.enclosures.keys() | snapshot.waivers.keys()

    def stands(rule: str, ids: tuple[str, ...]) -> bool:
        return rule in late and all(item in there for item in ids)

    made = msgspec.structs.replace(
        soon,
        findings=(*soon.findings, *(f for f in before.findings if stands(f.rule, f.ids))),
        waived=(*soon.waived, *(f for f in before.waived if stands(f.rule, f.ids))),
        not_judged=(*soon.not_judged, *(g for g in before.not_judged if stands(g.rule, g.ids))),
        rules=before.rules,
        no_clause=before.no_clause,
        own=before.own,
        disabled=before.disabled,
        stopped=(*soon.stopped, *(slug for slug in before.stopped if slug in late or slug in disabled)),
        waivers=before.waivers | soon.waivers,
        assumptions=soon.assumptions,
        assumed=before.assumed,
        resting=before.resting,
    )
    return in_order(made)
