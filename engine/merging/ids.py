"""Whether drawings come from one another, and other ids for what two people added under the same.

What both added alike is one thing, a photograph of the same file too. Equipment and sheets that read alike are two all
the same where each drawing uses them for something else: both people have placed a fuse that nobody has said more of.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import msgspec

from engine.edits.rewriting import rewritten
from engine.installation.model import TABLES, Snapshot
from engine.installation.references import references
from engine.merging.conflict import MergeError
from engine.naming import title_of
from engine.words import _

__all__ = ["SPEAKING", "Apart", "apart", "descent"]

SPEAKING = ("at", "points_at")  # fields that hold an id of several tables
_USED = ("equipment", "sheets")  # tables in which two things may read alike
_ENOUGH = 0.5  # share of what both have under one id that must be the same thing
_NEARLY = 0.8  # share of it that must be of one kind, whatever it is called and however it is wired
_MOST_TOLD = 5


class Apart(NamedTuple):
    """`b` with other ids where `a` gave them to another thing. `renamed`: id in `b` -> id it has now."""

    b: Snapshot
    renamed: dict[str, str]
    last_id: int
    notices: tuple[str, ...]


def descent(base: Snapshot, other: Snapshot, which: str) -> tuple[str, ...]:
    """What is odd of a drawing that is to come from `base`, in sentences; `which`: what it is called in them.

    Equipment under one id in both must be of one kind and name, or runs must join the same terminals, for more than
    half of them, or nearly all be of one kind: a renumbering leaves the runs, a rewiring the names, both the kinds.
    Raises `MergeError` where none is so.
    """
    shared = [(base.equipment[i], r, i) for i, r in other.equipment.items() if i in base.equipment]
    alike = sum(type(was) is type(now) and _called(was) == _called(now) for was, now, _item in shared)
    led = [(base.runs[i], r) for i, r in other.runs.items() if i in base.runs]
    same = sum(_ends(was) == _ends(now) for was, now in led)
    kinds = sum(type(was) is type(now) for was, now, _item in shared)
    if kinds < _NEARLY * len(shared) and alike <= _ENOUGH * len(shared) and same <= _ENOUGH * len(led):
        raise MergeError(
            _("The drawings do not come from one another: an id stands for another thing in each. Compare them.")
        )
    if base.equipment and other.equipment and not shared:
        return (_("{which} has nothing left of the equipment that the base has.").format(which=which),)
    odd = [item for was, now, item in shared if type(was) is not type(now) and _called(was) != _called(now)]
    told = _("{name} stands for another thing in {which} than in the base: there it is {was}.")
    return tuple(
        told.format(name=title_of(other, "equipment", i), which=which, was=title_of(base, "equipment", i))
        for i in odd[:_MOST_TOLD]
    )


def _called(record: Any) -> str:
    return str(record.designation or record.label)


def _ends(run: Any) -> frozenset[tuple[str, str]]:
    return frozenset((end.equipment, end.terminal) for end in (run.from_end, run.to_end))


def apart(base: Snapshot, a: Snapshot, b: Snapshot, last_id: int) -> Apart:
    """Give what `b` added other ids where it needs them; all of `b` that names them follows."""
    photographs = {r.sha256: i for i, r in a.photographs.items() if i not in base.photographs}
    renamed: dict[tuple[str, str], str] = {}
    clash: set[tuple[str, str]] = set()  # new in both under one id
    alike: set[tuple[str, str]] = set()
    for table in TABLES:
        first, mine = base.tables[table], a.tables[table]
        for item, record in b.tables[table].items():
            if item in first:
                continue
            if table == "photographs" and record.sha256 in photographs:
                renamed[table, item] = photographs[record.sha256]
            elif item in mine:
                clash.add((table, item))
                if mine[item] == record:
                    alike.add((table, item))
    _settle(base, a, b, clash, alike)
    for table, item in sorted(clash - alike, key=_in_order):
        last_id += 1
        renamed[table, item] = f"{TABLES[table][1]}{last_id}"
    told = _("{name} was added alike by both; it is there once.")
    notices = tuple(
        told.format(name=title_of(b, table, item))
        for table, item in sorted(alike, key=_in_order)
        if table not in ("placements", "routes")
    )
    renamed = {key: new for key, new in renamed.items() if key[1] != new}
    if not renamed:
        return Apart(b, {}, last_id, notices)
    return Apart(_renamed(b, renamed), {item: new for (_t, item), new in renamed.items()}, last_id, notices)


def _in_order(key: tuple[str, str]) -> tuple[int, int, str]:
    table, item = key
    return list(TABLES).index(table), int(item[1:]) if item[1:].isdecimal() else 0, item


def _settle(base: Snapshot, a: Snapshot, b: Snapshot, clash: set[tuple[str, str]], alike: set[tuple[str, str]]) -> None:
    """Take out of `alike` what names or is used by what is not, until nothing changes."""
    by_id = {item: (table, item) for table, item in clash}
    named = {key: {n for n in _names(b.tables[key[0]][key[1]], by_id) if n in clash} for key in alike}
    users = [_users(base, side, clash) for side in (a, b)]
    while True:
        out = {key for key in alike if not named[key] <= alike}
        for key in alike - out:
            if key[0] in _USED:
                mine, theirs = users[0].get(key, set()), users[1].get(key, set())
                shared = {u for u in mine & theirs if u in alike or (u not in clash and _same(a, b, u))}
                if not shared and mine - alike and theirs - alike:
                    out.add(key)
        if not out:
            return
        alike -= out


def _same(a: Snapshot, b: Snapshot, key: tuple[str, str]) -> bool:
    return bool(a.tables[key[0]].get(key[1]) == b.tables[key[0]].get(key[1]))


def _users(base: Snapshot, side: Snapshot, clash: set[tuple[str, str]]) -> dict[tuple[str, str], set[tuple[str, str]]]:
    """Who names what is new under an id that both gave."""
    by_id = {item: (table, item) for table, item in clash}
    found: dict[tuple[str, str], set[tuple[str, str]]] = {}
    if clash:
        for table, rows in side.tables.items():
            for item, record in rows.items():
                if base.tables[table].get(item) is record:
                    continue
                for name in _names(record, by_id):
                    found.setdefault(name, set()).add((table, item))
    return found


def _names(record: Any, by_id: dict[str, tuple[str, str]]) -> Iterator[tuple[str, str]]:
    for reference in references(record):
        yield reference.table, reference.id
    for field in SPEAKING:
        at = getattr(record, field, "")
        if isinstance(at, str) and at in by_id:
            yield by_id[at]


def _renamed(b: Snapshot, renamed: dict[tuple[str, str], str]) -> Snapshot:
    # a name of `b` that now leads to another record of `b` must not be renamed twice: all at once
    by_id = {item: new for (_table, item), new in renamed.items()}

    def rename(table: str, item: str) -> str:
        return renamed.get((table, item), item)

    tables: dict[str, dict[str, Any]] = {}
    for table, rows in b.tables.items():
        made = {}
        for item, record in rows.items():
            changed = rewritten(record, rename)
            for field in SPEAKING:
                at = getattr(changed, field, "")
                if isinstance(at, str) and at in by_id:
                    changed = msgspec.structs.replace(changed, **{field: by_id[at]})
            made[rename(table, item)] = changed
        tables[table] = made
    return Snapshot(tables=tables, lone={name: rewritten(r, rename) for name, r in b.lone.items()})
