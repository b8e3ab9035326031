"""The edits that waive a finding, and that take a waiver back. No Qt."""

from __future__ import annotations

import datetime
from typing import NamedTuple

from engine.edits import Edit, Put, Several
from engine.findings import Finding
from engine.installation.model import Snapshot
from engine.installation.records import Waiver
from engine.waivers import figure_text, matches
from engine.words import _

__all__ = ["Answers", "Lacking", "can_waive", "figures_words", "take_back", "waive", "waivers_of"]


class Lacking(ValueError):
    """What a waiver still needs: the field of the form, and a sentence."""

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field


class Answers(NamedTuple):
    """What the person has filled in."""

    reason: str
    who: str = ""
    date: str = ""
    review: str = ""
    to_be_put_right: bool = False


def can_waive(finding: Finding | None) -> bool:
    """Whether a finding can be waived: a waiver names designations, and none waives another waiver."""
    return (
        finding is not None
        and not finding.waived
        and finding.rule != "needless-waiver"
        and bool(finding.designations)
        and all(finding.designations)
    )


def waivers_of(finding: Finding | None, snapshot: Snapshot) -> tuple[str, ...]:
    """Ids of the waivers that speak of a finding, whether they hold or not; of a needless one, itself."""
    if finding is None:
        return ()
    if finding.rule == "needless-waiver":
        return tuple(item for item in finding.ids if item in snapshot.waivers)
    if finding.waived:
        return (finding.waived,) if finding.waived in snapshot.waivers else ()
    return tuple(item for item, waiver in snapshot.waivers.items() if matches(waiver, finding))


def waive(finding: Finding, answers: Answers, snapshot: Snapshot, item: str, today: datetime.date) -> Edit:
    """The edit that waives a finding, in place of waivers of it that hold no longer. Raises `Lacking`."""
    answers = Answers(*(text.strip() for text in answers[:4]), answers.to_be_put_right)
    if not answers.reason:
        raise Lacking("reason", _("A waiver needs a reason."))
    if finding.word == "danger" and not answers.who:
        raise Lacking("who", _("The waiver of a danger needs the name of whoever decides."))
    if answers.date:
        _day(answers.date, "date")
    if finding.word == "danger" and not answers.review:
        raise Lacking("review", _("The waiver of a danger needs a date by which it is looked at again."))
    if answers.review and _day(answers.review, "review") < today:
        raise Lacking("review", _("{date} has passed; the waiver would not hold.").format(date=answers.review))
    record = Waiver(
        rule=finding.rule,
        designations=tuple(dict.fromkeys(finding.designations)),
        reason=answers.reason,
        who=answers.who,
        date=answers.date,
        review=answers.review,
        intent="to be put right" if answers.to_be_put_right else "accepted",
        figures=tuple(figure_text(figure) for figure in finding.figures),
    )
    words = _("Waive {rule} of {what}").format(rule=finding.rule, what=", ".join(record.designations))
    put = Put("waivers", item, record, words)
    old = waivers_of(finding, snapshot)
    return Several((*(Put("waivers", each) for each in old), put), words) if old else put


def take_back(finding: Finding, snapshot: Snapshot) -> Edit | None:
    """The edit that removes the waivers of a finding, `None` where there is none."""
    old = waivers_of(finding, snapshot)
    if not old:
        return None
    waiver = snapshot.waivers[old[0]]
    words = _("Take back the waiver of {rule} for {what}").format(rule=waiver.rule, what=", ".join(waiver.designations))
    edits = tuple(Put("waivers", each, None, words) for each in old)
    return edits[0] if len(edits) == 1 else Several(edits, words)


def figures_words(finding: Finding) -> str:
    """Which figures the waiver would be bound to, for the form; "" for none."""
    return "; ".join(figure_text(figure) for figure in finding.figures)


def _day(text: str, field: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise Lacking(field, _("A date is written like 2026-03-31, found {text!r}.").format(text=text)) from None
