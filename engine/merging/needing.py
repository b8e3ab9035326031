"""What names a record that is gone: the record comes back, or what names it lets go of it or goes too."""

from __future__ import annotations

import msgspec

from engine.edits.rewriting import rewritten
from engine.installation.model import LONE, TABLES
from engine.installation.references import dangling, names, references
from engine.merging.conflict import Choice, Conflict, MergeError
from engine.merging.ids import SPEAKING
from engine.merging.state import State
from engine.record import Record
from engine.words import _

__all__ = ["come_along", "goes_with", "put_right"]

_ROUNDS = 1000  # each takes a record away or brings one back, which happens once to each, so it ends before
_Key = tuple[str, str]  # table, id


def put_right(state: State) -> None:
    """Ask until nothing of the whole names what is not there."""
    back: set[_Key] = set()
    for _round in range(_ROUNDS):
        broken = _broken(state)
        if not broken:
            return
        for (table, item), users in broken.items():
            _needed(state, table, item, users, back)
    raise MergeError(_("What names one another cannot be brought together."))


def goes_with(record: Record, gone: set[_Key]) -> bool:
    """Whether a record cannot be where what it names is gone."""
    made = rewritten(record, lambda t, i: "" if (t, i) in gone else i)
    return made is None or (made is not record and hasattr(made, "held") and len(made.held) < 2)


def _broken(state: State) -> dict[_Key, list[_Key]]:
    """Records that are missing, or lack a terminal or position, with who names them."""
    found: dict[_Key, list[_Key]] = {}
    for table, item, record in state.everything():
        owner = _spoken_of(state, table, item, record)
        if owner is not None:
            found.setdefault(owner, []).append((table, item))
        if next(iter(dangling(record, "", state.find)), None) is None:
            continue
        missing = [(r.table, r.id) for r in references(record) if state.find(r.table, r.id) is None]
        for owner in dict.fromkeys(missing or _owners(state, record)):
            found.setdefault(owner, []).append((table, item))
    return found


def _spoken_of(state: State, table: str, item: str, record: Record) -> _Key | None:
    """What a deficiency, inspection, reading or remark speaks of, where that is gone and it was not in its drawing."""
    at = next((value for field in SPEAKING if (value := getattr(record, field, ""))), "")
    if not at or table not in TABLES:
        return None
    of = next((t for t in TABLES if any(at in side.tables[t] for side in state.three)), "")
    if not of or state.find(of, at) is not None:
        return None
    for side in (state.a, state.b):
        there = side.tables[table].get(item)
        if there is not None and at not in side.tables[of] and at in (getattr(there, f, "") for f in SPEAKING):
            return None  # one of them had it so
    return of, at


def _owners(state: State, record: Record) -> list[_Key]:
    """Equipment without the terminal or position that a record names."""
    named = [(r.table, r.id) for r in references(record) if r.table == "equipment"]
    short = [key for key in named if _is_short(state, record, key)]
    unlike = [o for o in short or named if state.a.tables[o[0]].get(o[1]) != state.b.tables[o[0]].get(o[1])]
    return (unlike or short or named)[:1]


def _is_short(state: State, record: Record, key: _Key) -> bool:
    """Whether it is that piece which lacks something: with the others as they are none of them says so."""
    there = state.find(*key)
    if there is None:
        return True
    name = there.designation or ""
    return bool(name) and any(name in fault.why for fault in dangling(record, "", state.find))


def _needed(state: State, table: str, item: str, users: list[_Key], back: set[_Key]) -> None:
    base, a, b = (side.tables[table].get(item) for side in state.three)
    there = state.find(table, item)
    key = f"{table}/{item}/needed"
    # who has what the users need: the side that still has it, or has it with the terminal
    keeps: Choice = "a" if a is not None and (b is None or _serves(state, users, table, item, a)) else "b"
    loses: Choice = "b" if keeps == "a" else "a"
    before = state.asked.get(key)
    if (before is not None and before.chosen == loses) or _gone_by_choice(state, table, item):
        _let_go(state, table, item, users, stays=there is not None)
        return
    others = tuple(dict.fromkeys((*(before.others if before is not None else ()), *users)))
    choice = state.ask(Conflict(key, "needed", table, item, "", base, a, b, ("a", "b"), others=others))
    if state.asked[key].chosen is None:
        choice = keeps
    kept = {"a": a, "b": b}[choice]
    if choice == loses or kept is None or kept == there or (table, item) in back:
        _let_go(state, table, item, users, stays=there is not None)
        return
    back.add((table, item))
    state.tables[table][item] = kept
    if there is None:
        come_along(state, table, item)


def _serves(state: State, users: list[_Key], table: str, item: str, candidate: Record) -> bool:
    """Whether with that version nobody misses anything."""

    def find(t: str, i: str) -> Record | None:
        return candidate if (t, i) == (table, item) else state.find(t, i)

    return not any(list(dangling(state.find(t, i), "", find)) for t, i in users if state.find(t, i) is not None)


def _gone_by_choice(state: State, table: str, item: str) -> bool:
    settled = state.asked.get(f"{table}/{item}")
    return settled is not None and settled.chosen is not None and state.find(table, item) is None


def come_along(state: State, table: str, item: str) -> None:
    """What one took away only because it took that record away stays with it: its symbols, its runs and their lines."""
    todo = [(table, item)]
    for of, kept in todo:
        for other, rows in state.base.tables.items():
            for each, record in rows.items():
                if each in state.tables[other] or f"{other}/{each}" in state.asked or not names(record, of, kept):
                    continue
                left = [side.tables[other].get(each) for side in (state.a, state.b)]
                whole = all(state.find(r.table, r.id) is not None for r in references(record))
                if None in left and record in left and whole and not list(dangling(record, "", state.find)):
                    state.tables[other][each] = record
                    todo.append((other, each))
                    if other not in ("placements", "routes"):
                        state.tell(
                            _("{name} stays with {thing}.").format(
                                name=state.title(other, each), thing=state.title(of, kept)
                            )
                        )


def _let_go(state: State, table: str, item: str, users: list[_Key], *, stays: bool) -> None:
    """Those that name what is gone name it no longer; what must name something goes with it, and that is told."""
    thing = state.title(table, item)
    for of, user in users:
        record = state.find(of, user)
        if record is None:
            continue
        made = None if stays else rewritten(record, lambda t, i: "" if (t, i) == (table, item) else i)
        if made is not None and getattr(made, "at", "") == item:
            made = msgspec.structs.replace(made, at=thing)  # says in words of what it speaks
        if made is not None and getattr(made, "points_at", "") == item:
            made = msgspec.structs.replace(made, points_at="")
        name = state.title(of, user)
        if of in LONE:
            if made is not None:
                state.lone[of] = made
        elif made is None:
            del state.tables[of][user]
            state.tell(_("{name} goes with {thing}, which it cannot be without.").format(name=name, thing=thing))
        else:
            state.tables[of][user] = made
            state.tell(_("{name} no longer names {thing}, which is gone.").format(name=name, thing=thing))
