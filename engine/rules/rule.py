"""What a rule is. One rule, one file: slug, word, docstring, a generator over a study, examples that become its tests.

A rule module holds

    SLUG = "far-from-source"
    WORD: Word = "warning"
    TITLE = N_("protective device too far from the source")
    LOOKS_AT = N_("conductors that a source can feed, and where their protective devices stand")
    SOLVES = True  # only where it rests on solved currents and its family is not one of `SOLVING`
    SEARCHES = True  # only where it searches over switch positions: a large boat is told of the others first
    def check(study: Study) -> Iterator[Remark]: ...  # `Passed` too, where `study.proving`
    def fixes(study: Study, finding: Finding) -> Iterator[Fix]: ...  # only where an edit puts it right
    GOOD: tuple[Example, ...]     BAD: tuple[Example, ...]

and a docstring with the headings *What it checks*, *Why it matters*, *What to do*, *Limits read*, *References*. It
never prints, never raises for a bad drawing, never edits, never holds a number: limits are read from `study.book`.
"""

from __future__ import annotations

import functools
import importlib
import pkgutil
from collections.abc import Callable, Iterator
from types import ModuleType
from typing import NamedTuple

from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.study import Study

__all__ = ["FAMILIES", "RETIRED", "Example", "Rule", "UnknownRule", "rules"]

FAMILIES = ("protection", "conductors", "distribution", "safety", "energy", "transfer", "voltage", "survey", "record")
SOLVING = ("conductors", "distribution", "energy")  # families whose rules rest on solved circuits
RETIRED: tuple[str, ...] = ()  # slugs are for ever; a retired one is never used again


class UnknownRule(ValueError):
    """A rule that does not exist, and which do."""


class Example(NamedTuple):
    """A small installation. `expect` are the designations of each finding it gives, in order; none for a good one."""

    name: str
    build: Callable[[], Installation]
    expect: tuple[tuple[str, ...], ...] = ()
    book: str = "trade-na"
    condition: str = ""  # part of the condition the first finding must name


class Rule(NamedTuple):
    """A rule as the rest of the program sees it."""

    slug: str
    word: Word
    title: str
    family: str
    doc: str
    check: Callable[[Study], Iterator[Remark]]
    good: tuple[Example, ...]
    bad: tuple[Example, ...]
    solves: bool = False  # it needs currents, faults or energy: it takes long on a large boat
    searches: bool = False  # over switch positions: it takes long on a large boat too
    looks_at: str = ""  # a plural: "protective devices"; whatever else it does not apply to
    fixes: Callable[[Study, Finding], Iterator[Fix]] | None = None  # edits that put a finding right


@functools.cache
def rules() -> dict[str, Rule]:
    """Every rule by slug, sorted."""
    found: dict[str, Rule] = {}
    for family in FAMILIES:
        package = importlib.import_module(f"engine.rules.{family}")
        for info in pkgutil.iter_modules(package.__path__):
            if not info.name.startswith("_"):
                rule = _made(importlib.import_module(f"engine.rules.{family}.{info.name}"), family)
                assert rule.slug not in found, f"two rules are called {rule.slug}"
                assert rule.slug not in RETIRED, f"{rule.slug} is retired"
                found[rule.slug] = rule
    return dict(sorted(found.items()))


def _made(module: ModuleType, family: str) -> Rule:
    return Rule(
        slug=module.SLUG,
        word=module.WORD,
        title=module.TITLE,
        family=family,
        doc=module.__doc__ or "",
        check=module.check,
        good=module.GOOD,
        bad=module.BAD,
        solves=getattr(module, "SOLVES", family in SOLVING),
        searches=getattr(module, "SEARCHES", False),
        looks_at=getattr(module, "LOOKS_AT", ""),
        fixes=getattr(module, "fixes", None),
    )
