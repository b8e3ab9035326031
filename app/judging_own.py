"""The person's own rules beside a judgement that does not wait for them: they may take long, and are told last."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from app.judging_soon import with_remarks
from engine.check import CheckResult, check
from engine.installation.model import Snapshot
from engine.rules.own import Heard, OwnFault, announce
from engine.study import Outcome, Study

if TYPE_CHECKING:
    from app.own_rules_runner import OwnRules

__all__ = ["OwnJudging"]


class OwnJudging:
    """What the study process needs of them; `None` where there are none."""

    def __init__(self, own: OwnRules | None = None) -> None:
        self._own = own
        self._heard: Study | None = None  # of which they have been heard
        if own is not None:
            announce((), are_all=False)  # a book may have sections for them: it is read before they are

    def allow_again(self) -> None:
        """Run again what was disabled."""
        if self._own is not None:
            self._own.allow_again()

    def begin(self, study: Study) -> None:
        """A study is judged without them first: what it does not know may be theirs."""
        study.awaits_own = self._own is not None

    def beside(self, result: CheckResult, before: CheckResult | None, snapshot: Snapshot) -> CheckResult:
        """A judgement without them, what they said before beside it until they have judged anew."""
        if self._own is None or before is None or before.book != result.book:
            return result
        return with_remarks(result, before, snapshot)

    def late(
        self, study: Study | None, result: CheckResult | None, snapshot: Snapshot, go_on: Callable[[], object]
    ) -> CheckResult | None:
        """The judgement with what they say, `None` where that is no other. `go_on` may raise to stop."""
        if self._own is None or study is None or result is None or study is self._heard:
            return None
        if study.snapshot is not snapshot:
            return None
        # what passed them is asked at once: it is little, and told when somebody asks why nothing is said of a thing
        own = self._own.judge(snapshot, study.book, proving=True, go_on=go_on)
        made = check(snapshot, study=study, own=own)
        self._heard = study
        return None if made == result else made

    def fallen(self, study: Study, result: CheckResult, snapshot: Snapshot, why: str) -> CheckResult:
        """The judgement where a fault of the program kept them from being asked: what they said before is gone."""
        faults = tuple(OwnFault(rule.where, why, rule.slug, rule.word, is_known=True) for rule in result.own)
        stopped = {fault.rule: Outcome((), RuntimeError(why)) for fault in faults}
        return check(snapshot, study=study, own=Heard((), stopped, (*faults, *result.disabled)))
