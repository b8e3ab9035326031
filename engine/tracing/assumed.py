"""Values that somebody wrote down without having seen them, and the drawing as it is known without them.

A value is assumed where its origin says so. Taking it away leaves the field as it is where nobody recorded anything; a
field that is never empty (the number of conductors in parallel, what a run carries, where it ends) cannot be taken
away, and is told as one that stays.
"""

from __future__ import annotations

from typing import Any, Literal

import msgspec

from engine.installation.model import LONE, Snapshot
from engine.naming import inside, label_of, title_of
from engine.record import FieldSpec, field_specs
from engine.words import _

__all__ = ["AssumedValue", "Resting", "assumed_fields", "assumed_values", "has_assumed", "without_assumed"]

_NOTHING: tuple[Any, ...] = (None, "", ())  # what a field holds of which nothing is known


class AssumedValue(msgspec.Struct, frozen=True):
    """A value that is assumed: of which record (`table` is `item` of those there is one of), which field, in words."""

    table: str
    item: str
    field: str
    name: str  # what the record is called
    label: str  # what the field is called
    value: str
    stays: bool = False  # the field is never empty: it cannot be judged without this value

    @property
    def words(self) -> str:
        """*W3 (length, one way: 4 m)*."""
        return _("{name} ({label}: {value})").format(name=self.name, label=inside(self.label), value=self.value)


class Resting(msgspec.Struct, frozen=True, kw_only=True):
    """Something a check says that it would not say if assumed values were taken as not known."""

    key: str  # that of the finding or of what would not be judged
    rule: str
    what: Literal["finding", "waived", "passed"]
    without: Literal["not judged", "not found", "found"]  # what is said of it without the assumed values
    designations: tuple[str, ...]
    ids: tuple[str, ...]
    values: tuple[AssumedValue, ...]  # those it rests on
    named: bool  # the judgement names these values; else they are those it can rest on, one or more of them


def assumed_fields(snapshot: Snapshot) -> list[tuple[str, str, FieldSpec]]:
    """Table, id and field of every assumed value, those that cannot be taken away too; tables and ids sorted."""
    found = []
    lone = ((table, {table: record}) for table, record in snapshot.lone.items())
    for table, records in (*snapshot.tables.items(), *lone):
        for item, record in records.items():
            if not record.origins:
                continue
            said = dict(record.origins)
            for spec in field_specs(type(record)):
                origin = said.get(spec.name) or said.get(spec.file_name)
                if origin == "assumed" and (getattr(record, spec.name) not in _NOTHING):
                    found.append((table, item, spec))
    return found


def has_assumed(snapshot: Snapshot) -> bool:
    """Whether any value is assumed that can be taken away."""
    return any(not _stays(spec) for _table, _item, spec in assumed_fields(snapshot))


def assumed_values(snapshot: Snapshot) -> tuple[AssumedValue, ...]:
    """Every assumed value, in words."""
    return tuple(_told(snapshot, *one) for one in assumed_fields(snapshot))


def without_assumed(snapshot: Snapshot) -> Snapshot:
    """The drawing as if nothing were recorded where a value is assumed; itself where there is none to take away."""
    tables, lone = dict(snapshot.tables), dict(snapshot.lone)
    changed: dict[tuple[str, str], dict[str, Any]] = {}
    for table, item, spec in assumed_fields(snapshot):
        if not _stays(spec):
            changed.setdefault((table, item), {})[spec.name] = spec.default
    if not changed:
        return snapshot
    for (table, item), values in changed.items():
        if table in LONE:
            lone[table] = _emptied(lone[table], values)
            continue
        if tables[table] is snapshot.tables[table]:
            tables[table] = dict(tables[table])
        tables[table][item] = _emptied(tables[table][item], values)
    return Snapshot(tables=tables, lone=lone)


def _emptied(record: Any, values: dict[str, Any]) -> Any:
    origins = tuple((name, origin) for name, origin in record.origins if name not in values)
    return msgspec.structs.replace(record, **values, origins=origins)


def _stays(spec: FieldSpec) -> bool:
    return spec.default is msgspec.NODEFAULT or spec.default not in _NOTHING


def _told(snapshot: Snapshot, table: str, item: str, spec: FieldSpec) -> AssumedValue:
    from engine.phrases.telling import value_in_words

    record = snapshot.lone[table] if table in LONE else snapshot.tables[table][item]
    value = getattr(record, spec.name)
    if spec.shape == "record" and hasattr(value, "equipment"):
        words = title_of(snapshot, "equipment", value.equipment)
    else:
        words = value_in_words(spec, value, snapshot)
    return AssumedValue(
        table, item, spec.name, title_of(snapshot, table, item), label_of(type(record), spec), words, _stays(spec)
    )
