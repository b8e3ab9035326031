"""What was done last that can be done again: equipment placed with its facts, fields set."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import msgspec

from engine.edits import Edit, History, Put, Several
from engine.equipment.base import Equipment
from engine.installation import Run, Snapshot
from engine.phrases.reading import Given
from engine.record import field_specs

__all__ = ["Repeatable", "fits", "last_placed", "last_set"]

_LOOKED_AT = 300  # edits back
# what belongs to one thing alone
_ITS_OWN = ("designation", "marking", "old_marking", "position", "in_position", "from_end", "to_end")


class Repeatable(NamedTuple):
    """What can be done again, and how many edits ago it was done."""

    ago: int
    record: Equipment | None = None  # placed, without what was its own alone
    given: tuple[Given, ...] = ()  # set


def last_placed(history: History, snapshot: Snapshot) -> Repeatable | None:
    """The piece of equipment placed last, as it is now."""
    for ago, (edit, inverse) in enumerate(history.newest()):
        if ago > _LOOKED_AT:
            break
        new = _new_equipment(edit, inverse)
        if len(new) == 1 and any(p.table == "placements" for p in _puts(edit)):
            item, record = new[0]
            return Repeatable(ago, _bare(snapshot.equipment.get(item, record)))
    return None


def _bare(record: Equipment) -> Equipment:
    specs = {s.name: s for s in field_specs(type(record))}
    blank = {name: specs[name].default for name in _ITS_OWN if name in specs}
    origins = tuple((f, o) for f, o in record.origins if f not in _ITS_OWN)
    return msgspec.structs.replace(record, origins=origins, unknown=(), **blank)


def _new_equipment(edit: Edit, inverse: Edit) -> list[tuple[str, Any]]:
    gone = {p.id for p in _puts(inverse) if p.table == "equipment" and p.record is None}
    return [
        (p.id, p.record)
        for p in _puts(edit)
        if p.table == "equipment" and p.id in gone and p.record is not None and p.record.ROLE != "junction"
    ]


def last_set(history: History) -> Repeatable | None:
    """The values set last on equipment or runs, the same on all that were chosen then."""
    for ago, (edit, inverse) in enumerate(history.newest()):
        if ago > _LOOKED_AT:
            break
        puts = list(_puts(edit))
        if not puts or any(p.table not in ("equipment", "runs") or p.record is None for p in puts):
            continue
        before = {(p.table, p.id): p.record for p in _puts(inverse)}
        if any(before.get((p.table, p.id)) is None for p in puts):
            continue
        changed = {_changed(before[p.table, p.id], p.record) for p in puts}
        changed.discard(())
        if len(changed) == 1:
            return Repeatable(ago, None, changed.pop())
    return None


def _changed(before: Any, now: Any) -> tuple[Given, ...]:
    if type(before) is not type(now):
        return ()
    origins = dict(now.origins)
    return tuple(
        Given(s.name, getattr(now, s.name), origins.get(s.name, ""))
        for s in field_specs(type(now))
        if getattr(now, s.name) != getattr(before, s.name) and s.name not in _ITS_OWN
    )


def fits(snapshot: Snapshot, items: Sequence[str], given: Sequence[Given]) -> tuple[str, ...]:
    """Those of the chosen things that have all these fields, with another value in one of them."""
    found = []
    for item in items:
        record: Equipment | Run | None = snapshot.equipment.get(item) or snapshot.runs.get(item)
        if record is None:
            continue
        specs = {s.name: s for s in field_specs(type(record))}
        if all(g.field in specs and _takes(specs[g.field], g.value) for g in given) and any(
            getattr(record, g.field) != g.value for g in given
        ):
            found.append(item)
    return tuple(found)


def _takes(spec: Any, value: Any) -> bool:
    from engine.phrases.figures import fitting

    return not fitting(spec, value)[1]


def _puts(edit: Edit) -> Iterator[Put]:
    if isinstance(edit, Several):
        for each in edit.edits:
            yield from _puts(each)
    elif isinstance(edit, Put):
        yield edit
