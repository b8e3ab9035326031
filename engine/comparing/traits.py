"""What is recorded of a thing, as marks and values that can be laid beside those of another.

Weights and what counts as alike are common practice, no source: they were set on boats listed twice with a known
truth (`tests/engine/comparing`).
"""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping
from typing import Any, NamedTuple

from engine.comparing.fields import moved
from engine.installation.model import Snapshot
from engine.naming import inside, label_of
from engine.record import FieldSpec, field_specs
from engine.units import number, show, show_size
from engine.words import _

__all__ = ["Traits", "designation_key", "table_traits", "text_key"]

_SPLIT = re.compile(r"[^\w]+")
_DIGITS = re.compile(r"\d+")
_BETWEEN = re.compile(r"(?<=\d)[\s\-=+._]+(?=\d)")
_JOINTS = re.compile(r"[\s\-=+_]|\.(?!\d)|(?<!\d)\.")
_NAMES = ("designation", "name", "index", "title")
_PLAIN = ("designation", "name", "label", "index", "title", "note", "status", "old_marking")
_LOOKS = ("x", "y", "rotation", "mirrored", "length", "bends")  # where something is drawn
_WEIGHTS = {"name": 3.0, "words": 1.5, "kind": 1.5, "values": 2.0, "where": 1.0}
_ABOUT = {
    "placements": ("equipment", "sheet"),
    "routes": ("run", "sheet"),
    "remarks": ("sheet",),
    "waivers": ("rule", "designations"),
    "deficiencies": ("at",),
    "inspections": ("at", "system"),
    "readings": ("at",),
}
_WHERE = {"equipment": ("place", "enclosure"), "enclosures": ("place",)}


class Traits(NamedTuple):
    """Of one thing. `marks` are what candidates are found by, `about` what a record without a name speaks of."""

    kind: str
    name: str  # designation or name as a key, "" none
    shown: str  # the same as people write it
    words: frozenset[str]
    values: Mapping[str, Any]  # field -> value
    where: str  # id in the newer drawing of the place or enclosure
    marks: frozenset[Any]
    about: Any
    record: Any
    specs: Mapping[str, FieldSpec]

    def likeness(self, other: Traits) -> float:
        """0 to 1; what is recorded of neither counts neither way."""
        total = whole = 0.0
        for name, share in self._shares(other):
            weight = _WEIGHTS[name]
            whole += weight
            total += weight * share
        return total / whole if whole else 0.0

    def _shares(self, other: Traits) -> list[tuple[str, float]]:
        made: list[tuple[str, float]] = []
        if self.name and other.name:
            made.append(("name", _names_alike(self.name, other.name)))
        if self.words or other.words:
            both = len(self.words & other.words)
            made.append(("words", 2 * both / (len(self.words) + len(other.words))))
        made.append(("kind", 1.0 if self.kind == other.kind else 0.0))
        alike, count = self._values(other)
        if count:
            made.append(("values", alike / count))
        if self.where and other.where:
            made.append(("where", 1.0 if self.where == other.where else 0.0))
        return made

    def _values(self, other: Traits) -> tuple[float, int]:
        there = other.values
        alike, count = 0.0, 0
        for name, value in self.values.items():
            if name in there:
                count += 1
                alike += 1.0 if value == there[name] else _values_alike(value, there[name])
        return alike, count

    def why(self, other: Traits) -> tuple[str, ...]:
        """What speaks for the two being one, in sentences; nothing that speaks against it."""
        told = []
        if self.name and self.name == other.name:
            told.append(_("both are called {name}").format(name=other.shown))
        if self.kind and self.kind == other.kind and hasattr(type(other.record), "NAME"):
            told.append(_("both are of the kind {kind}").format(kind=inside(_(type(other.record).NAME))))
        both = sorted(self.words & other.words)
        if both:
            told.append(_("both are described by {words}").format(words=", ".join(both)))
        there = other.values
        same = [n for n, value in self.values.items() if n in there and _values_alike(value, there[n]) == 1.0]
        if same:
            told.append(_("alike in {fields}").format(fields=", ".join(self._said(n, other) for n in same[:4])))
        if self.where and self.where == other.where:
            told.append(_("both are in the same place"))
        return tuple(told)

    def _said(self, name: str, other: Traits) -> str:
        spec = other.specs[name]
        label, value = inside(label_of(type(other.record), spec)), other.values[name]
        if spec.shape == "number":
            text = show(value, spec.fact.unit) if spec.fact.unit else number(value)
        elif spec.fact.unit == "size":
            text = show_size(value)
        elif spec.shape in ("word", "choice", "whole"):
            text = str(value)
        else:
            return label
        return f"{label} {text}"


def table_traits(table: str, snapshot: Snapshot, same: Mapping[str, str]) -> dict[str, Traits]:
    """Of every record of a table. `same`: id here -> id in the other drawing of what is matched already."""
    return {item: _traits(table, record, same) for item, record in snapshot.tables.get(table, {}).items()}


def _traits(table: str, record: Any, same: Mapping[str, str]) -> Traits:
    cls: Any = type(record)
    specs = _specs(cls)
    kind = getattr(record, "KIND", table)
    shown = next((str(getattr(record, n)) for n in _NAMES if getattr(record, n, "")), "")
    name = designation_key(shown)
    words = frozenset(_words(record))
    held = [(n, getattr(record, n), default) for n, default in _telling(table, cls)]
    values = {n: value for n, value, default in held if value not in (None, "", default)}
    where = ""
    for field in _WHERE.get(table, ()):
        if item := getattr(record, field, ""):
            where = same.get(item, item)
            break
    marks: set[Any] = {("kind", kind, where)} | {("word", word) for word in words}
    if name:
        marks |= {("name", name), ("figure", kind, "".join(_DIGITS.findall(name)))}
    marks |= {("value", kind, n, v) for n, v in values.items() if isinstance(v, (int, float, str)) and v is not True}
    about: Any = None
    if table in _ABOUT:
        about = tuple(moved(getattr(record, f), specs[f], same) for f in _ABOUT[table])
    return Traits(kind, name, shown, words, values, where, frozenset(marks), about, record, specs)


@functools.cache
def _specs(cls: Any) -> dict[str, FieldSpec]:
    return {spec.name: spec for spec in field_specs(cls)}


@functools.cache
def _telling(table: str, cls: Any) -> tuple[tuple[str, Any], ...]:
    """Fields whose plain values tell one thing from another, each with its default."""
    return tuple(
        (spec.name, spec.default)
        for spec in field_specs(cls)
        if spec.shape in ("number", "whole", "choice", "word", "yesno")
        and not spec.fact.refers
        and spec.name not in _PLAIN
        and (table in _ABOUT or spec.name not in _LOOKS)
    )


def _words(record: Any) -> list[str]:
    text = " ".join(str(getattr(record, f, "")) for f in ("label", "text", "observation", "caption"))
    if not text.strip():
        text = str(getattr(record, "name", "") or getattr(record, "title", ""))
    return [word for word in text_key(text).split() if len(word) > 1]


def text_key(text: str) -> str:
    """Words in small letters, one space between them, no other signs."""
    return " ".join(_SPLIT.sub(" ", text.casefold()).split())


def designation_key(text: str) -> str:
    """A designation as it may be compared: "F 3", "f3", "-F3" and "F03" are one, "F1.11" and "F11.1" are two."""
    plain = _BETWEEN.sub(".", text.casefold())
    plain = _JOINTS.sub("", plain)
    return re.sub(r"(?<!\d)0+(?=\d)", "", plain)


def _names_alike(a: str, b: str) -> float:
    if a == b:
        return 1.0
    # another letter before the same number, or the same letter: two people count apart, so it only parts equals
    if _DIGITS.findall(a) == _DIGITS.findall(b) and _DIGITS.search(a):
        return 0.1
    return 0.05 if _DIGITS.sub("", a) == _DIGITS.sub("", b) else 0.0


def _values_alike(a: Any, b: Any) -> float:
    if a == b:
        return 1.0
    if isinstance(a, (int, float)) and isinstance(b, (int, float)) and not isinstance(a, bool):
        largest = max(abs(a), abs(b))
        share = abs(a - b) / largest if largest else 0.0
        return max(0.0, 1.0 - 4.0 * share)  # a quarter apart is another rating
    if isinstance(a, str) and isinstance(b, str):
        return 1.0 if text_key(a) == text_key(b) else 0.0
    return 0.0
