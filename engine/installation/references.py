"""What names what: every reference from one record to another, and those that lead nowhere.

A file with a dangling reference is not opened and an edit that would leave one is refused, by the same words.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import msgspec

from engine.equipment.base import Equipment
from engine.installation.records import End, Held, Placement, Setting
from engine.installation.surveying import Survey
from engine.record import FieldFault, field_specs
from engine.words import N_, _

__all__ = ["FoundOut", "Lookup", "Reference", "dangling", "names", "references"]

# (table, id) -> the record or None
Lookup = Callable[[str, str], Any]

NOUNS = {
    "equipment": N_("equipment"),
    "runs": N_("run"),
    "places": N_("place"),
    "enclosures": N_("enclosure"),
    "sheets": N_("sheet"),
    "remarks": N_("remark"),
    "conditions": N_("operating condition"),
    "surveys": N_("survey"),
    "photographs": N_("photograph"),
    "instruments": N_("instrument"),
}


class Reference(NamedTuple):
    """One id that a record holds: where it stands in the record, the table and the id it names."""

    path: str
    table: str
    id: str


_NAMED = 12  # terminals, positions or surveys that a sentence lists
_LONGEST = 80  # letters of each


class FoundOut:
    """What was found out of records while nothing changes, so that it is not found out again for each that names them.

    Without it a file of many surveys or channels would be gone through once for each of its records.
    """

    def __init__(self) -> None:
        self._has: dict[tuple[int, str], tuple[Equipment, frozenset[str], str]] = {}
        self._rings: dict[int, tuple[Survey, str]] = {}

    def has(self, owner: Equipment, noun: str) -> tuple[frozenset[str], str]:
        """Names of the terminals ("terminal") or positions of equipment; the same in words."""
        known = self._has.get((id(owner), noun))
        if known is None:
            of_owner = (t.name for t in owner.terminals()) if noun == "terminal" else owner.positions()
            has = tuple(dict.fromkeys(of_owner))
            known = self._has[id(owner), noun] = owner, frozenset(has), _listed(has, ", ")
        return known[1:]

    def ring(self, survey: Survey, find: Lookup) -> str:
        """The ring of surveys that one is a member of, in words; "" where whoever goes back from it comes to an end."""
        if found := self._rings.get(id(survey)):
            return found[1]
        way: list[Survey] = []
        at: Any = survey
        place: dict[int, int] = {}  # in the way
        while isinstance(at, Survey) and id(at) not in self._rings and id(at) not in place:
            place[id(at)] = len(way)
            way.append(at)
            at = find("surveys", at.follows) if at.follows else None
        # a survey outside the ring that leads into it is not what is wrong
        outside = place.get(id(at), len(way))
        ring = [each.follows for each in way[outside:]]
        told = _listed((*ring, *ring[:1]), " → ")
        for number, each in enumerate(way):
            self._rings[id(each)] = each, told if number >= outside else ""
        return self._rings[id(survey)][1]


def _listed(names: tuple[str, ...], between: str) -> str:
    """Names in a sentence; the middle of a long row is left out."""
    shown = names if len(names) <= _NAMED else (*names[: _NAMED - 2], "…", names[-1])
    return between.join(_clipped(name) for name in shown)


def _clipped(name: str) -> str:
    return name if len(name) <= _LONGEST else f"{name[: _LONGEST - 1]}…"


class _Way(NamedTuple):
    """How to reach references of a class: a field that holds an id, ids, or structs that hold some."""

    name: str
    file_name: str
    shape: str
    table: str
    needed: bool
    item: Any


@functools.cache
def _ways(cls: Any) -> tuple[_Way, ...]:
    found = []
    for spec in field_specs(cls):
        table = spec.fact.refers
        if table or (spec.shape in ("records", "record") and (_ways(spec.item) or spec.item in _CHECKED)):
            needed = spec.default is msgspec.NODEFAULT
            found.append(_Way(spec.name, spec.file_name, spec.shape, table, needed, spec.item))
    return tuple(found)


def references(record: msgspec.Struct, path: str = "") -> Iterator[Reference]:
    """Every reference of a record; empty ones, which say "none", are left out unless the field must name something."""
    for way in _ways(type(record)):
        value = getattr(record, way.name)
        if not value and not way.needed:
            continue
        where = f"{path}.{way.file_name}" if path else way.file_name
        if way.shape == "record":
            yield from references(value, where)
        elif way.shape == "records":
            for i, each in enumerate(value):
                yield from references(each, f"{where}[{i}]")
        elif way.shape == "words":
            for i, item in enumerate(value):
                yield Reference(f"{where}[{i}]", way.table, item)
        else:
            yield Reference(where, way.table, value)


def names(record: msgspec.Struct, table: str, item: str) -> bool:
    """Whether a record names that record of that table."""
    return any(r.id == item and r.table == table for r in references(record))


def dangling(record: msgspec.Struct, path: str, find: Lookup, known: FoundOut | None = None) -> Iterator[FieldFault]:
    """What a record names and is not there: a record, a terminal of a piece of equipment, a position of a switch.

    `known` serves many records asked about in turn while nothing changes.
    """
    known = known or FoundOut()
    for way in _ways(type(record)):
        value = getattr(record, way.name)
        if not value and not way.needed:
            continue
        where = f"{path}.{way.file_name}"
        if way.shape == "record":
            yield from dangling(value, where, find, known)
        elif way.shape == "records":
            for i, each in enumerate(value):
                yield from dangling(each, f"{where}[{i}]", find, known)
        elif way.shape == "words":
            for i, item in enumerate(value):
                yield from _missing(way.table, item, f"{where}[{i}]", find)
        else:
            yield from _missing(way.table, value, where, find)
    check = _CHECKED.get(type(record))
    if check is not None:
        yield from check(record, path, find, known)
    elif isinstance(record, Equipment) and record.in_position:
        yield from _unlike(record, "position", record.in_position, f"{path}.in_position", known)


def _missing(table: str, item: str, where: str, find: Lookup) -> Iterator[FieldFault]:
    if find(table, item) is None:
        yield FieldFault(where, _("there is no {noun} {id!r}").format(noun=_(NOUNS[table]), id=_clipped(item)))


def _unlike(owner: Equipment, noun: str, wanted: str, where: str, known: FoundOut) -> Iterator[FieldFault]:
    names, told = known.has(owner, noun)
    if wanted in names or not owner.KIND:  # of a kind this version does not know anything may be true
        return
    name = _clipped(owner.designation) or _(owner.NAME)
    if names:
        why = _("{name} has no {noun} {wanted!r}: it has {has}")
    else:
        why = _("{name} has no {noun} {wanted!r}: it has none")
    noun = _("terminal") if noun == "terminal" else _("position")
    yield FieldFault(where, why.format(name=name, noun=noun, wanted=_clipped(wanted), has=told))


def _end(record: End, path: str, find: Lookup, known: FoundOut) -> Iterator[FieldFault]:
    owner = find("equipment", record.equipment)
    if owner is not None:
        yield from _unlike(owner, "terminal", record.terminal, f"{path}.terminal", known)


def _placement(record: Placement, path: str, find: Lookup, known: FoundOut) -> Iterator[FieldFault]:
    owner = find("equipment", record.equipment)
    if owner is not None:
        for i, terminal in enumerate(record.terminals):
            yield from _unlike(owner, "terminal", terminal, f"{path}.terminals[{i}]", known)


def _setting(record: Setting, path: str, find: Lookup, known: FoundOut) -> Iterator[FieldFault]:
    owner = find("equipment", record.equipment)
    if owner is not None:
        yield from _unlike(owner, "position", record.position, f"{path}.position", known)


def _held(record: Held, path: str, find: Lookup, known: FoundOut) -> Iterator[FieldFault]:
    owner = find("equipment", record.equipment)
    if owner is not None:
        for i, position in enumerate(record.positions):
            yield from _unlike(owner, "position", position, f"{path}.positions[{i}]", known)


def _survey(record: Survey, path: str, find: Lookup, known: FoundOut) -> Iterator[FieldFault]:
    """A survey follows an earlier one: whoever goes back from it comes to an end."""
    ring = known.ring(record, find)
    if ring:
        yield FieldFault(f"{path}.follows", _("it comes back to where it began: {ring}").format(ring=ring))


_CHECKED: dict[type, Callable[[Any, str, Lookup, FoundOut], Iterator[FieldFault]]] = {
    End: _end,
    Held: _held,
    Placement: _placement,
    Setting: _setting,
    Survey: _survey,
}
