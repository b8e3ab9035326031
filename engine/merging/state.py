"""A merge under way: the three drawings, what the whole has so far, what was asked and what was told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from engine.installation.model import LONE, TABLES, Snapshot
from engine.merging.conflict import Choice, Conflict, MergeError
from engine.naming import speaks_of, title_of
from engine.words import _

__all__ = ["State"]


class State:
    """`b` already has ids of its own for what it added. `tables`, `lone`: the whole."""

    def __init__(self, base: Snapshot, a: Snapshot, b: Snapshot, chosen: Mapping[str, Choice]) -> None:
        self.base, self.a, self.b = base, a, b
        self.three = (base, a, b)
        self.chosen = chosen
        self.notices: list[str] = []
        self.asked: dict[str, Conflict] = {}
        self.tables: dict[str, dict[str, Any]] = {table: {} for table in TABLES}
        self.lone: dict[str, Any] = dict(base.lone)

    def ask(self, conflict: Conflict) -> Choice:
        """What was chosen; until somebody has, what `a` has. Raises `MergeError` for what cannot be chosen."""
        choice = self.chosen.get(conflict.key)
        if choice is not None and choice not in conflict.choices:
            raise MergeError(_("{key}: {choice!r} cannot be chosen.").format(key=conflict.key, choice=choice))
        self.asked[conflict.key] = conflict._replace(chosen=choice)
        return choice or conflict.choices[0]

    def tell(self, told: str) -> None:
        """A sentence on what nobody was asked about, once."""
        if told not in self.notices:
            self.notices.append(told)

    def find(self, table: str, item: str) -> Any:
        """A record of the whole, or `None`."""
        return self.lone.get(item) if table in LONE else self.tables[table].get(item)

    def everything(self) -> Iterator[tuple[str, str, Any]]:
        """`(table, id, record)` of the whole."""
        for table, rows in self.tables.items():
            for item, record in list(rows.items()):
                yield table, item, record
        for name, record in self.lone.items():
            yield name, name, record

    def whole(self) -> Snapshot:
        """The whole so far; only to read, it follows what is done to it."""
        return Snapshot(tables=self.tables, lone=self.lone)

    def title(self, table: str, item: str) -> str:
        """What a person calls a thing, wherever it still is."""
        for snapshot in (self.whole(), self.a, self.b, self.base):
            if table in LONE:
                return title_of(snapshot, table, item)
            record = snapshot.tables[table].get(item)
            if record is not None:
                of = getattr(record, "equipment" if table == "placements" else "run", "")
                if table in ("placements", "routes"):
                    return _("the symbol of {name}").format(name=self._of(of)) if table == "placements" else (
                        _("the line of {name}").format(name=self._of(of))
                    )  # fmt: skip
                return title_of(snapshot, table, item)
        return item

    def _of(self, item: str) -> str:
        return next((t for s in (self.whole(), self.a, self.b, self.base) if (t := speaks_of(s, item)) != item), item)

    def both_in(self, table: str, *items: str) -> bool:
        """Whether one of the three drawings already has all of them."""
        return any(set(items) <= side.tables[table].keys() for side in self.three)
