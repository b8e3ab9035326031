"""Whether an edit puts a finding right: it is done on a copy, and the copy is judged.

It does where the finding is gone, the rule can still tell, and no rule finds a danger or a warning that was not there.
"""

from __future__ import annotations

import weakref
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

import msgspec

from engine.circuit.broken_locks import broken_locks
from engine.edits import Edit, EditError, Put, Several, apply, done, fill
from engine.findings import WORDS, Finding, NotJudged, Word
from engine.installation.model import Installation, Snapshot
from engine.pausing import pause
from engine.study import Study

if TYPE_CHECKING:
    from engine.fixes import Fix

__all__ = [
    "after",
    "as_records",
    "first_sound",
    "harm",
    "is_mended",
    "is_sound",
    "least_sound",
    "sound",
    "tried",
]

PATIENCE = 4  # candidates of one kind that are judged by every rule: further ones do not help either
ARTICLE: dict[str, Any] = {"maker": "", "part_number": "", "price": None}  # what names one article
GRAVE: tuple[Word, ...] = ("danger", "warning")

_TRIED: weakref.WeakKeyDictionary[Study, dict[Edit, Study | None]] = weakref.WeakKeyDictionary()
_GRAVE: weakref.WeakKeyDictionary[Study, dict[str, Finding]] = weakref.WeakKeyDictionary()
KEPT = 16  # trials of one study


def as_records(snapshot: Snapshot, edit: Edit) -> Edit:
    """The same edit as whole records (`Put`, `Several`). Raises `EditError` where it cannot be done."""
    return done(_installation(snapshot), edit).edit


def after(snapshot: Snapshot, edit: Edit) -> Snapshot:
    """What the drawing would be. Raises `EditError` where the edit cannot be done."""
    installation = _installation(snapshot)
    apply(installation, edit)
    return installation.snapshot()


def tried(study: Study, edit: Edit) -> Study | None:
    """The study of what the drawing would be, by the same book; `None` where the edit cannot be done."""
    kept = _TRIED.setdefault(study, {})
    try:
        if edit in kept:
            return kept[edit]
    except TypeError:  # an edit holding a list: tried anew every time
        return _made(study, edit)
    while len(kept) >= KEPT:
        kept.pop(next(iter(kept)))
    kept[edit] = _made(study, edit)
    return kept[edit]


def is_mended(study: Study, finding: Finding, edit: Edit) -> bool:
    """Whether its own rule says no more of it, and says so knowingly."""
    trial = tried(study, edit)
    if trial is None:
        return False
    remarks, fault, _passed = trial.outcome(finding.rule)
    if fault is not None or any(isinstance(r, Finding) and r.key == finding.key for r in remarks):
        return False
    if len(list(broken_locks(trial.snapshot))) > len(list(broken_locks(study.snapshot))):
        return False  # a condition stands as the interlock forbids: which of the two is wrong a person must say
    before = {r for r in study.outcome(finding.rule).remarks if isinstance(r, NotJudged)}
    return not any(isinstance(r, NotJudged) and r not in before and set(r.ids) & set(finding.ids[:1]) for r in remarks)


def harm(study: Study, edit: Edit) -> tuple[Finding, ...]:
    """Dangers and warnings that an edit brings: new ones, and what was less before."""
    trial = tried(study, edit)
    if trial is None:
        return ()
    return tuple(_harm(_grave(study), trial))


def is_sound(study: Study, finding: Finding, edit: Edit) -> bool:
    """Whether an edit may be offered for a finding."""
    trial = tried(study, edit)
    if trial is None or not is_mended(study, finding, edit):
        return False
    return next(_harm(_grave(study), trial), None) is None and not _is_blinded(study, trial)


def first_sound(study: Study, finding: Finding, fixes: Iterable[Fix]) -> Iterator[Fix]:
    """The first of several of one kind, the preferred first, that may be offered; nothing where none may."""
    looked = 0
    for fix in fixes:
        if not is_mended(study, finding, fix.edit):
            continue
        if is_sound(study, finding, fix.edit):
            yield fix
            return
        looked += 1
        if looked == PATIENCE:
            return


def least_sound(study: Study, finding: Finding, fixes: Iterable[Fix]) -> Iterator[Fix]:
    """As `first_sound`, of a ladder: where a step mends, every further one does. Few steps are tried."""
    ladder = list(fixes)
    low, high = 0, len(ladder)
    while low < high:
        middle = (low + high) // 2
        if is_mended(study, finding, ladder[middle].edit):
            high = middle
        else:
            low = middle + 1
    yield from first_sound(study, finding, ladder[low : low + PATIENCE])


def sound(study: Study, finding: Finding, fixes: Iterable[Fix]) -> Iterator[Fix]:
    """Those that may be offered, each text and each edit once."""
    told: list[Fix] = []
    for fix in fixes:
        is_new = all(fix.text != one.text and fix.edit != one.edit for one in told)
        if is_new and is_sound(study, finding, fix.edit):
            told.append(fix)
            yield fix._replace(edit=_honest(study.snapshot, fix.edit))


def _honest(snapshot: Snapshot, edit: Edit) -> Edit:
    """The same, where a value that is another one no longer says that it was measured or read off a plate.

    What becomes *new* is another article: what named the old one goes.
    """
    whole = as_records(snapshot, edit)
    puts = whole.edits if isinstance(whole, Several) else (whole,)
    made = tuple(_honestly(snapshot, put) for put in puts)
    return Several(made, whole.words) if isinstance(whole, Several) else made[0]


def _honestly(snapshot: Snapshot, edit: Edit) -> Edit:
    if isinstance(edit, Several):
        return Several(tuple(_honestly(snapshot, each) for each in edit.edits), edit.words)
    if not isinstance(edit, Put) or edit.record is None or edit.table not in ("equipment", "runs"):
        return edit
    before, record = snapshot.tables[edit.table].get(edit.id), edit.record
    if before is None or type(before) is not type(record):
        return edit
    other = {f for f in record.__struct_fields__ if f != "origins" and getattr(before, f) != getattr(record, f)}
    is_new = before.status == "existing" and record.status == "new"
    shed = {f: v for f, v in ARTICLE.items() if is_new and f not in other and getattr(record, f, v) != v}
    names = {f.removesuffix("_end") for f in (*other, *shed)} | other
    origins = tuple((f, o) for f, o in record.origins if f.split(".")[0] not in names)
    if not shed and origins == record.origins:
        return edit
    return Put(edit.table, edit.id, msgspec.structs.replace(record, origins=origins, **shed), edit.words)


def _made(study: Study, edit: Edit) -> Study | None:
    pause()
    try:
        return Study(after(study.snapshot, edit), study.book)
    except EditError:
        return None


def _installation(snapshot: Snapshot) -> Installation:
    made = Installation()
    fill(made, ((table, item, record) for table, some in snapshot.tables.items() for item, record in some.items()))
    fill(made, ((name, "", record) for name, record in snapshot.lone.items()))
    return made


def _grave(study: Study) -> dict[str, Finding]:
    """Dangers and warnings found, by key."""
    found = _GRAVE.get(study)
    if found is None:
        found = _GRAVE[study] = {finding.key: finding for finding in _findings(study) if finding.word in GRAVE}
    return found


def _harm(before: dict[str, Finding], trial: Study | None) -> Iterator[Finding]:
    for finding in _findings(trial) if trial is not None else ():
        if finding.word not in GRAVE:
            continue
        was = before.get(finding.key)
        if was is None or WORDS.index(finding.word) < WORDS.index(was.word):
            yield finding


def _is_blinded(study: Study, trial: Study) -> bool:
    """Whether a rule that could be asked before is stopped by a fault of the program now: it may hide anything."""
    from engine.rules import rules

    return any(trial.outcome(slug).fault and not study.outcome(slug).fault for slug in rules())


def _findings(study: Study) -> Iterator[Finding]:
    from engine.rules import rules

    for rule in rules().values():
        pause()
        for remark in study.outcome(rule.slug).remarks:
            if isinstance(remark, Finding):
                word = remark.word
                if word == rule.word and not remark.undecided:
                    word = study.book.word(rule.slug, word)
                yield remark if word == remark.word else _said(remark, word)


def _said(finding: Finding, word: Word) -> Finding:
    return msgspec.structs.replace(finding, word=word)
