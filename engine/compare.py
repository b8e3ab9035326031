"""Two issues of one drawing: which equipment and runs were added, removed or changed, and in what.

A thing is the same in both as `engine.since.counterparts` tells. A reference to another thing has not changed where
both name the same one, whatever its id.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import msgspec

from engine.installation.model import Snapshot
from engine.naming import label_of, natural
from engine.record import field_specs
from engine.since import counterparts
from engine.words import _

__all__ = ["Changed", "Comparison", "compare"]

TABLES = ("equipment", "runs")


class Changed(NamedTuple):
    """Something that both issues have, and the fields in which it differs, as they are called on a page."""

    item: str  # id in the newer issue
    fields: tuple[str, ...]


class Comparison(NamedTuple):
    """By designation. `added` and `changed` are ids of the newer issue, `removed` of the older."""

    added: tuple[str, ...]
    removed: tuple[str, ...]
    changed: tuple[Changed, ...]

    @property
    def marked(self) -> tuple[str, ...]:
        """What the newer issue shows and the older did not show so."""
        return (*self.added, *(change.item for change in self.changed))


def compare(before: Snapshot, after: Snapshot) -> Comparison:
    """What became of equipment and runs."""
    same = counterparts(before, after)
    added: list[str] = []
    removed: list[str] = []
    changed: list[Changed] = []
    for table in TABLES:
        then: dict[str, Any] = {}  # by the id of today
        gone = []
        for item, record in before.tables[table].items():
            here = same.get(item, item)
            if here in after.tables[table]:
                then[here] = record
            else:
                gone.append(item)
        for item, record in after.tables[table].items():
            was = then.get(item)
            if was is None:
                added.append(item)
            elif was != record:
                fields = _fields(was, record, same)
                if fields:
                    changed.append(Changed(item, fields))
        removed.extend(gone)
    return Comparison(
        tuple(sorted(added, key=lambda i: _order(after, i))),
        tuple(sorted(removed, key=lambda i: _order(before, i))),
        tuple(sorted(changed, key=lambda c: _order(after, c.item))),
    )


def _order(snapshot: Snapshot, item: str) -> tuple[bool, tuple[tuple[int, str], ...], str]:
    return item in snapshot.runs, natural(snapshot.name(item)), item


def _fields(was: Any, record: Any, same: Mapping[str, str]) -> tuple[str, ...]:
    """Names of the fields that differ; of another kind altogether, just that."""
    if type(was) is not type(record):
        return (_("Kind"),)
    found = []
    for spec in field_specs(type(record)):
        then = msgspec.to_builtins(getattr(was, spec.name))
        now = msgspec.to_builtins(getattr(record, spec.name))
        if then != now and _moved(then, same) != now:
            found.append(label_of(type(record), spec))
    return tuple(found)


def _moved(value: Any, same: Mapping[str, str]) -> Any:
    """A stored value of the older issue with the ids of the newer."""
    if isinstance(value, str):
        return same.get(value, value)
    if isinstance(value, dict):
        return {name: _moved(each, same) for name, each in value.items()}
    if isinstance(value, (list, tuple)):
        return type(value)(_moved(each, same) for each in value)
    return value
