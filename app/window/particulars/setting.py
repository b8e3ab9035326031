"""The edit behind an entry: one value into a field of one record or of several, and where it comes from."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import msgspec

from app.window.entries import Reading, label_of, nothing_of, title_of
from app.window.particulars.state import NewRecord
from engine.edits import Edit, Put, SetFields, Several
from engine.edits.renumbering import goes_along
from engine.installation.model import TABLES, Snapshot
from engine.naming import inside
from engine.phrases.giving import has_origin
from engine.record import FieldSpec, Record
from engine.words import _, ngettext

__all__ = ["Subject", "has_origin", "is_recorded", "set_field", "set_origin", "subject_name"]


class Subject(NamedTuple):
    """A record that is shown."""

    table: str
    id: str


def is_recorded(spec: FieldSpec, value: Any) -> bool:
    """Whether a value says more than the field does by itself."""
    return value != nothing_of(spec) and value != spec.default


def subject_name(snapshot: Snapshot, subjects: Sequence[Subject]) -> str:
    """ "F3", "F3 and 2 more"."""
    first = title_of(snapshot, *subjects[0])
    more = len(subjects) - 1
    if not more:
        return first
    return ngettext("{first} and {more} more", "{first} and {more} more", more).format(first=first, more=more)


def set_field(
    snapshot: Snapshot, last_id: int, subjects: Sequence[Subject], spec: FieldSpec, value: Any, origin: str
) -> Edit:
    """Set a field of every subject; `origin` is noted where the field has one, and goes with a value that goes.

    A `NewRecord` in the value is made in the same edit.
    """
    made: list[Edit] = []

    def make(new: NewRecord) -> str:
        item = f"{TABLES[new.table][1]}{last_id + len(made) + 1}"
        made.append(Put(new.table, item, TABLES[new.table][0](name=new.name)))  # type: ignore[call-arg]
        return item

    new_names = [new.name for new in _new_records(value)]
    value = _resolved(value, make)
    words = _words(snapshot, subjects, spec, value, new_names)
    edits: list[Edit] = []
    for subject in subjects:
        record = _record(snapshot, subject)
        values: tuple[tuple[str, Any], ...] = ((spec.name, value),)
        if has_origin(subject.table, spec) or record.origin(spec.name):
            kept = origin if is_recorded(spec, value) else ""
            values += (("origins", _origins(record, spec.name, kept)),)
        if spec.name == "designation" and getattr(record, "designation", ""):
            own, others = goes_along(snapshot, subject.id, value)
            values += tuple(own.items())
            made.extend(others)
        edits.append(SetFields(subject.table, subject.id, values, words))
    if len(edits) == 1 and not made:
        return edits[0]
    return Several((*made, *edits), words)


def set_origin(snapshot: Snapshot, subjects: Sequence[Subject], spec: FieldSpec, origin: str) -> Edit:
    """Say where the value of a field comes from; "": nobody said."""
    label = inside(label_of(type(_record(snapshot, subjects[0])), spec))
    name = subject_name(snapshot, subjects)
    words = _("Note where {label} of {name} comes from: {origin}").format(
        label=label, name=name, origin=_(origin) if origin else _("not said")
    )
    edits = tuple(
        SetFields(s.table, s.id, (("origins", _origins(_record(snapshot, s), spec.name, origin)),), words)
        for s in subjects
        if is_recorded(spec, getattr(_record(snapshot, s), spec.name))
    )
    return edits[0] if len(edits) == 1 else Several(edits, words)


def _record(snapshot: Snapshot, subject: Subject) -> Record:
    record: Record = snapshot.lone.get(subject.table) or snapshot.tables[subject.table][subject.id]
    return record


def _origins(record: Record, field: str, origin: str) -> tuple[tuple[str, str], ...]:
    kept: dict[str, str] = dict(record.origins)
    kept.pop(field, None)
    if origin:
        kept[field] = origin
    return tuple(sorted(kept.items()))


def _words(snapshot: Snapshot, subjects: Sequence[Subject], spec: FieldSpec, value: Any, new: list[str]) -> str:
    label = inside(label_of(type(_record(snapshot, subjects[0])), spec))
    name = subject_name(snapshot, subjects)
    if spec.shape in ("records", "record"):
        return _("Change {label} of {name}").format(label=label, name=name)
    if new:
        return _("Set {label} of {name} to the new {value}").format(label=label, name=name, value=", ".join(new))
    if value == nothing_of(spec) and (spec.optional or not value):
        return _("Leave {label} of {name} open").format(label=label, name=name)
    phrase = Reading(snapshot).phrase(spec, value)
    return _("Set {label} of {name} to {value}").format(label=label, name=name, value=phrase)


def _new_records(value: Any) -> list[NewRecord]:
    if isinstance(value, NewRecord):
        return [value]
    if isinstance(value, msgspec.Struct):
        return [n for field in type(value).__struct_fields__ for n in _new_records(getattr(value, field))]
    return [n for each in value for n in _new_records(each)] if isinstance(value, tuple) else []


def _resolved(value: Any, make: Callable[[NewRecord], str]) -> Any:
    if isinstance(value, NewRecord):
        return make(value)
    if not _new_records(value):
        return value
    if isinstance(value, tuple):
        return tuple(_resolved(each, make) for each in value)
    fields = {name: _resolved(getattr(value, name), make) for name in type(value).__struct_fields__}
    return type(value)(**fields)
