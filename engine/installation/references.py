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

__all__ = ["Lookup", "Reference", "dangling", "names", "references"]

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


def dangling(record: msgspec.Struct, path: str, find: Lookup) -> Iterator[FieldFault]:
    """What a record names and is not there: a record, a terminal of a piece of equipment, a position of a switch."""
    for way in _ways(type(record)):
        value = getattr(record, way.name)
        if not value and not way.needed:
            continue
        where = f"{path}.{way.file_name}"
        if way.shape == "record":
            yield from dangling(value, where, find)
        elif way.shape == "records":
            for i, each in enumerate(value):
                yield from dangling(each, f"{where}[{i}]", find)
        elif way.shape == "words":
            for i, item in enumerate(value):
                yield from _missing(way.table, item, f"{where}[{i}]", find)
        else:
            yield from _missing(way.table, value, where, find)
    check = _CHECKED.get(type(record))
    if check is not None:
        yield from check(record, path, find)
    elif isinstance(record, Equipment) and record.in_position:
        yield from _unlike(record, record.positions(), record.in_position, f"{path}.in_position", _("position"))


def _missing(table: str, item: str, where: str, find: Lookup) -> Iterator[FieldFault]:
    if find(table, item) is None:
        yield FieldFault(where, _("there is no {noun} {id!r}").format(noun=_(NOUNS[table]), id=item))


def _unlike(owner: Equipment, has: tuple[str, ...], wanted: str, where: str, noun: str) -> Iterator[FieldFault]:
    if wanted in has or not owner.KIND:  # of a kind this version does not know anything may be true
        return
    name = owner.designation or _(owner.NAME)
    if has:
        why = _("{name} has no {noun} {wanted!r}: it has {has}")
    else:
        why = _("{name} has no {noun} {wanted!r}: it has none")
    yield FieldFault(where, why.format(name=name, noun=noun, wanted=wanted, has=", ".join(has)))


def _end(record: End, path: str, find: Lookup) -> Iterator[FieldFault]:
    owner = find("equipment", record.equipment)
    if owner is not None:
        has = tuple(t.name for t in owner.terminals())
        yield from _unlike(owner, has, record.terminal, f"{path}.terminal", _("terminal"))


def _placement(record: Placement, path: str, find: Lookup) -> Iterator[FieldFault]:
    owner = find("equipment", record.equipment)
    if owner is not None and record.terminals:
        has = tuple(t.name for t in owner.terminals())
        for i, terminal in enumerate(record.terminals):
            yield from _unlike(owner, has, terminal, f"{path}.terminals[{i}]", _("terminal"))


def _setting(record: Setting, path: str, find: Lookup) -> Iterator[FieldFault]:
    owner = find("equipment", record.equipment)
    if owner is not None:
        yield from _unlike(owner, owner.positions(), record.position, f"{path}.position", _("position"))


def _held(record: Held, path: str, find: Lookup) -> Iterator[FieldFault]:
    owner = find("equipment", record.equipment)
    if owner is not None:
        for i, position in enumerate(record.positions):
            yield from _unlike(owner, owner.positions(), position, f"{path}.positions[{i}]", _("position"))


def _survey(record: Survey, path: str, find: Lookup) -> Iterator[FieldFault]:
    """A survey follows an earlier one: whoever goes back from it comes to an end."""
    way = [record.follows] if record.follows else []
    while way and isinstance(before := find("surveys", way[-1]), Survey) and before.follows:
        way.append(before.follows)
        if way[-1] in way[:-1]:
            ring = way[way.index(way[-1]) :]
            # a survey outside the ring that leads into it is not what is wrong
            if any(find("surveys", each) is record for each in ring):
                why = _("it comes back to where it began: {ring}").format(ring=" → ".join(ring))
                yield FieldFault(f"{path}.follows", why)
            return


_CHECKED: dict[type, Callable[[Any, str, Lookup], Iterator[FieldFault]]] = {
    End: _end,
    Held: _held,
    Placement: _placement,
    Setting: _setting,
    Survey: _survey,
}
