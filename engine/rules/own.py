"""A person's own rules: where they are found, what one must hold, what it may say. Plain functions, no process.

An own rule is one Python file of the form of ours (`engine.rules.rule`); `GOOD`, `BAD` and `LOOKS_AT` may be left out.
It is found through an installed distribution (entry point group `linewright.rules`, its value a module) or in a folder
that the person's own settings name; never because a drawing or a rule book names it. Finding one runs nothing of it.
`load` and `said` do run it: only a process of its own calls them (`app.own_rules_process`).
"""

from __future__ import annotations

import importlib
import importlib.util
import re
import sys
import traceback
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from types import ModuleType
from typing import Any, NamedTuple

import msgspec

from engine.files.errors import reason
from engine.findings import WORDS, Finding, NotJudged, Passed, Remark, Word, least
from engine.installation.model import Snapshot
from engine.rules.rule import RETIRED, Rule, rules
from engine.study import Outcome, Study
from engine.words import _

__all__ = [
    "FAMILY",
    "GROUP",
    "Heard",
    "OwnFault",
    "OwnRule",
    "Rubbish",
    "Said",
    "Source",
    "allowed_in_book",
    "announce",
    "as_rule",
    "ask_by",
    "find",
    "load",
    "name_of",
    "raised",
    "said",
    "strange",
    "taken",
    "without_twins",
]

GROUP = "linewright.rules"  # entry points of installed distributions
FAMILY = "yours"
MOST_REMARKS = 5_000  # of one rule on one drawing
LONGEST = 160  # characters of a message that is quoted
FOLDER_RULE = "own-rules"  # stands for a rule where a whole folder could not be read
_SLUG = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


class Source(NamedTuple):
    """A file or module that is an own rule."""

    where: str  # as it is told: a path, or a module and the distribution it came with
    module: str  # name it is imported by; of a file its stem
    file: str = ""  # path, "" for a module


class OwnRule(msgspec.Struct, frozen=True):
    """An own rule as the rest of the program sees it: plain text, nothing that could be run."""

    slug: str
    word: Word
    title: str
    doc: str
    where: str
    looks_at: str = ""


class OwnFault(msgspec.Struct, frozen=True):
    """An own rule that was disabled, and why: part of a sentence that goes on after a colon."""

    where: str
    why: str
    rule: str  # its slug; where that is not known or not its own the name of its file or module
    word: Word = "danger"  # it would carry; the worst where that is not known
    is_known: bool = False  # whether `rule` is its slug

    def told(self) -> str:
        """One sentence."""
        if self.rule == FOLDER_RULE:
            return _("Your own rules in {where} were left out of this run: {why}.").format(
                where=self.where, why=self.why
            )
        if self.is_known:
            return _("Your own rule {rule} ({where}) was disabled for this run: {why}.").format(
                rule=self.rule, where=self.where, why=self.why
            )
        return _("Your own rule {where} was disabled for this run: {why}.").format(where=self.where, why=self.why)


class Said(msgspec.Struct, frozen=True):
    """What an own rule said of a drawing."""

    findings: tuple[Finding, ...] = ()
    gaps: tuple[NotJudged, ...] = ()
    passed: tuple[Passed, ...] = ()

    def outcome(self) -> Outcome:
        """As a study holds it."""
        remarks: tuple[Finding | NotJudged, ...] = (*self.findings, *self.gaps)
        return Outcome(remarks, None, least(self.passed, remarks) if self.passed else ())


class Heard(NamedTuple):
    """All that own rules said of a drawing: those that ran, what they said by slug, those that were disabled."""

    rules: tuple[OwnRule, ...] = ()
    outcomes: Mapping[str, Outcome] = {}
    faults: tuple[OwnFault, ...] = ()

    @property
    def is_complete(self) -> bool:
        """Whether the slug of every own rule is known."""
        return all(fault.is_known for fault in self.faults)


class Rubbish(Exception):
    """What an own rule is or says is none of what a rule may be or say; the message is told."""


# -- finding ----------------------------------------------------------------------------------------------------------
def find(folder: str = "") -> tuple[tuple[Source, ...], tuple[OwnFault, ...]]:
    """Every own rule there is, and what kept some from being found. Runs nothing of them.

    `folder` is the one of the person's settings: files in it that end in `.py` and do not begin with an underscore.
    """
    made: list[Source] = []
    faults: list[OwnFault] = []
    _installed(made, faults)
    if folder:
        _in_folder(Path(folder).expanduser(), made, faults)
    return tuple(made), tuple(faults)


def _installed(made: list[Source], faults: list[OwnFault]) -> None:
    from importlib.metadata import entry_points

    seen: set[str] = set()
    try:
        points = sorted(entry_points(group=GROUP), key=lambda p: (p.name, p.value))
    except Exception as fault:  # what some distribution says of itself cannot be read: no drawing goes unjudged for it
        where = _("installed distributions")
        faults.append(OwnFault(where, _("they cannot be listed ({why})").format(why=_cut(str(fault))), FOLDER_RULE))
        return
    for point in points:
        with_dist = f"{point.value} ({point.dist.name} {point.dist.version})" if point.dist else point.value
        name = point.value.strip()
        if not all(part.isidentifier() for part in name.split(".")):
            why = _("its entry point {name!r} names {value!r}, where the name of a module is expected")
            faults.append(OwnFault(with_dist, why.format(name=point.name, value=point.value), point.name))
        elif name not in seen:
            made.append(Source(with_dist, name))
        seen.add(name)


def _in_folder(folder: Path, made: list[Source], faults: list[OwnFault]) -> None:
    if not folder.is_absolute():
        why = _("the settings name the folder without the whole path to it")
        faults.append(OwnFault(str(folder), why, FOLDER_RULE))
        return
    try:
        files = sorted(path for path in folder.iterdir() if path.suffix == ".py" and not path.name.startswith("_"))
    except OSError as fault:
        why = _("the folder cannot be read ({why})").format(why=reason(fault))
        faults.append(OwnFault(str(folder), why, FOLDER_RULE))
        return
    made.extend(Source(str(path), path.stem, str(path)) for path in files)


def name_of(source: Source) -> str:
    """What stands for the rule while its slug is not known."""
    return Path(source.file).name if source.file else source.module


def taken(rule: OwnRule) -> str:
    """Why a rule may not have its slug, `""` where it may."""
    if rule.slug in rules() or rule.slug in RETIRED:
        return _("its SLUG {slug!r} is that of a rule of the program").format(slug=rule.slug)
    return ""


def without_twins(
    found: Iterable[tuple[Source, OwnRule]],
) -> tuple[list[tuple[Source, OwnRule]], list[OwnFault]]:
    """Those whose slug is theirs alone; two of one slug are both disabled: nobody can tell which one was meant."""
    every = list(found)
    kept: list[tuple[Source, OwnRule]] = []
    faults: list[OwnFault] = []
    for source, rule in every:
        twins = [other.where for of, other in every if other.slug == rule.slug and of != source]
        if twins:
            why = _("{other} has the slug {slug!r} too").format(other=", ".join(twins), slug=rule.slug)
            faults.append(OwnFault(rule.where, why, rule.slug, rule.word, is_known=True))
        else:
            kept.append((source, rule))
    return kept, faults


# -- what the rest of the program asks --------------------------------------------------------------------------------
_known: set[str] = set()
_are_all_known = [True]
_who_knows: list[Callable[[], object]] = []


def announce(slugs: Iterable[str], are_all: bool) -> None:
    """The slugs of own rules; `are_all`: no own rule is left whose slug is not known."""
    _known.clear()
    _known.update(slugs)
    _are_all_known[0] = are_all


def ask_by(describe: Callable[[], object]) -> None:
    """Whom to ask, once, when a book has a section for a rule that is none of ours: it has to `announce` them."""
    _who_knows[:] = [describe]


def allowed_in_book(slug: str) -> bool:
    """Whether a book may have a section for a rule that is none of ours: an own rule of that slug is installed.

    Those of this person are looked for when that is asked first. Where one could not be read nobody knows its slug:
    then any that is well formed.
    """
    if slug not in _known and _who_knows:
        _who_knows.pop()()
    return slug in _known or (not _are_all_known[0] and _SLUG.fullmatch(slug) is not None)


def as_rule(own: OwnRule) -> Rule:
    """An own rule in the form of ours, for pages and reports; it says nothing of a study (`Study.own` does)."""
    return Rule(own.slug, own.word, own.title, FAMILY, own.doc, _silent, (), (), looks_at=own.looks_at)


def _silent(study: Study) -> Iterator[Remark]:
    return iter(())


# -- running: in a process of its own only ----------------------------------------------------------------------------
def load(source: Source) -> tuple[OwnRule, Callable[[Study], Iterator[Remark]]]:
    """Run a rule's file; gives what it is and its `check`. Raises `Rubbish`, and whatever the file raises."""
    module = _run_file(source) if source.file else importlib.import_module(source.module)
    slug = _text(module, "SLUG")
    if not _SLUG.fullmatch(slug) or slug == FOLDER_RULE:
        why = _("its SLUG {slug!r} is not of the form {example!r}")
        raise Rubbish(why.format(slug=slug, example="no-life-raft"))
    word = getattr(module, "WORD", None)
    if word not in WORDS:
        why = _("its WORD is {word}, where one of {words} is expected")
        raise Rubbish(why.format(word=_quoted(word), words=", ".join(WORDS)))
    doc = (module.__doc__ or "").strip()
    if not doc:
        raise Rubbish(_("it has no docstring, whose first line says what it finds"))
    check = getattr(module, "check", None)
    if not callable(check):
        raise Rubbish(_("it has no function check(study)"))
    looks_at = _text(module, "LOOKS_AT") if hasattr(module, "LOOKS_AT") else ""
    return OwnRule(slug, word, _text(module, "TITLE"), doc, source.where, looks_at), check


def _run_file(source: Source) -> ModuleType:
    folder = str(Path(source.file).parent)
    if folder not in sys.path:
        sys.path.append(folder)  # last: a helper that begins with an underscore, nothing in place of anything else
    name = f"linewright_own_rule_{source.module}"  # of no module that something else might import
    spec = importlib.util.spec_from_file_location(name, source.file)
    if spec is None or spec.loader is None:
        raise Rubbish(_("it is no file of Python"))
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    try:
        spec.loader.exec_module(module)
    except BaseException:
        del sys.modules[name]
        raise
    return module


def _text(module: ModuleType, name: str) -> str:
    value = getattr(module, name, None)
    if not isinstance(value, str) or not value.strip():
        raise Rubbish(_("its {name} is {value}, where a text is expected").format(name=name, value=_quoted(value)))
    return str(value)


def said(slug: str, check: Callable[[Study], Iterator[Remark]], study: Study) -> Said:
    """What a rule says of a study. Raises `Rubbish`, and whatever the rule raises."""
    findings: list[Finding] = []
    gaps: list[NotJudged] = []
    passed: list[Passed] = []
    remarks: Any = check(study)
    if not isinstance(remarks, Iterable) or isinstance(remarks, (str, bytes)):
        why = _("its check gave {what}, where an iterator of findings is expected")
        raise Rubbish(why.format(what=_quoted(remarks)))
    for count, remark in enumerate(remarks):
        if count >= MOST_REMARKS:
            raise Rubbish(_("it says more than {n} things of one drawing").format(n=MOST_REMARKS))
        why = strange(remark, slug, study.snapshot)
        if why:
            raise Rubbish(why)
        if isinstance(remark, Finding):
            findings.append(remark)
        elif isinstance(remark, NotJudged):
            gaps.append(remark)
        elif study.proving:
            passed.append(remark)
    return Said(tuple(findings), tuple(gaps), tuple(passed))


def strange(remark: Any, slug: str, snapshot: Snapshot) -> str:
    """Why something is nothing a rule may say of a drawing, `""` where it is."""
    if type(remark) not in (Finding, NotJudged, Passed):
        why = _("it yielded {what}, where a Finding, NotJudged or Passed is expected")
        return why.format(what=_quoted(remark))
    kind = type(remark).__name__
    try:
        msgspec.convert(msgspec.to_builtins(remark), type(remark))
        msgspec.msgpack.encode(remark)
    except (ValueError, TypeError, OverflowError, RecursionError) as fault:
        return _("it yielded a {kind} that is none ({fault})").format(kind=kind, fault=_cut(str(fault)))
    if remark.rule != slug:
        return _("it yielded a {kind} of the rule {rule!r}").format(kind=kind, rule=_cut(remark.rule))
    if isinstance(remark, Finding) and not remark.message.strip():
        return _("it yielded a Finding without a message")
    if isinstance(remark, NotJudged) and not remark.why.strip() and not remark.missing:
        return _("it yielded a NotJudged that says neither what is missing nor why")
    for item in (*remark.ids, *(item for item, _position in getattr(remark, "positions", ()))):
        if not any(item in table for table in snapshot.tables.values()):
            return _("it speaks of the id {item!r}, which is not in the drawing").format(item=_cut(item))
    return ""


def raised(fault: BaseException, file: str = "") -> str:
    """What was raised, and in which line of the rule's file: part of a sentence."""
    if isinstance(fault, Rubbish):
        return str(fault)
    try:
        text = _cut(str(fault))
    except Exception:
        text = ""
    if isinstance(fault, SyntaxError) and fault.lineno and (not file or fault.filename == file):
        return _("line {line} cannot be read as Python ({text})").format(line=fault.lineno, text=_cut(fault.msg))
    if isinstance(fault, SystemExit):
        told = _("it asked to end the program")
    elif text:
        told = _("it raised {name} ({text})").format(name=type(fault).__name__, text=text)
    else:
        told = _("it raised {name}").format(name=type(fault).__name__)
    line = next((f.lineno for f in reversed(traceback.extract_tb(fault.__traceback__)) if f.filename == file), None)
    return told if line is None else _("{told} in line {line}").format(told=told, line=line)


def _cut(text: str) -> str:
    """In one line, and not without end."""
    line = " ".join(text.encode("utf-8", "backslashreplace").decode().split()).rstrip(".")
    return line if len(line) <= LONGEST else f"{line[:LONGEST]}..."


def _quoted(value: Any) -> str:
    if value is None or isinstance(value, (bool, int, float)):
        return str(value)
    if isinstance(value, str):
        return repr(_cut(value))
    return _("something of the type {name}").format(name=type(value).__name__)
