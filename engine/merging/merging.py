"""Two drawings made from one brought together: the whole of it, by id.

New records that got the same id in both are two things: those of `b` get new ids, and all of `b` that names them
follows. What both added alike (the same record, a photograph of the same file) is one. What one removed and the other
left alone goes; what the other changed, or needs anew, is asked.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from engine.edits.draft import Draft, highest_id
from engine.edits.edit import Put, Several
from engine.installation.model import LONE, TABLES, Snapshot
from engine.installation.records import Revision, Route
from engine.installation.surveying import Photograph
from engine.merging.clashing import settle
from engine.merging.conflict import Choice, Conflict, MergeError
from engine.merging.ids import apart, descent
from engine.merging.needing import come_along, goes_with, put_right
from engine.merging.state import State
from engine.merging.values import merged_record
from engine.record import FieldSpec
from engine.words import _

__all__ = ["Merged", "edit_to", "merge"]


class Merged(NamedTuple):
    """What came of it. `snapshot` is whole only where nothing is `open`: until then what is asked stands as one has it.

    `notices`: sentences on what was decided without a person. `renamed`: id in `b` -> id it has now.
    `b`: that drawing with these ids, in which a conflict can be looked up.
    """

    snapshot: Snapshot
    last_id: int
    open: tuple[Conflict, ...]
    settled: tuple[Conflict, ...]
    notices: tuple[str, ...]
    renamed: dict[str, str]
    b: Snapshot


def merge(
    base: Snapshot,
    a: Snapshot,
    b: Snapshot,
    chosen: Mapping[str, Choice] | None = None,
    last_id: int = 0,
    *,
    strict: bool = True,
) -> Merged:
    """Bring `a` and `b` together, both made from `base`. `chosen`: key of a conflict -> whose is taken.

    `last_id`: the highest number that any of them ever gave an id, 0 where only those that are there count. Not
    `strict`: what is chosen of a conflict that is none, since another was decided, has no effect. Raises `MergeError`
    where one of them was not made from `base`, or something was chosen that cannot be.
    """
    told = [*descent(base, a, _("the first drawing")), *descent(base, b, _("the second drawing"))]
    own = apart(base, a, b, max(last_id, *(highest_id(each) for each in (base, a, b))))
    state = State(base, a, own.b, chosen or {})
    state.notices.extend((*told, *own.notices))
    for table in TABLES:
        state.tables[table] = _table(state, table)
    for name in LONE:
        state.lone[name] = _fields(state, name, name, *(side.lone[name] for side in state.three))
    for conflict in list(state.asked.values()):
        if conflict.sort == "removed" and conflict.chosen and state.find(conflict.table, conflict.item) is not None:
            come_along(state, conflict.table, conflict.item)
    put_right(state)
    settle(state)
    unknown = state.chosen.keys() - state.asked.keys()
    if unknown and strict:
        raise MergeError(_("There is no conflict {key!r}.").format(key=min(unknown)))
    every = state.asked.values()
    return Merged(
        Snapshot(tables={t: _sorted(rows) for t, rows in state.tables.items()}, lone=state.lone),
        own.last_id,
        tuple(c for c in every if c.chosen is None),
        tuple(c for c in every if c.chosen is not None),
        tuple(state.notices),
        own.renamed,
        own.b,
    )


def _table(state: State, table: str) -> dict[str, Any]:
    first, mine, theirs = (side.tables[table] for side in state.three)
    made: dict[str, Any] = {}
    for item in dict.fromkeys((*first, *mine, *theirs)):
        record = _record(state, table, item, first.get(item), mine.get(item), theirs.get(item))
        if record is not None:
            made[item] = record
    return made


def _record(state: State, table: str, item: str, base: Any, a: Any, b: Any) -> Any:
    if a is b or b is base:
        return a
    if a is base or a == b:
        return b if a is base else a
    if b == base:
        return a
    if a == base:
        return b
    if a is None or b is None:  # one took away what the other changed
        return _removed(state, table, item, base, a, b)
    if isinstance(a, Route) and not (a.by_hand and b.by_hand):
        return b if b.by_hand else a  # what is worked out is worked out anew where it does not fit
    if isinstance(a, Revision) and (a.issued or b.issued):
        return _issued(state, item, base, a, b)
    if base is None and isinstance(a, Photograph):
        base = Photograph(sha256=a.sha256)  # of one file, taken in by both
    if base is None or not (type(base) is type(a) is type(b)):
        choice = state.ask(Conflict(f"{table}/{item}/kind", "kind", table, item, "", base, a, b))
        return {"a": a, "b": b, "base": base if base is not None else a}[choice]
    return _fields(state, table, item, base, a, b)


def _issued(state: State, item: str, base: Any, a: Revision, b: Any) -> Any:
    """A revision that was issued is taken whole: who issued it, when, and its copy belong together."""
    if a.issued and b.issued:
        key = f"revisions/{item}/issued"
        choice = state.ask(Conflict(key, "revision", "revisions", item, "", base, a, b, ("a", "b")))
        return a if choice == "a" else b
    told = _("Revision {index} stands as it was issued; what the other drawing had changed in it is left out.")
    state.tell(told.format(index=(a if a.issued else b).index or "?"))
    return a if a.issued else b


def _removed(state: State, table: str, item: str, base: Any, a: Any, b: Any) -> Any:
    left = b if a is None else a
    side = state.a if a is None else state.b
    if isinstance(left, Route) and (left.run not in side.runs or left.sheet not in side.sheets):
        if left.by_hand:
            state.tell(
                _("{name} goes with {thing}, which it cannot be without.").format(
                    name=state.title(table, item), thing=_("its run or sheet")
                )
            )
        return None
    gone = {(t, i) for t, rows in state.base.tables.items() if t in _OWNERS for i in rows if i not in side.tables[t]}
    if goes_with(left, gone):
        return left  # it went because of something else: that is asked, not this
    choice = state.ask(Conflict(f"{table}/{item}", "removed", table, item, "", base, a, b))
    return {"a": a, "b": b, "base": base}[choice]


_OWNERS = ("equipment", "sheets", "runs")  # what takes others with it


def _fields(state: State, table: str, item: str, base: Any, a: Any, b: Any) -> Any:
    if a == b or b == base:
        return a
    if a == base:
        return b

    def ask(path: str, specs: tuple[FieldSpec, ...], first: Any, mine: Any, theirs: Any) -> Choice:
        key = f"{table}/{item}/{path}"
        return state.ask(Conflict(key, "field", table, item, path, first, mine, theirs, specs=specs))

    return merged_record(base, a, b, ask)


def _sorted(rows: dict[str, Any]) -> dict[str, Any]:
    return dict(sorted(rows.items(), key=lambda row: (int(row[0][1:]) if row[0][1:].isdecimal() else 0, row[0])))


def edit_to(now: Snapshot, wanted: Snapshot, last_id: int, words: str) -> Several:
    """The one edit that makes `now` into `wanted`."""
    draft = Draft(now, last_id)
    for table in TABLES:
        mine, theirs = now.tables[table], wanted.tables[table]
        for item in dict.fromkeys((*mine, *theirs)):
            if mine.get(item) != theirs.get(item):
                draft.put(table, item, theirs.get(item))
    made = draft.done(words)
    lone = tuple(Put(n, n, wanted.lone[n]) for n in LONE if now.lone[n] != wanted.lone[n])
    return Several((*made.edits, *lone), words)
