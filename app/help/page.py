"""The page of a rule as plain data: what terminal, paper and window show, so that all tell the same.

Everything comes from the rule's own file and the rule books: headings and paragraphs from its docstring, limits from
each book's section, the drawn examples from its first failing and first passing one. Nothing is written by hand.
"""

from __future__ import annotations

import functools
import inspect
import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from engine.books import Book, book_names, load
from engine.check import rule_named
from engine.findings import Word
from engine.rules import Rule, rules
from engine.units import spelled
from engine.words import N_, _

__all__ = [
    "LINK",
    "STRESSED",
    "Block",
    "BookSays",
    "LimitLine",
    "RulePage",
    "Section",
    "family_title",
    "in_families",
    "page_of",
    "plain_text",
    "read_or_not",
    "rule_page",
    "says_of",
    "sections",
    "value_text",
]

_FAMILIES = {
    "protection": N_("Overcurrent protection"),
    "conductors": N_("Conductors"),
    "distribution": N_("Buses, switches, batteries"),
    "safety": N_("Shock, stray current and ignition"),
    "energy": N_("Charging and energy"),
    "transfer": N_("Transfer and bypass"),
    "voltage": N_("Voltage"),
    "record": N_("The record itself"),
    "yours": N_("Your own rules"),
}


LINK = "rule:"  # before the name of a rule, in links
_OWN = "threshold of this program"  # how books call what nobody has published


STRESSED = re.compile(r"(?<![\w*])\*(\S(?:[^*\n]*[^\s*])?)\*(?![\w*])")  # *danger*


class Block(NamedTuple):
    """A paragraph, or the points of a list."""

    texts: tuple[str, ...]
    is_list: bool = False


class Section(NamedTuple):
    """A heading of the rule's docstring and what stands under it. The first section has no heading."""

    heading: str
    blocks: tuple[Block, ...]


class LimitLine(NamedTuple):
    """One value of a book: its name, the value as shown, where it comes from, whether that was read."""

    name: str
    shown: str
    source: str  # "": the book gives none (a choice that goes with the clause)
    confirmed: bool | None  # `None` where there is no source to be confirmed

    def standing(self) -> str:
        """Whether the source was read, in words."""
        if self.confirmed is None or self.source.startswith((_OWN, _(_OWN))):
            return ""  # the source says all there is to say
        return read_or_not(self.confirmed)


class BookSays(NamedTuple):
    """What one book has for the rule."""

    slug: str
    title: str
    edition: str
    clause: str
    confirmed: bool
    word: str  # its own signal word, "" the rule's
    law_for: str  # whom the book binds as law; "" nobody
    limits: tuple[LimitLine, ...]

    def standing(self) -> str:
        """The clause and what it is worth."""
        if not self.clause:
            return _("no clause; good practice")
        told = _(self.clause)
        if self.confirmed or "not confirmed" not in self.clause:  # else it says so itself
            told = _("{clause} ({read})").format(clause=told, read=read_or_not(self.confirmed))
        if not self.law_for:
            return _("{clause}; good practice").format(clause=told)
        return _("{clause}; law for {whom}, good practice for others").format(clause=told, whom=self.law_for)


class RulePage(NamedTuple):
    """The page of a rule, its pictures aside (`app.help.pictures`)."""

    slug: str
    word: Word
    title: str
    family: str
    looks_at: str
    sections: tuple[Section, ...]
    books: tuple[BookSays, ...]
    good: tuple[str, ...]  # names of the examples that pass
    bad: tuple[str, ...]  # and of those that are found
    offers_edits: bool

    def edits(self) -> str:
        """Whether the window offers edits that put it right, in a sentence."""
        if self.offers_edits:
            return _("Where an edit of the drawing puts a finding right, the window offers it.")
        return _("The program knows no edit of the drawing for it; what is to be done stands above.")


def rule_page(slug: str) -> RulePage:
    """The page of the rule called `slug`. Raises `UnknownRule`."""
    return page_of(rule_named(slug))


def page_of(rule: Rule) -> RulePage:
    """The page of a rule."""
    return RulePage(
        slug=rule.slug,
        word=rule.word,
        title=_(rule.title),
        family=rule.family,
        looks_at=_(rule.looks_at) if rule.looks_at else "",
        sections=sections(_(rule.doc)),
        books=tuple(says_of(load(name), rule.slug) for name in book_names()),
        good=tuple(_(example.name) for example in rule.good),
        bad=tuple(_(example.name) for example in rule.bad),
        offers_edits=rule.fixes is not None,
    )


def family_title(family: str) -> str:
    """A family of rules as a heading."""
    return _(_FAMILIES[family]) if family in _FAMILIES else family.replace("_", " ").capitalize()


def in_families(some: Iterable[Rule] | None = None) -> dict[str, list[Rule]]:
    """Rules by family, families in the order of the catalogue, rules by name."""
    every = list(rules().values() if some is None else some)
    order = list(_FAMILIES)
    families = sorted({r.family for r in every}, key=lambda f: (order.index(f) if f in order else len(order), f))
    return {family: sorted((r for r in every if r.family == family), key=lambda r: r.slug) for family in families}


def plain_text(text: str) -> str:
    """A text of a docstring without the marks of names and stress."""
    return STRESSED.sub(r"\1", text.replace("`", ""))


def read_or_not(confirmed: bool) -> str:
    """What a source is worth."""
    return _("read in the source") if confirmed else _("not confirmed")


# -- the docstring ----------------------------------------------------------------------------------------------------
@functools.lru_cache(maxsize=256)
def sections(doc: str) -> tuple[Section, ...]:
    """A docstring under its headings: lines underlined with dashes."""
    made: list[tuple[str, list[str]]] = [("", [])]
    lines = inspect.cleandoc(doc).splitlines()
    for n, line in enumerate(lines):
        under = lines[n + 1] if n + 1 < len(lines) else ""
        if line and under and set(under) == {"-"} and len(under) >= 3:
            made.append((line.strip(), []))
        elif not (n and line and set(line) == {"-"} and lines[n - 1].strip() == made[-1][0]):
            made[-1][1].append(line)
    return tuple(Section(heading, tuple(_blocks(of))) for heading, of in made if heading or any(of))


def _blocks(lines: list[str]) -> Iterator[Block]:
    """Paragraphs parted by empty lines; lines that begin with a star are points of a list."""
    for part in "\n".join(lines).split("\n\n"):
        texts: list[str] = []
        points = False
        for line in part.splitlines():
            is_point = line.lstrip().startswith("* ")
            if is_point and texts and not points:
                yield Block((" ".join(texts),))
                texts = []
            points = points or is_point
            if is_point:
                texts.append(line.lstrip()[2:].strip())
            elif points:
                texts[-1] += " " + line.strip()
            elif line.strip():
                texts.append(line.strip())
        if texts:
            yield Block(tuple(texts), True) if points else Block((" ".join(texts),))


# -- the books --------------------------------------------------------------------------------------------------------
def says_of(book: Book, slug: str) -> BookSays:
    """What a book has for a rule."""
    entry = book.rules.get(slug, {})
    return BookSays(
        slug=book.slug,
        title=_(book.title),
        edition=book.edition,
        clause=book.clause(slug),
        confirmed=book.confirmed(slug),
        word=str(entry.get("word", "")),
        law_for=_(book.binds_text) if book.binds_when and not entry.get("good_practice") else "",
        limits=tuple(_limits(entry)),
    )


def _limits(entry: Mapping[str, Any]) -> Iterator[LimitLine]:
    """Every value of a book's section, then its choices."""
    for name, value in entry.items():
        if isinstance(value, Mapping) and name != "options":
            source = str(value.get("source", ""))
            clause = str(value.get("clause", ""))
            if clause and clause.partition(" (")[0] not in source:
                source = f"{_(clause)}; {_(source)}" if source else _(clause)
            else:
                source = _(source)
            if clause and value.get("good_practice") and not entry.get("good_practice"):
                source = _("{source}; good practice").format(source=source)
            yield LimitLine(name, value_text(value), source, bool(value.get("confirmed", False)))
    for name, option in entry.get("options", {}).items():
        yield LimitLine(name, _plain(option), "", None)


def value_text(value: Mapping[str, Any]) -> str:
    """A value as its source writes it, and in the unit it is stored in."""
    number, unit = value.get("value"), str(value.get("unit", ""))
    stored = f"{_plain(number)} {unit}".rstrip()
    text = str(value.get("text", ""))
    if not text or text.replace("°C", "degC") == stored:
        return text or stored
    return f"{_(text)} ({stored})" if unit else _(text)


def _plain(option: Any) -> str:
    """A choice of a book in words."""
    if isinstance(option, bool):
        return _("yes") if option else _("no")
    if isinstance(option, float):
        return spelled(f"{option:g}")
    if isinstance(option, Mapping):
        return ", ".join(f"{name}: {_plain(each)}" for name, each in option.items())
    if isinstance(option, list):
        named = [o for o in option if isinstance(o, list) and len(o) == 2 and isinstance(o[1], list)]
        if named and len(named) == len(option):  # ["positive", ["RD"]]
            return "; ".join(f"{_plain(name)}: {_plain(each)}" for name, each in named)
        return ", ".join("–".join(_plain(v) for v in o) if isinstance(o, list) else _plain(o) for o in option)
    return str(option)
