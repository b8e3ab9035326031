"""The drawn examples of a rule: its first failing and first passing one, judged by the rule and drawn as on a sheet."""

from __future__ import annotations

from app.drawing.example import draw_whole
from app.help.examples import Shown, Told
from app.text_report import WORD_NAMES, standing
from engine.books import load
from engine.check import check, rule_named
from engine.findings import Finding, NotJudged
from engine.fixes import offered
from engine.rules import Example, Rule
from engine.study import Study
from engine.words import _

__all__ = ["show", "shown_examples"]


def shown_examples(slug: str) -> tuple[Shown, ...]:
    """The failing example first, then the passing one. Raises `UnknownRule`."""
    rule = rule_named(slug)
    return tuple(
        show(rule, example, passes) for passes, some in ((False, rule.bad), (True, rule.good)) for example in some[:1]
    )


def show(rule: Rule, example: Example, passes: bool) -> Shown:
    """An example, judged by its rule alone and drawn."""
    snapshot = example.build().snapshot()
    book = load(example.book)
    study = Study(snapshot, book)
    result = check(snapshot, example.book, [rule.slug], study=study)
    drawn = draw_whole(snapshot, result.findings, example.name)
    told = [_finding(study, n, each, n in drawn.unflagged) for n, each in enumerate(result.findings, 1)]
    told.extend(_gap(each) for each in result.not_judged)
    notes = list(drawn.remarks)
    if drawn.undrawn:
        names = ", ".join(snapshot.name(item) for item in drawn.undrawn)
        notes.append(_("Not drawn: {names}.").format(names=names))
    notes.extend(drawn.untold)
    return Shown(passes, example.name, _(book.title), tuple(told), tuple(notes), drawn.picture)


def _finding(study: Study, number: int, finding: Finding, is_lost: bool) -> Told:
    more = [_("When: {condition}").format(condition=finding.condition)] if finding.condition else []
    if finding.arithmetic:
        more.append(finding.arithmetic)
    more.append(standing(finding.clause, finding.confirmed, finding.law_here))
    return Told(
        number=0 if is_lost else number,
        heading=f"{_(WORD_NAMES[finding.word])} {finding.rule}",
        message=finding.message,
        more=tuple(more),
        to_do=finding.fixes,
        edits=tuple(fix.text for fix in offered(study, finding)),
    )


def _gap(gap: NotJudged) -> Told:
    heading = _("Not judged: {rule} (would be {word})").format(rule=gap.rule, word=_(WORD_NAMES[gap.would_be]))
    missing = _("Not recorded: {fields}.").format(fields=", ".join(gap.missing)) if gap.missing else ""
    return Told(0, heading, " ".join(each for each in (gap.why, missing) if each), (), (), ())
