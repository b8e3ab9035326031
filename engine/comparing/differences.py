"""What differs between two drawings: added, removed, changed field by field, over every table and lone record."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal, NamedTuple

from engine.comparing.fields import field_differences, gone
from engine.comparing.likeness import Pair, matched_by_likeness
from engine.installation.model import LONE, TABLES, Snapshot

__all__ = ["DRAWN", "Differences", "FieldChange", "Match", "differences", "ids_hold"]

Match = Literal["auto", "ids", "likeness"]
DRAWN = frozenset({"sheets", "placements", "routes", "remarks"})  # how a drawing looks, not what is aboard
_ENOUGH = 0.5  # share of the smaller drawing whose ids stand for the same kind of thing, to be one drawing


class FieldChange(NamedTuple):
    """A field that differs. `item` is the id in the newer drawing, `was` that in the older, `field` a path.

    `before`, `after`: values as stored, a whole small record where one of a list came or went.
    """

    table: str
    item: str
    was: str
    field: str
    before: Any
    after: Any
    specs: tuple[Any, ...] = ()  # the field's specs from the outermost in, () for what has none (`kind`, `origins`)


class Differences(NamedTuple):
    """`added` are ids of the newer drawing, `removed` of the older, each with its table, in the order of the file."""

    matched: Literal["ids", "likeness"]
    added: tuple[tuple[str, str], ...] = ()
    removed: tuple[tuple[str, str], ...] = ()
    changed: tuple[FieldChange, ...] = ()
    pairs: tuple[Pair, ...] = ()  # by likeness: what was taken for what, and why; () by ids

    def __bool__(self) -> bool:
        """Whether anything differs."""
        return bool(self.added or self.removed or self.changed)

    @property
    def same(self) -> dict[str, str]:
        """Id in the older drawing -> id in the newer of the same thing, where matched by likeness."""
        return {pair.before: pair.after for pair in self.pairs}

    @property
    def only_drawn(self) -> bool:
        """Whether what differs is only how the sheets look."""
        tables = {t for t, _i in (*self.added, *self.removed)} | {change.table for change in self.changed}
        return bool(tables) and tables <= DRAWN


def differences(before: Snapshot, after: Snapshot, match: Match = "auto") -> Differences:
    """Compare two drawings. `match`: by ids, by likeness, or as `ids_hold` tells."""
    if match == "ids" or (match == "auto" and ids_hold(before, after)):
        return _compared(before, after, "ids", (), {})
    pairs = matched_by_likeness(before, after)
    same = {item: gone(item) for table in before.tables.values() for item in table}
    return _compared(before, after, "likeness", pairs, same | {pair.before: pair.after for pair in pairs})


def ids_hold(before: Snapshot, after: Snapshot) -> bool:
    """Whether ids stand for the same things in both: one drawing at two times, not two drawings of one boat.

    Of equipment under an id that both have, kind and designation (else what it is for) must be the same for more than
    half of the smaller drawing.
    """
    if not before.equipment or not after.equipment:
        return True
    alike = 0
    for item, was in before.equipment.items():
        now = after.equipment.get(item)
        if now is not None and (was is now or (type(was) is type(now) and _called(was) == _called(now))):
            alike += 1
    return alike > _ENOUGH * min(len(before.equipment), len(after.equipment))


def _called(record: Any) -> str:
    return str(record.designation or record.label)


def _compared(
    before: Snapshot,
    after: Snapshot,
    matched: Literal["ids", "likeness"],
    pairs: tuple[Pair, ...],
    same: Mapping[str, str],
) -> Differences:
    added: list[tuple[str, str]] = []
    removed: list[tuple[str, str]] = []
    changed: list[FieldChange] = []
    back = {new: old for old, new in same.items()}
    by_ids = matched == "ids"
    for table in TABLES:
        then, now = before.tables.get(table, {}), after.tables.get(table, {})
        if then is now:
            continue
        for item, record in now.items():
            was_id = item if by_ids else back.get(item, "")
            was = then.get(was_id)
            if was is None:
                added.append((table, item))
            elif was is not record and (same or was != record):
                changed.extend(
                    FieldChange(table, item, was_id, d.path, d.before, d.after, d.specs)
                    for d in field_differences(was, record, same)
                )
        for item in then:
            if (item if by_ids else same.get(item, "")) not in now:
                removed.append((table, item))
    for name in LONE:
        changed.extend(
            FieldChange(name, name, name, d.path, d.before, d.after, d.specs)
            for d in field_differences(before.lone[name], after.lone[name], same)
        )
    return Differences(matched, tuple(added), tuple(removed), tuple(changed), pairs)
