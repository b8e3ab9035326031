"""What must hold of the whole though each drawing by itself is right: one name, number, symbol for one thing."""

from __future__ import annotations

import msgspec

from engine.deficiencies import next_number
from engine.edits.designations import letters_of, next_designation
from engine.equipment.distribution.open_end import OpenEnd
from engine.installation.model import Snapshot
from engine.installation.records import End, Placement, Route, Run
from engine.installation.references import names
from engine.merging.conflict import Conflict, Sort
from engine.merging.state import State
from engine.words import _, ngettext

__all__ = ["settle"]

_Key = tuple[str, str]  # table, id


def settle(state: State) -> None:
    """Ask where both gave one name, symbol or revision index; count on where both gave one number."""
    _designations(state)
    _drawn_twice(state)
    _revisions(state)
    _sheet_numbers(state)
    _deficiency_numbers(state)
    _interlocks(state)
    _idle_ends(state)
    _lines(state)


# -- designations -----------------------------------------------------------------------------------------------------
def _designations(state: State) -> None:
    """One name for two things, where neither drawing had it so: the other's gets the next free one."""
    for called in _twice(state.whole()):
        order = sorted(called, key=lambda n: (not _bears(state.a, n, called[0], state), n))
        for n, second in enumerate(order[1:], start=1):
            for first in order[:n]:
                one, other = state.find(*first), state.find(*second)
                alike = one.designation.casefold() == other.designation.casefold()
                if alike and not any(_twice_in(side, [first, second]) for side in state.three):
                    _one_name(state, first, second)


def _one_name(state: State, first: _Key, second: _Key) -> None:
    table, item = second
    key = f"{table}/{item}/called"  # another question than what its field is
    before = state.asked.get(key)
    others = (*(before.others if before is not None else ()), first)
    mine, theirs = state.find(*first), state.find(*second)
    choice = state.ask(
        Conflict(key, "designation", table, item, "designation", None, mine, theirs, ("a", "b"), others=others)
    )
    loser = second if choice == "a" else first
    kept = state.find(*loser)
    free = next_designation(state.whole(), letters_of(kept.designation) or "X")
    state.tables[loser[0]][loser[1]] = msgspec.structs.replace(kept, designation=free)
    _waivers_follow(state, loser, kept.designation, free, state.b if choice == "a" else state.a)
    if state.asked[key].chosen is not None:
        told = _("{name} is called {free}: both drawings had given the name {name}.")
        state.tell(told.format(name=kept.designation, free=free))


def _twice(snapshot: Snapshot) -> list[list[_Key]]:
    named: dict[str, list[_Key]] = {}
    for table in ("equipment", "runs"):
        for item, record in snapshot.tables[table].items():
            if record.designation:
                named.setdefault(record.designation.casefold(), []).append((table, item))
    return [names for names in named.values() if len(names) > 1]


def _twice_in(side: Snapshot, names: list[_Key]) -> bool:
    there = [side.tables[t].get(i) for t, i in names]
    called = [r.designation.casefold() for r in there if r is not None]
    return len(called) != len(set(called))


def _bears(side: Snapshot, key: _Key, one: _Key, state: State) -> bool:
    """Whether it is in that drawing that the thing bears the name."""
    there = side.tables[key[0]].get(key[1])
    name = state.find(*one).designation
    return there is not None and there.designation.casefold() == name.casefold()


def _waivers_follow(state: State, loser: _Key, was: str, free: str, side: Snapshot) -> None:
    """A waiver of what is called otherwise now must not come to speak of the other."""
    first = state.base.tables[loser[0]].get(loser[1])
    bore = first is not None and first.designation == was
    for item, waiver in list(state.tables["waivers"].items()):
        own = item in side.waivers and item not in state.base.waivers
        if was in waiver.designations and (own or (bore and item in state.base.waivers)):
            named = tuple(free if each == was else each for each in waiver.designations)
            state.tables["waivers"][item] = msgspec.structs.replace(waiver, designations=named)


# -- symbols and revisions --------------------------------------------------------------------------------------------
def _shown(snapshot: Snapshot, item: str) -> frozenset[str]:
    """Terminals that a placement shows."""
    placement: Placement | None = snapshot.placements.get(item)
    owner = None if placement is None else snapshot.equipment.get(placement.equipment)
    if placement is None or owner is None:
        return frozenset()
    return frozenset(placement.terminals or [t.name for t in owner.terminals()] or [""])


def _drawn_twice(state: State) -> None:
    """A terminal that two symbols show: both had put the same thing on a sheet."""
    of: dict[str, list[str]] = {}
    for item, placement in state.tables["placements"].items():
        of.setdefault(placement.equipment, []).append(item)
    whole = state.whole()
    for several in of.values():
        for n, second in enumerate(several[1:], start=1):
            for first in several[:n]:
                both = _shown(whole, first) & _shown(whole, second)
                if both and not any(_shown(side, first) & _shown(side, second) for side in state.three):
                    _one_symbol(state, first, second, both)


def _one_symbol(state: State, first: str, second: str, both: frozenset[str]) -> None:
    mine, theirs = (first, second) if both <= _shown(state.a, first) else (second, first)
    rows = state.tables["placements"]
    conflict = Conflict(
        f"placements/{theirs}/twice", "drawn twice", "placements", theirs, "", None, rows[mine], rows[theirs],
        ("a", "b"), others=(("placements", mine),),
    )  # fmt: skip
    loser = theirs if state.ask(conflict) == "a" else mine
    # what only the loser shows it goes on showing
    left = tuple(t for t in sorted(_shown(state.whole(), loser) - both) if t)
    if left:
        rows[loser] = msgspec.structs.replace(rows[loser], terminals=left)
    else:
        del rows[loser]


def _one_of(state: State, table: str, first: str, second: str, sort: Sort) -> None:
    mine, theirs = (first, second) if first in state.a.tables[table] else (second, first)
    rows = state.tables[table]
    conflict = Conflict(
        f"{table}/{theirs}/twice", sort, table, theirs, "", None, rows[mine], rows[theirs], ("a", "b"),
        others=((table, mine),),
    )  # fmt: skip
    rows.pop(theirs if state.ask(conflict) == "a" else mine)


def _revisions(state: State) -> None:
    """Two issues of one index."""
    seen: dict[str, str] = {}
    for item, record in list(state.tables["revisions"].items()):
        other = seen.setdefault(record.index.strip().casefold(), item)
        if other != item and other in state.tables["revisions"] and not state.both_in("revisions", other, item):
            _one_of(state, "revisions", other, item, "revision")


# -- numbers ----------------------------------------------------------------------------------------------------------
def _sheet_numbers(state: State) -> None:
    """Two sheets of one number: the one of `b` goes behind the last."""
    seen: dict[int, str] = {}
    rows = state.tables["sheets"]
    for item, sheet in list(rows.items()):
        other = seen.setdefault(sheet.number, item)
        if other == item or any(_one_number(side, other, item) for side in state.three):
            continue
        moved = item if item not in state.a.sheets else other
        number = max(s.number for s in rows.values()) + 1
        told = _("{sheet} of the second drawing is sheet {number} now.")
        state.tell(told.format(sheet=state.title("sheets", moved), number=number))
        rows[moved] = msgspec.structs.replace(rows[moved], number=number)
        seen[number] = moved


def _one_number(side: Snapshot, first: str, second: str) -> bool:
    both = [side.sheets.get(item) for item in (first, second)]
    return both[0] is not None and both[1] is not None and both[0].number == both[1].number


def _deficiency_numbers(state: State) -> None:
    """Two surveyors gave one number: the deficiency of `b` gets the next; no number stands in two squares."""
    seen: dict[int, str] = {}
    rows = state.tables["deficiencies"]
    for item in sorted(rows, key=lambda i: (i not in state.a.deficiencies, i)):
        number = rows[item].number
        if number is None or seen.setdefault(number, item) == item:
            continue
        if state.both_in("deficiencies", seen[number], item):
            continue
        free = next_number(state.whole())
        told = _("Deficiency {n} of the second drawing is number {free} now.")
        state.tell(told.format(n=number, free=free))
        rows[item] = msgspec.structs.replace(rows[item], number=free)
        seen[free] = item


# -- what is left over ------------------------------------------------------------------------------------------------
def _interlocks(state: State) -> None:
    """Of an interlock each took another device out of: one that holds a single device holds nothing."""
    for item, record in list(state.tables["interlocks"].items()):
        sides = [side.interlocks[item] for side in state.three if item in side.interlocks]
        if len(record.held) < 2 and all(len(side.held) >= 2 for side in sides):
            name = state.title("interlocks", item)
            del state.tables["interlocks"][item]
            state.tell(_("Interlock {name} goes: of its devices fewer than two are left.").format(name=name))


def _idle_ends(state: State) -> None:
    """Open ends whose run went with the other's change."""
    used = {e.equipment for run in state.tables["runs"].values() for e in (run.from_end, run.to_end)}
    for item, record in list(state.tables["equipment"].items()):
        if not isinstance(record, OpenEnd) or item in used:
            continue
        sides = [side for side in state.three if item in side.equipment]
        if all(any(item in (r.from_end.equipment, r.to_end.equipment) for r in s.runs.values()) for s in sides):
            name = state.title("equipment", item)
            users = _users(state, item)
            if any(table != "placements" for table, _user in users):
                continue
            for _table, placement in users:
                del state.tables["placements"][placement]
            del state.tables["equipment"][item]
            state.tell(_("Open end {name} goes: no run arrives at it any more.").format(name=name))


def _users(state: State, item: str) -> list[_Key]:
    return [
        (t, i)
        for t, i, r in state.everything()
        if names(r, "equipment", item) or item in (getattr(r, "at", ""), getattr(r, "points_at", ""))
    ]


def _lines(state: State) -> None:
    """Lines that no longer fit, because the other drawing moved what they join: they are worked out anew.

    One set by hand stays, as it does where a person moves what it joins.
    """
    whole, sides = _stances(state.whole()), [(side, _stances(side)) for side in state.three]
    anew = 0
    kept: dict[_Key, str] = {}
    for item, route in sorted(state.tables["routes"].items(), key=lambda r: (r[0] not in state.a.routes, r[0])):
        one = kept.setdefault((route.run, route.sheet), item)
        if one != item and not state.both_in("routes", one, item):
            kept_route: Route = state.tables["routes"][one]
            if route.by_hand and not kept_route.by_hand:
                kept[route.run, route.sheet], item = item, one  # what a person drew goes before what was worked out
            elif route.by_hand:
                told = _("{name} is drawn as the first drawing has it; the second had led it another way.")
                state.tell(told.format(name=state.title("runs", route.run)))
            del state.tables["routes"][item]
            anew += 1
            continue
        if route.by_hand:
            continue
        run: Run = state.tables["runs"][route.run]
        if not any(_fits(side, stances, whole, item, route, run) for side, stances in sides):
            del state.tables["routes"][item]
            anew += 1
    if anew:
        state.tell(ngettext("{n} line is led anew.", "{n} lines are led anew.", anew).format(n=anew))


_Stances = dict[_Key, list[tuple[str, Placement]]]  # equipment, sheet -> its symbols there


def _stances(snapshot: Snapshot) -> _Stances:
    found: _Stances = {}
    for item, placement in snapshot.placements.items():
        found.setdefault((placement.equipment, placement.sheet), []).append((item, placement))
    return found


def _fits(side: Snapshot, stances: _Stances, whole: _Stances, item: str, route: Route, run: Run) -> bool:
    """Whether a drawing has that line, with its ends as they stand in the whole."""
    own = side.runs.get(route.run)
    if side.routes.get(item) != route or own is None:
        return False
    return all(
        (end.equipment, end.terminal) == (there.equipment, there.terminal)
        and _seen(stances, end, route.sheet) == _seen(whole, end, route.sheet)
        for end, there in ((run.from_end, own.from_end), (run.to_end, own.to_end))
    )


def _seen(stances: _Stances, end: End, sheet: str) -> dict[str, Placement]:
    """The symbols of an end on a sheet, wherever their own labels stand."""
    found = stances.get((end.equipment, sheet), ())
    return {item: msgspec.structs.replace(p, label=None) if p.label else p for item, p in found}
