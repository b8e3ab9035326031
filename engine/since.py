"""What has changed between two judgements of one installation: new, as before, gone.

Findings are matched by their key, which moves, other labels and another order leave alone. Ids of a drawing that was
made anew from its lists may stand for other things: `counterparts` tells which record of the newer drawing is the one
meant, by what is recorded of it; what then still has no match is matched by rule, designations and detail.

Gone is not put right: a finding that nobody sees because it is waived, or because its rule can no longer tell, is gone
for that reason and says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Literal, TypeAlias, TypeVar

import msgspec

from engine.check import CheckResult
from engine.findings import WORDS, Finding, NotJudged, Word
from engine.installation.model import Snapshot
from engine.naming import title_of
from engine.record import field_specs
from engine.waivers import figure_text
from engine.words import _

__all__ = ["Gone", "Kept", "New", "Since", "counterparts", "since"]

Was: TypeAlias = Literal["", "waived", "not judged"]
_TABLES = ("equipment", "runs", "places", "enclosures", "conditions", "interlocks", "waivers")
_NAMES = ("designation", "name")


class New(msgspec.Struct, frozen=True):
    """An open finding that was none. `was`: it was waived before, or could not be judged."""

    finding: Finding
    was: Was = ""


class Kept(msgspec.Struct, frozen=True):
    """A finding that was there before. `changes` say in sentences what is different about it."""

    before: Finding
    finding: Finding
    changes: tuple[str, ...] = ()


class Gone(msgspec.Struct, frozen=True):
    """A finding that is not open any more. `now`: it is waived, or its rule cannot tell."""

    finding: Finding
    now: Was = ""


class Since(msgspec.Struct, frozen=True, kw_only=True):
    """Open findings, then what could not be judged, each as new, as before, gone."""

    new: tuple[New, ...] = ()
    kept: tuple[Kept, ...] = ()
    gone: tuple[Gone, ...] = ()
    new_gaps: tuple[NotJudged, ...] = ()
    kept_gaps: tuple[NotJudged, ...] = ()
    gone_gaps: tuple[NotJudged, ...] = ()
    stopped: tuple[str, ...] = ()  # rules a fault of the program stopped now

    def fails(self, word: Word = "warning", allow_unknown: bool = False) -> bool:
        """Whether anything new is as bad as `word` or worse.

        What can newly not be judged counts at the word it would carry, unless `allow_unknown`; so does, always, what a
        fault of the program stopped. A finding that was there already counts where its word has become worse.
        """
        worst = WORDS.index(word)
        findings = [new.finding for new in self.new]
        findings += [k.finding for k in self.kept if WORDS.index(k.finding.word) < WORDS.index(k.before.word)]
        if any(WORDS.index(finding.word) <= worst for finding in findings):
            return True
        return any(
            WORDS.index(gap.would_be) <= worst and (not allow_unknown or gap.rule in self.stopped)
            for gap in self.new_gaps
        )


def since(before: CheckResult, after: CheckResult, same: Mapping[str, str] | None = None) -> Since:
    """What `after` says and `before` did not, what both say, what only `before` said: one book, two states.

    `same`: id in the earlier state -> id in the later one, where they differ (`counterparts`).
    """
    same = same or {}
    kept, gone, new = _matched(before.findings, after.findings, same)
    kept_gaps, gone_gaps, new_gaps = _matched(before.not_judged, after.not_judged, same)
    was_waived = {id(now) for _old, now in _matched(before.waived, new, same)[0]}
    waived_now = {id(old) for old, _now in _matched(gone, after.waived, same)[0]}
    blind, blind_now = _asked_of(before.not_judged, same), _asked_of(after.not_judged, {})

    def was(finding: Finding) -> Was:
        return "waived" if id(finding) in was_waived else "not judged" if _is_asked(finding, blind, {}) else ""

    def now(finding: Finding) -> Was:
        return "waived" if id(finding) in waived_now else "not judged" if _is_asked(finding, blind_now, same) else ""

    return Since(
        new=tuple(New(finding, was(finding)) for finding in new),
        kept=tuple(Kept(old, finding, changes(old, finding)) for old, finding in kept),
        gone=tuple(Gone(finding, now(finding)) for finding in gone),
        new_gaps=tuple(new_gaps),
        kept_gaps=tuple(gap for _old, gap in kept_gaps),
        gone_gaps=tuple(gone_gaps),
        stopped=after.stopped,
    )


def _asked_of(gaps: Sequence[NotJudged], same: Mapping[str, str]) -> set[tuple[str, str]]:
    """Rule and id of what could not be judged; "" for the id where nobody knows of what."""
    return {(gap.rule, same.get(item, item)) for gap in gaps for item in gap.ids or ("",)}


def _is_asked(finding: Finding, asked: set[tuple[str, str]], same: Mapping[str, str]) -> bool:
    first = next(iter(finding.ids), "")
    return bool({(finding.rule, same.get(first, first)), (finding.rule, "")} & asked)


# -- matching ---------------------------------------------------------------------------------------------------------
_Remark: TypeAlias = Finding | NotJudged
A = TypeVar("A", bound=_Remark)
B = TypeVar("B", bound=_Remark)


def _matched(
    before: Sequence[A], after: Sequence[B], same: Mapping[str, str]
) -> tuple[list[tuple[A, B]], list[A], list[B]]:
    """Pairs, what only `before` has, what only `after` has, in the order of `after` and of `before`."""
    partner: dict[int, A] = {}  # place in `after` -> what it was
    left = list(before)

    def pair(key_before: Callable[[_Remark], Any], key_after: Callable[[_Remark], Any]) -> None:
        waiting: dict[Any, list[A]] = {}
        for old in left:
            waiting.setdefault(key_before(old), []).append(old)
        for at, now in enumerate(after):
            if at not in partner:
                found = waiting.get(key_after(now))
                if found:
                    partner[at] = found.pop(0)
        taken = {id(old) for old in partner.values()}
        left[:] = [old for old in left if id(old) not in taken]

    def translated(remark: _Remark) -> tuple[object, ...]:
        ids = tuple(sorted(same.get(item, item) for item in remark.ids))
        return remark.rule, ids, same.get(remark.detail, remark.detail)

    def by_key(remark: _Remark) -> tuple[object, ...]:
        return remark.rule, tuple(sorted(remark.ids)), remark.detail

    def by_name(remark: _Remark) -> tuple[object, ...]:
        return remark.rule, tuple(sorted(remark.designations)), same.get(remark.detail, remark.detail)

    def by_name_now(remark: _Remark) -> tuple[object, ...]:
        return remark.rule, tuple(sorted(remark.designations)), remark.detail

    pair(translated, by_key)
    pair(by_name, by_name_now)
    pairs = [(partner[at], now) for at, now in enumerate(after) if at in partner]
    return pairs, left, [now for at, now in enumerate(after) if at not in partner]


def changes(before: Finding, after: Finding) -> tuple[str, ...]:
    """What is different about a finding that was there before: its word, figures, what its things are called."""
    told = []
    if before.word != after.word:
        told.append(_("{before} has become {after}").format(before=_(before.word), after=_(after.word)))
    if sorted(before.designations) != sorted(after.designations):
        was, now = ", ".join(before.designations) or _("nothing"), ", ".join(after.designations) or _("nothing")
        told.append(_("it spoke of {before}, now of {after}").format(before=was, after=now))
    then, now_there = {f.name: f for f in before.figures}, {f.name: f for f in after.figures}
    for name in dict.fromkeys((*then, *now_there)):
        was, now = (_figure(there.get(name)) for there in (then, now_there))
        if was != now:
            told.append(_("{name}: {before}, now {after}").format(name=name, before=was, after=now))
    if sorted(before.condition.split(", ")) != sorted(after.condition.split(", ")):  # switches in any order
        was, now = before.condition or _("always"), after.condition or _("always")
        told.append(_("when: {before}; now {after}").format(before=was, after=now))
    return tuple(told)


def _figure(figure: Any) -> str:
    return _("not told") if figure is None else figure_text(figure).partition("=")[2]


# -- which record is which --------------------------------------------------------------------------------------------
def counterparts(before: Snapshot, after: Snapshot) -> dict[str, str]:
    """Id in `before` -> id in `after` of the same thing, where the two differ; "" where the thing is gone.

    An id stays with its record for ever within one drawing. In a drawing made anew from lists it may stand for another
    thing: then what is recorded of the one called alike is more like it than what is recorded under its id.
    """
    found: dict[str, str] = {}
    for table in _TABLES:
        if table in before.tables and table in after.tables:
            found |= _of_table(table, before, after)
    return found


def _of_table(table: str, before: Snapshot, after: Snapshot) -> dict[str, str]:
    there = after.tables[table]
    named: dict[str, list[str]] = {}
    for item, record in there.items():
        named.setdefault(_name(record), []).append(item)
    unsure: list[tuple[str, str]] = []
    found: dict[str, str] = {}
    ids_hold = names_hold = 0
    for item, record in before.tables[table].items():
        name = _name(record)
        by_id, by_name = there.get(item), [i for i in named.get(name, ()) if name]
        if by_id is not None and _name(by_id) == name:
            continue
        if len(by_name) != 1:
            continue
        (other,) = by_name
        mine = _traits(before, table, record)
        like_id = -1 if by_id is None else len(mine & _traits(after, table, by_id))
        like_name = len(mine & _traits(after, table, there[other]))
        if like_id == like_name:
            unsure.append((item, other))
        elif like_name > like_id:
            names_hold += 1
            found[item] = other
        else:
            ids_hold += 1
    if names_hold > ids_hold:
        found |= dict(unsure)
    # what stood under an id that now is another thing's, and is called nothing that is left, is gone
    taken = set(found.values())
    for item in before.tables[table]:
        if item in taken and item not in found:
            found[item] = ""
    return found


def _name(record: Any) -> str:
    return next((str(getattr(record, field)) for field in _NAMES if getattr(record, field, "")), "")


def _traits(snapshot: Snapshot, table: str, record: Any) -> frozenset[tuple[str, str]]:
    """What is recorded of a thing besides its name; other records by what they are called."""
    found = {("kind", getattr(record, "KIND", ""))}
    for spec in field_specs(type(record)):
        value = getattr(record, spec.name)
        if spec.name in _NAMES or value == spec.default:
            continue
        if spec.shape == "record" and hasattr(value, "equipment"):
            text = f"{title_of(snapshot, 'equipment', value.equipment)}.{value.terminal}"
        elif spec.fact.refers and isinstance(value, str):
            text = title_of(snapshot, spec.fact.refers, value)
        elif spec.shape == "records":
            continue  # ids lie inside
        else:
            text = repr(value)
        found.add((spec.name, text))
    return frozenset(found)
