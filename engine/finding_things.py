"""Find anything on a drawing by what is recorded of it: designation, label, rating, size, place, status, part, note.

Every word that is typed must be found in some fact of a thing. Capitals, accents and the blank between a number and its
unit are no difference; a word of letters is found anywhere in a word, a number only where a number begins ("30" finds
30 A and 300 A, not 130 A).
"""

from __future__ import annotations

import functools
import math
import operator
import re
import time
import unicodedata
from collections.abc import Mapping
from typing import Any, NamedTuple

from engine.equipment.base import Equipment
from engine.installation.model import Snapshot
from engine.installation.records import Run
from engine.naming import label_of, natural, title_of
from engine.record import FieldSpec, field_specs
from engine.units import UNITS, show, show_size
from engine.words import _

__all__ = ["Found", "Hit", "Index"]

TABLES = ("equipment", "runs", "remarks", "sheets")
_UNITS = "a|ka|ma|v|kv|mv|w|kw|va|kva|ah|wh|kwh|hz|m|mm|mm2|cm|ft|in|awg|nm|c|ohm|mω|ω|h|s|ms|%"
_APART = re.compile(rf"(?<![\w.])([0-9][0-9./]*) +({_UNITS})(?![\w])")
_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
_LEFT_OUT = ("quantity", "price", "in_position", "parallel")  # numbers that nobody looks for


class Hit(NamedTuple):
    """A thing found: what it is called, and the fact that the words were found in ("" its designation alone)."""

    table: str
    item: str
    name: str
    what: str  # label, else the kind
    fact: str  # "Rated current: 300 A"


class Found(NamedTuple):
    """The first hits, and how many there are."""

    hits: tuple[Hit, ...]
    total: int


class _Thing(NamedTuple):
    """A thing as it is looked for."""

    table: str
    item: str
    made_of: tuple[object, ...]  # the records it was read from: while they are the same it need not be read again
    units: str
    name: str
    what: str
    facts: tuple[tuple[str, str, str], ...]  # what the fact is called, its value, and both as they are compared
    every: str


class Index:
    """What is recorded on one drawing, ready to be looked through; `follow` reads again only what has changed."""

    def __init__(self, snapshot: Snapshot | None = None) -> None:
        self._things: dict[str, _Thing] = {}
        self._snapshot: Snapshot | None = None
        if snapshot is not None:
            self.follow(snapshot)

    def follow(self, snapshot: Snapshot, seconds: float = math.inf) -> bool:
        """Take the drawing as it is now; whether all of it was read within so many seconds, else call it again."""
        if snapshot is self._snapshot:
            return True
        until = time.perf_counter() + seconds
        names = {t: snapshot.tables[t] for t in ("places", "enclosures")}
        made: dict[str, _Thing] = {}
        whole = True
        for table in TABLES:
            for item, record in snapshot.tables[table].items():
                known = self._things.get(item)
                of = (record, *_named(record, names))
                units = snapshot.settings.units
                if (
                    known is None
                    or known.units != units
                    or len(known.made_of) != len(of)
                    or not all(map(operator.is_, known.made_of, of))
                ):
                    if time.perf_counter() > until:
                        whole = False
                        if known is not None:
                            made[item] = known
                        continue
                    known = _thing(snapshot, table, item, record, of)
                made[item] = known
        self._things = made
        self._snapshot = snapshot if whole else None
        return whole

    def find(self, words: str, tables: tuple[str, ...] = TABLES, most: int = 100_000) -> Found:
        """What every word is found in, what is called so first; at most so many hits. Nothing for nothing."""
        wanted = _words(words)
        if not wanted:
            return Found((), 0)
        whole = _plain(words).strip()
        met = [
            (_rank(thing, whole), natural(thing.name), thing.item, thing)
            for thing in self._things.values()
            if thing.table in tables and all(word in thing.every for word in wanted)
        ]
        met.sort(key=operator.itemgetter(0, 1, 2))
        return Found(tuple(_hit(thing, wanted, whole) for _r, _n, _i, thing in met[:most]), len(met))


def _named(record: Any, names: Mapping[str, Mapping[str, Any]]) -> tuple[object, ...]:
    """The places and enclosures that a record names."""
    if isinstance(record, Equipment):
        enclosure = names["enclosures"].get(record.enclosure)
        of = record.place or (enclosure.place if enclosure is not None else "")
        return names["places"].get(of), enclosure
    if isinstance(record, Run):
        return tuple(names["places"].get(passage.place) for passage in record.places)
    return ()


# -- what is compared -----------------------------------------------------------------------------------------------
@functools.lru_cache(maxsize=65536)  # most facts are told of many things
def _plain(text: str) -> str:
    """Small letters without accents, a decimal point, a number joined with its unit, a blank before every word."""
    bare = text.casefold()
    if not bare.isascii():
        bare = "".join(c for c in unicodedata.normalize("NFKD", bare) if not unicodedata.combining(c))
    pointed = _COMMA.sub(".", bare)
    joined = _APART.sub(r"\1\2", pointed)
    apart = re.sub(r"[\s,;:()“”„\"'×·–—]+", " ", joined)
    return f" {apart.strip()}"


def _words(text: str) -> list[str]:
    """The words looked for: a number where a number begins."""
    return [f" {word}" if word[0].isdigit() else word for word in _plain(text).split()]


def _rank(thing: _Thing, whole: str) -> int:
    """Called so, its name begins so, the words stand together in it, they stand in it."""
    name = thing.facts[0][2].strip()
    if name == whole:
        return 0
    if name and name.startswith(whole):
        return 1
    return 2 if whole in thing.every else 3


def _hit(thing: _Thing, wanted: list[str], whole: str) -> Hit:
    told = ""
    if not all(word.strip() in thing.facts[0][2] for word in wanted):
        # the fact that has them together, else the one with most of them
        best = max(thing.facts[1:], key=lambda f: (whole in f[2], sum(word in f[2] for word in wanted)), default=None)
        if best is not None and best[1] != thing.what:
            told = _("{fact}: {value}").format(fact=best[0], value=best[1]) if best[0] else best[1]
    return Hit(thing.table, thing.item, thing.name, thing.what, told)


# -- what is recorded -----------------------------------------------------------------------------------------------
def _thing(snapshot: Snapshot, table: str, item: str, record: Any, of: tuple[object, ...]) -> _Thing:
    facts: list[tuple[str, str]] = []
    if isinstance(record, Equipment):
        kind = _(record.NAME) if record.KIND else _("of a kind this version does not know")
        name, what = record.designation or record.label or kind, record.label or kind
        facts += [("", record.designation), (_("Kind"), kind)]
        enclosure = snapshot.enclosures.get(record.enclosure)
        place = snapshot.places.get(record.place or (enclosure.place if enclosure is not None else ""))
        facts += [(_("Place"), place.name if place else ""), (_("Enclosure"), enclosure.name if enclosure else "")]
        facts += [(_("On the drawing"), line) for line in record.summary()]
    elif isinstance(record, Run):
        name = title_of(snapshot, table, item)
        what = record.label or _("run, {function}").format(function=_(record.function))
        facts.append(("", record.designation))
        for passage in record.places:
            if passage.place in snapshot.places:
                facts.append((_("Passes"), snapshot.places[passage.place].name))
    elif table == "remarks":
        name, what = _("Remark"), record.text
        facts.append(("", ""))
    else:
        name, what = title_of(snapshot, table, item), _("sheet")
        facts.append(("", name))
    facts += _values(record, snapshot.settings.units)
    told = tuple(
        (fact, value, _plain(f"{value} {fact}" if fact else value)) for fact, value in facts if value or not fact
    )
    every = "".join(plain for _fact, _value, plain in told)
    return _Thing(table, item, of, snapshot.settings.units, name, " ".join(what.split()), told, every)


def _values(record: Any, units: str) -> list[tuple[str, str]]:
    """Texts and figures of a record, as people write them."""
    made: list[tuple[str, str]] = []
    cls: Any = type(record)
    for spec in field_specs(cls):
        value = getattr(record, spec.name)
        if value is None or value == "" or value == () or spec.name in (*_LEFT_OUT, "designation", "x", "y", "width"):
            continue
        if spec.fact.refers or isinstance(value, bool):
            continue
        text = _value(spec, value, units)
        if text:
            made.append((label_of(cls, spec), text))
    return made


def _value(spec: FieldSpec, value: Any, units: str) -> str:
    if spec.shape == "number":
        unit = spec.fact.unit
        if unit not in UNITS:
            return show(value, "") if "" in UNITS else f"{value:g}"
        first = show(value, unit, units)
        # a length is looked for in either system
        return f"{first} = {show(value, unit, 'US' if units != 'US' else 'metric')}" if unit in ("m", "mm") else first
    if spec.shape == "whole":
        return str(value)
    if spec.shape == "choice":
        return _(str(value))
    if spec.shape == "word":
        return show_size(value) if spec.fact.unit == "size" else str(value)
    if spec.shape == "words":
        return ", ".join(str(each) for each in value)
    return ""
