"""An edit being put together: reads like a snapshot, takes records, makes ids, ends as one `Several`."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import msgspec

from engine.edits.edit import Put, Several
from engine.installation.model import TABLES, Snapshot

__all__ = ["Draft", "highest_id"]


class Draft:
    """Works over a snapshot, which it never changes. Each record that differs at the end becomes one `Put`."""

    def __init__(self, snapshot: Snapshot, last_id: int = 0) -> None:
        self.first = snapshot
        self.last_id = last_id
        self._tables: dict[str, dict[str, Any]] = {}  # copies of the tables that something was put into
        self._touched: dict[tuple[str, str], None] = {}

    def table(self, name: str) -> dict[str, Any]:
        """A table as it stands; only to read."""
        return self._tables[name] if name in self._tables else self.first.tables[name]

    def get(self, name: str, item: str) -> Any:
        """A record as it stands, or `None`."""
        return self.table(name).get(item)

    def put(self, name: str, item: str, record: Any) -> None:
        """Store, replace, or remove (`None`)."""
        if name not in self._tables:
            self._tables[name] = dict(self.first.tables[name])
        if record is None:
            self._tables[name].pop(item, None)
        else:
            self._tables[name][item] = record
        self._touched[name, item] = None

    def change(self, name: str, item: str, **values: Any) -> Any:
        """Replace fields of a record; returns what stands there now."""
        record = msgspec.structs.replace(self.get(name, item), **values)
        self.put(name, item, record)
        return record

    def add(self, name: str, record: Any) -> str:
        """Store under a new id and return it."""
        item = self.new_id(name)
        self.put(name, item, record)
        return item

    def new_id(self, name: str) -> str:
        """A new id for a table, taken from now on."""
        self.last_id += 1
        return f"{TABLES[name][1]}{self.last_id}"

    def snapshot(self) -> Snapshot:
        """What the drawing would be."""
        return Snapshot(tables=self.first.tables | self._tables, lone=self.first.lone)

    def done(self, words: str) -> Several:
        """The edit, in an order in which every run finds its equipment."""
        return Several(tuple(self._puts()), words)

    def _puts(self) -> Iterable[Put]:
        gone: list[Put] = []
        kept: list[Put] = []
        for name, item in self._touched:
            before, after = self.first.tables[name].get(item), self.get(name, item)
            if before is after or before == after:
                continue
            (gone if after is None else kept).append(Put(name, item, after))
        first = ("places", "enclosures", "sheets", "equipment", "runs")
        order = {name: n for n, name in enumerate((*first, *(t for t in TABLES if t not in first)))}
        kept.sort(key=lambda put: order[put.table])
        gone.sort(key=lambda put: -order[put.table])
        # runs are led elsewhere before the equipment they left goes
        return (*kept, *gone)


def highest_id(snapshot: Snapshot) -> int:
    """The highest number in an id of a snapshot, for who does not know the last one that was made."""
    return max(
        (
            int(item[1:])
            for table in snapshot.tables.values()
            for item in table
            if item[1:].isdecimal() and item[1:].isascii()
        ),
        default=0,
    )
