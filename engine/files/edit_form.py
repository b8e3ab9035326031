"""Edits, records and whole drawings as plain values: what the recovery journal keeps and the study process is sent.

Only what is done, as whole records (`engine.edits.Done.edit`): nothing is left to be worked out when it is read.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator
from typing import Any

import msgspec

from engine.edits import Edit, Put, Several
from engine.equipment import kind_named
from engine.equipment.base import Equipment
from engine.files.foreign import Foreign
from engine.installation.model import LONE, TABLES, Snapshot
from engine.record import FieldFault, Record, field_specs, from_builtins, to_builtins

__all__ = ["edit_of", "plain_edit", "plain_parts", "plain_record", "plain_snapshot", "record_of", "snapshot_of"]

_UNKNOWN = ""  # the member under which what is not known is kept
_LOT = 50  # records made between two pauses


def plain_record(record: Record) -> dict[str, Any]:
    """A record as plain values, the kind of equipment among them.

    What is not known stays text, under a name no field has: a number in it may be longer than msgpack can carry.
    """
    values = to_builtins(record, _as_text)
    if isinstance(record, Equipment):
        values["kind"] = record.KIND
        if isinstance(record, Foreign):
            values["kind"] = ""
    return values


def _as_text(values: dict[str, Any], unknown: tuple[tuple[str, str], ...]) -> None:
    values[_UNKNOWN] = [list(pair) for pair in unknown]


def record_of(table: str, values: dict[str, Any]) -> Record:
    """The record of `plain_record`. Raises `ValueError` for what no such record can hold."""
    faults: list[FieldFault] = []
    cls: Any = LONE.get(table) or TABLES.get(table, (None,))[0]
    if cls is None:
        raise ValueError(f"there is no table {table!r}")
    values = dict(values)
    kept = _pairs(values.pop(_UNKNOWN, ()), table)
    if table == "equipment":
        kind = values.pop("kind", "")
        if kind == "":
            if not any(name == "kind" and _is_name(text) for name, text in kept):
                raise ValueError("equipment without a kind")  # it could never be opened again
            return Foreign(arrivals=tuple(values.get("arrivals", ())), unknown=kept)
        cls = kind_named(kind)
        if cls is None:
            raise ValueError(f"there is no kind {kind!r}")
    made = from_builtins(cls, values, table, faults)
    if faults or not isinstance(made, Record):
        raise ValueError("; ".join(f"{fault.path}: {fault.why}" for fault in faults) or f"{table}: no record")
    if kept:
        made = msgspec.structs.replace(made, unknown=(*made.unknown, *kept))
    return _opened(made)


def _is_name(text: str) -> bool:
    named = msgspec.json.decode(text)
    return isinstance(named, str) and named != ""


def _pairs(value: Any, table: str) -> tuple[tuple[str, str], ...]:
    try:
        pairs = tuple((str(name), str(text)) for name, text in value)
        for _name, text in pairs:  # what is no JSON could never be written
            msgspec.json.decode(text)
    except (TypeError, ValueError, RecursionError, msgspec.MsgspecError):
        raise ValueError(f"{table}: what is not known is no list of pairs of a name and JSON text") from None
    return pairs


def _opened(record: Record) -> Record:
    """The record, what its parts do not know no longer one text."""
    changed = {}
    for name, is_one in _part_fields(type(record)):
        value = getattr(record, name)
        parts = (value,) if is_one else value
        if any(part is not None and part.unknown for part in parts):
            made = tuple(
                msgspec.structs.replace(part, unknown=_pairs(msgspec.json.decode(dict(part.unknown)[_UNKNOWN]), name))
                if part is not None and part.unknown
                else part
                for part in parts
            )
            changed[name] = made[0] if is_one else made
    return msgspec.structs.replace(record, **changed) if changed else record


@functools.cache
def _part_fields(cls: Any) -> tuple[tuple[str, bool], ...]:
    """Fields of a record that hold a part, or several."""
    specs = field_specs(cls)
    return tuple((s.name, s.shape == "record") for s in specs if s.shape in ("record", "records"))


def plain_edit(edit: Edit) -> dict[str, Any]:
    """An edit of whole records as plain values: `words`, `puts` (table, id, record or `None`)."""
    return {"words": edit.words, "puts": [_plain_put(put) for put in _flat(edit)]}


def edit_of(values: dict[str, Any]) -> Several:
    """The edit of `plain_edit`. Raises `ValueError`."""
    try:
        puts = tuple(
            Put(table, item, None if record is None else record_of(table, record))
            for table, item, record in values["puts"]
        )
        return Several(puts, str(values["words"]))
    except (KeyError, TypeError) as fault:
        raise ValueError(f"no edit: {fault}") from None


def _plain_put(put: Put) -> list[Any]:
    return [put.table, put.id, None if put.record is None else plain_record(put.record)]


def _flat(edit: Edit) -> list[Put]:
    if isinstance(edit, Several):
        return [put for each in edit.edits for put in _flat(each)]
    if not isinstance(edit, Put):
        raise TypeError("an edit of whole records is needed: `engine.edits.done` gives one")
    return [edit]


def plain_parts(snapshot: Snapshot) -> Iterator[dict[str, Any] | None]:
    """`plain_snapshot` with a `None` after every few records, for who must pause between; the whole comes last."""
    tables: dict[str, dict[str, Any]] = {}
    for name, table in snapshot.tables.items():
        made = tables[name] = {}
        for n, (item, record) in enumerate(table.items()):
            made[item] = plain_record(record)
            if n % _LOT == _LOT - 1:
                yield None
    yield {"tables": tables, "lone": {name: plain_record(record) for name, record in snapshot.lone.items()}}


def plain_snapshot(snapshot: Snapshot) -> dict[str, Any]:
    """All records as plain values."""
    return {
        "tables": {
            name: {item: plain_record(record) for item, record in table.items()}
            for name, table in snapshot.tables.items()
        },
        "lone": {name: plain_record(record) for name, record in snapshot.lone.items()},
    }


def snapshot_of(values: dict[str, Any]) -> Snapshot:
    """The snapshot of `plain_snapshot`. Raises `ValueError`."""
    try:
        return Snapshot(
            tables={
                name: {item: record_of(name, record) for item, record in values["tables"].get(name, {}).items()}
                for name in TABLES
            },
            lone={name: record_of(name, values["lone"].get(name, {})) for name in LONE},
        )
    except (KeyError, TypeError, AttributeError, msgspec.MsgspecError) as fault:
        raise ValueError(f"no drawing: {fault}") from None
