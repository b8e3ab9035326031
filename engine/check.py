"""Select, run, order, waive, count: one snapshot judged by one book.

**A rule without a clause in the book still runs.** A fault does not vanish because a book is silent about it. Its
findings carry no clause and `law_here=False` and print as *no clause in this book: good practice*; the result lists
these rules in `no_clause`, so that silence is never taken for a pass, nor good practice for law.

**Not judged is neither a finding nor a pass.** It is counted apart, and counts against `fails` at the word it would
carry. A rule that stops with a fault of the program counts the same way and is logged.
"""

from __future__ import annotations

import datetime
import functools
import logging
import re
from collections.abc import Callable, Iterable

import msgspec

from engine.assumptions import assumptions
from engine.books import Book, load, load_beside
from engine.circuit.broken_locks import BrokenLock, broken_locks
from engine.findings import WORDS, Finding, NotJudged, Passed, Word
from engine.installation.model import Snapshot
from engine.installation.records import Waiver
from engine.rules import Rule, UnknownRule, rules
from engine.rules.disabled import DisabledRule
from engine.rules.own import FAMILY, Heard, OwnFault, OwnRule, as_rule
from engine.study import Study
from engine.tracing.assumed import AssumedValue, Resting
from engine.waivers import matches, why_not
from engine.words import _, ngettext

__all__ = ["CheckResult", "UnknownRule", "check", "in_order", "rule_named", "why_stopped"]

log = logging.getLogger(__name__)

RESTS_ON_INTERLOCKS = ("bypass-unprotected", "sources-meet")  # rules that an interlock can silence by itself


class CheckResult(msgspec.Struct, frozen=True, kw_only=True):
    """What a book says of an installation. Findings are ordered: word, rule, designations."""

    book: str  # name of the book's file
    title: str
    edition: str
    basis: str
    binds: str  # whom the book binds, in words
    law: bool | None  # whether it binds this vessel; None: her record does not say enough
    recorded: str = ""  # book and edition the drawing records it was last judged by
    changed: tuple[str, ...] = ()  # keys of the values that a yard's own book changes
    findings: tuple[Finding, ...] = ()  # open ones
    waived: tuple[Finding, ...] = ()
    not_judged: tuple[NotJudged, ...] = ()
    passed: tuple[Passed, ...] = ()  # what was proved, where that was asked for
    rules: tuple[str, ...] = ()  # those that ran
    no_clause: tuple[str, ...] = ()  # those of them without a clause in the book
    stopped: tuple[str, ...] = ()  # those a fault of the program stopped, and own ones that were disabled
    own: tuple[OwnRule, ...] = ()  # the person's own rules among them
    disabled: tuple[OwnFault, ...] = ()  # own rules that were disabled, and why
    waivers: dict[str, Waiver] = {}  # those in force, by id
    assumptions: tuple[str, ...] = ()  # what was taken for granted where the record is silent
    assumed: tuple[AssumedValue, ...] = ()  # values that are only assumed, where `engine.tracing.resting` was asked
    resting: tuple[Resting, ...] = ()  # what is said only because of them

    def count(self, word: Word) -> int:
        """Open findings of a signal word."""
        return sum(1 for finding in self.findings if finding.word == word)

    @property
    def faulted(self) -> tuple[str, ...]:
        """Rules that a fault of the program stopped: not the person's own, of which `disabled` tells."""
        own = {fault.rule for fault in self.disabled}
        return tuple(slug for slug in self.stopped if slug not in own)

    def counts(self) -> dict[str, int]:
        """Open findings by signal word, worst first, then waived and not judged."""
        by_word: dict[str, int] = {word: self.count(word) for word in WORDS}
        return by_word | {"waived": len(self.waived), "not_judged": len(self.not_judged)}

    def summary(self) -> str:
        """*4 open, 1 waived, 17 not judged*."""
        return ", ".join(
            (
                ngettext("{n} open", "{n} open", len(self.findings)).format(n=len(self.findings)),
                ngettext("{n} waived", "{n} waived", len(self.waived)).format(n=len(self.waived)),
                ngettext("{n} not judged", "{n} not judged", len(self.not_judged)).format(n=len(self.not_judged)),
            )
        )

    def fails(self, word: Word = "warning", allow_unknown: bool = False) -> bool:
        """Whether anything open is as bad as `word` or worse.

        What could not be judged counts at the word it would carry, unless `allow_unknown`; a rule stopped by a fault of
        the program counts always.
        """
        worst = WORDS.index(word)
        if any(WORDS.index(finding.word) <= worst for finding in self.findings):
            return True
        return any(
            WORDS.index(gap.would_be) <= worst and (not allow_unknown or gap.rule in self.stopped)
            for gap in self.not_judged
        )


def why_stopped(fault: Exception) -> str:
    """What stopped a rule, in words that follow *a fault of the program*."""
    return str(fault) if isinstance(fault, DisabledRule) else type(fault).__name__


def rule_named(slug: str) -> Rule:
    """The rule called `slug`. Raises `UnknownRule`."""
    every = rules()
    if slug not in every:
        raise UnknownRule(_("there is no rule {slug!r}; there are: {rules}").format(slug=slug, rules=", ".join(every)))
    return every[slug]


def check(
    snapshot: Snapshot,
    book: str | None = None,
    only: Iterable[str] | None = None,
    today: datetime.date | None = None,
    go_on: Callable[[], object] | None = None,
    study: Study | None = None,
    proving: bool = False,
    own: Heard | None = None,
) -> CheckResult:
    """Judge a snapshot by a book, the drawing's own when none is named.

    `only` names the rules to run, all when `None`; `today` is the day review dates are compared with. `go_on`
    is called before every rule and may raise to stop. `study` is one of the same snapshot and book whose analyses are
    wanted again afterwards; `proving` asks what passed and with what margin too; `own` is what the person's own rules
    said, which are run elsewhere. Raises `BookError` and `UnknownRule`, nothing for what is drawn.
    """
    judged_by = study.book if study is not None else load(book) if book else load_beside(snapshot.settings.book, None)
    chosen = list(rules().values()) if only is None else [rule_named(slug) for slug in sorted(set(only))]
    study = study or Study(snapshot, judged_by, proving)
    if own is not None:
        study.hear_own(own.outcomes, own.is_complete)
        chosen += [as_rule(rule) for rule in own.rules]
    law = judged_by.law_for(snapshot.vessel)
    findings: list[Finding] = []
    gaps: list[NotJudged] = []
    passed: list[Passed] = []
    stopped: list[str] = []
    broken = tuple(broken_locks(snapshot))
    strange = tuple(item for item, record in snapshot.equipment.items() if not record.KIND)
    for rule in chosen:
        if go_on is not None:
            go_on()
        remarks, fault, in_order_here = study.outcome(rule.slug)
        is_blind = bool(strange) and rule.family != "record"
        contradicted = broken if rule.slug in RESTS_ON_INTERLOCKS else ()
        if not is_blind and not contradicted and fault is None:  # else what it took for granted is not so
            passed.extend(in_order_here)
        for remark in remarks:
            if isinstance(remark, Finding):
                findings.append(_with_clause(remark, rule, judged_by, law))
            else:
                gaps.append(_with_word(remark, rule, judged_by))
        if is_blind:
            gaps.append(_blind(rule, judged_by, snapshot, strange))
        gaps.extend(_contradicted(rule, judged_by, snapshot, lock) for lock in contradicted)
        if fault is not None:
            if not isinstance(fault, DisabledRule):
                log.error("rule %s stopped", rule.slug, exc_info=fault)
            stopped.append(rule.slug)
            gaps.append(_stopped(rule, judged_by, fault))
    for disabled in own.faults if own is not None else ():
        stopped.append(disabled.rule)
        gaps.append(_disabled(disabled, judged_by))
    if snapshot.settings.left_out:
        gaps.append(_left_out(snapshot.settings.left_out))
    gaps = list(dict.fromkeys(gaps))  # two ways to one question are one question
    still_open, waived, used = _waive(findings, snapshot.waivers, today or datetime.date.today())
    made = CheckResult(
        book=judged_by.slug,
        title=judged_by.title,
        edition=judged_by.edition,
        basis=judged_by.basis,
        binds=judged_by.binds_text,
        law=law,
        recorded=snapshot.settings.book_edition,
        changed=judged_by.own,
        findings=tuple(still_open),
        waived=tuple(waived),
        not_judged=tuple(gaps),
        passed=tuple(passed),
        rules=tuple(rule.slug for rule in chosen),
        no_clause=tuple(rule.slug for rule in chosen if not judged_by.has(rule.slug)),
        stopped=tuple(stopped),
        own=own.rules if own is not None else (),
        disabled=own.faults if own is not None else (),
        waivers=used,
        assumptions=assumptions(study) if any(rule.family == "protection" for rule in chosen) else (),
    )
    return in_order(made)


def in_order(result: CheckResult) -> CheckResult:
    """The same result, findings and what was not judged in the order they are told in."""
    return msgspec.structs.replace(
        result,
        findings=tuple(sorted(result.findings, key=_finding_order)),
        waived=tuple(sorted(result.waived, key=_finding_order)),
        not_judged=tuple(sorted(result.not_judged, key=_gap_order)),
        passed=tuple(sorted(result.passed, key=_passed_order)),
    )


def _with_clause(finding: Finding, rule: Rule, book: Book, law: bool | None) -> Finding:
    """Clause and standing from the book; its word too, where the rule kept its ordinary one and decided."""
    word = finding.word
    if word == rule.word and not finding.undecided:
        word = book.word(rule.slug, word)
    clause, confirmed = finding.clause, finding.confirmed
    if not clause and not finding.beyond_clause:
        clause, confirmed = book.clause(rule.slug), book.confirmed(rule.slug)
    if rule.family == FAMILY and clause != book.clause(rule.slug):
        law = False  # what a person's own rule cites is law for nobody
    return msgspec.structs.replace(
        finding,
        word=word,
        clause=clause,
        confirmed=confirmed and bool(clause),
        law_here=False if not clause or book.is_practice(rule.slug, clause) else law,
    )


def _with_word(gap: NotJudged, rule: Rule, book: Book) -> NotJudged:
    word = book.word(rule.slug, gap.would_be) if gap.would_be == rule.word else gap.would_be
    return msgspec.structs.replace(gap, would_be=word)


def _blind(rule: Rule, book: Book, snapshot: Snapshot, strange: tuple[str, ...]) -> NotJudged:
    """Equipment of a kind that this version does not know: nobody can tell what it joins or protects."""
    names = tuple(_name_of_unknown(snapshot, item) for item in strange)
    return NotJudged(
        rule=rule.slug,
        would_be=book.word(rule.slug, rule.word),
        designations=names,
        ids=strange,
        missing=(),
        why=_("what {names} conducts is not known: this version does not know its kind").format(names=", ".join(names)),
        detail="unknown kind",
        everywhere=True,
    )


def _name_of_unknown(snapshot: Snapshot, item: str) -> str:
    """Its designation is among the members kept as they were read."""
    text = dict(snapshot.equipment[item].unknown).get("designation", '""')
    name = msgspec.json.decode(text)
    return name if isinstance(name, str) and name else item


def _contradicted(rule: Rule, book: Book, snapshot: Snapshot, broken: BrokenLock) -> NotJudged:
    """The drawing breaks its own interlock: one of the two is wrong."""
    lock = snapshot.interlocks[broken.interlock]
    shown = ", ".join(
        _("{item} in {position}").format(item=snapshot.name(item), position=_(position))
        for item, position in broken.held
    )
    if broken.condition:
        when = _("in the condition {name}").format(name=snapshot.conditions[broken.condition].name)
    else:
        when = _("as drawn")
    return NotJudged(
        rule=rule.slug,
        would_be=book.word(rule.slug, rule.word),
        designations=tuple(snapshot.name(item) for item, _position in broken.held),
        ids=tuple(item for item, _position in broken.held),
        missing=(),
        why=_(
            "{interlock} allows {count} of these positions at the same time, and {when} {shown} hold: the interlock or "
            "the positions are wrong"
        ).format(
            interlock=_("the interlock {name}").format(name=lock.name) if lock.name else _("an interlock"),
            count=lock.at_most,
            when=when,
            shown=shown,
        ),
        detail=f"{broken.interlock} {broken.condition}".strip(),
        everywhere=True,
    )


def _left_out(rows: tuple[str, ...]) -> NotJudged:
    """What was refused at import may be anything: a main fuse, a source."""
    return NotJudged(
        rule="no-protection",
        would_be="danger",
        designations=(),
        ids=(),
        missing=rows,
        why=_("these rows were refused when the lists were imported, and what they tell is not on the drawing"),
        detail="left out",
        everywhere=True,
    )


def _stopped(rule: Rule, book: Book, fault: Exception) -> NotJudged:
    return NotJudged(
        rule=rule.slug,
        would_be=book.word(rule.slug, rule.word),
        designations=(),
        ids=(),
        missing=(),
        why=_("the rule was stopped by a fault of the program ({fault}); the log tells more").format(
            fault=why_stopped(fault)
        ),
        detail="stopped",
        everywhere=True,
    )


def _disabled(fault: OwnFault, book: Book) -> NotJudged:
    """A blind check never looks clean, whoever wrote the rule."""
    told = fault.told()
    return NotJudged(
        rule=fault.rule,
        would_be=book.word(fault.rule, fault.word) if fault.is_known else fault.word,
        designations=(),
        ids=(),
        missing=(),
        why=told[:1].lower() + told[1:].rstrip("."),
        detail=f"disabled {fault.where}",
    )


def _waive(
    findings: list[Finding], waivers: dict[str, Waiver], today: datetime.date
) -> tuple[list[Finding], list[Finding], dict[str, Waiver]]:
    """Open findings, waived ones, the waivers in force."""
    still_open: list[Finding] = []
    waived: list[Finding] = []
    used: dict[str, Waiver] = {}
    for finding in findings:
        reasons: list[str] = []
        for item, waiver in waivers.items():
            if not matches(waiver, finding):
                continue
            why = why_not(waiver, finding, today)
            if not why:
                waived.append(msgspec.structs.replace(finding, waived=item))
                used[item] = waiver
                break
            reasons.append(why)
        else:
            note = "; ".join(dict.fromkeys(reasons))
            still_open.append(msgspec.structs.replace(finding, waiver_note=note) if note else finding)
    return still_open, waived, dict(sorted(used.items()))


def _natural(texts: tuple[str, ...]) -> tuple[tuple[tuple[int, str], ...], ...]:
    """F2 before F10."""
    return tuple(map(_parts, texts))


@functools.lru_cache(maxsize=1 << 16)
def _parts(text: str) -> tuple[tuple[int, str], ...]:
    """`W12` as (-1, W), (12, ""), (-1, "")."""
    return tuple((int(part), "") if part.isdecimal() else (-1, part) for part in re.split(r"([0-9]+)", text))


def _finding_order(finding: Finding) -> tuple[object, ...]:
    return WORDS.index(finding.word), finding.rule, _natural(finding.designations), finding.key, finding.message


def _gap_order(gap: NotJudged) -> tuple[object, ...]:
    return WORDS.index(gap.would_be), gap.rule, _natural(gap.designations), gap.ids, gap.detail, gap.missing, gap.why


def _passed_order(passed: Passed) -> tuple[object, ...]:
    return passed.rule, _natural(passed.designations), passed.ids, passed.detail, passed.condition, passed.message
