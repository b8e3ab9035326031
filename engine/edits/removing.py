"""Taking things off the drawing, so that nothing is left that names them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Literal, NamedTuple

import msgspec

from engine.edits.designations import next_designation
from engine.edits.draft import Draft
from engine.edits.edit import EditError, Several
from engine.edits.rewriting import rewritten
from engine.equipment.distribution.open_end import OpenEnd
from engine.installation.model import TABLES, Snapshot
from engine.installation.records import End, Placement
from engine.naming import called_remark
from engine.words import _, ngettext

__all__ = ["Loose", "Where", "drop", "drop_symbol", "drop_unused_ends", "end_loose", "named", "remove"]


_SPEAKING = ("deficiencies", "inspections", "readings")  # they say of what they speak in words once it is gone


class Loose(NamedTuple):
    """Where an end of a run that has lost its equipment stands on a sheet."""

    sheet: str
    x: int
    y: int
    rotation: Literal[0, 90, 180, 270] = 0


# (run, "from" or "to") -> where that end is drawn, `None` where it is on no sheet
Where = Callable[[str, str], Loose | None]


def remove(
    snapshot: Snapshot,
    last_id: int,
    items: Iterable[str],
    *,
    with_runs: bool = False,
    where: Where | None = None,
) -> Several:
    """Take equipment, runs or placements (by id; any other table's too) away.

    A run that arrived at what goes ends loose there, unless `with_runs`, or its other equipment goes too. A placement
    takes its equipment with it where that has no other. `where` tells where a terminal is drawn, which the engine does
    not know (`app.drawing.changes.remove` does); without it a loose end stands where the symbol stood.

    Raises `EditError` where there is nothing of that id.
    """
    wanted = list(dict.fromkeys(items))
    draft = Draft(snapshot, last_id)
    table_of = {item: _table(snapshot, item) for item in wanted}
    going = {item for item in wanted if table_of[item] in ("equipment", "runs")}
    symbols = [item for item in wanted if table_of[item] == "placements"]
    of: dict[str, list[str]] = {}
    for item, placement in snapshot.placements.items():
        of.setdefault(placement.equipment, []).append(item)
    for item in symbols:
        equipment = snapshot.placements[item].equipment
        if set(of[equipment]) <= set(symbols):
            going.add(equipment)
    kept_symbols = [item for item in symbols if snapshot.placements[item].equipment not in going]
    equipment_going = {item for item in going if item in snapshot.equipment}

    ends_loose: list[tuple[str, str]] = []
    for item, run in snapshot.runs.items():
        lost = [name for name, end in _ends(run) if end.equipment in equipment_going]
        if lost and item not in going:
            if with_runs or len(lost) == 2:
                going.add(item)
            else:
                ends_loose.append((item, lost[0]))
    for item in kept_symbols:
        drop_symbol(draft, item)
    places = where or _at_symbols(snapshot)
    for item, name in ends_loose:
        end_loose(draft, item, name, places(item, name))
    rest = {item for item in wanted if table_of[item] not in ("equipment", "runs", "placements")}
    told = drop(draft, [*(i for i in going if i in snapshot.runs), *equipment_going, *rest])
    drop_unused_ends(draft, {end.equipment for run in snapshot.runs.values() for _n, end in _ends(run)})
    return draft.done(_words(snapshot, wanted, kept_symbols, going - set(wanted), told))


def _words(snapshot: Snapshot, wanted: list[str], symbols: list[str], more: set[str], locks: list[str]) -> str:
    ids = [snapshot.placements[i].equipment if i in snapshot.placements else i for i in wanted]
    if symbols and len(symbols) == len(wanted):
        text = _("Remove a symbol of {names}").format(names=named(snapshot, ids))
    else:
        text = _("Remove {names}").format(names=named(snapshot, ids))
    runs = [i for i in more if i in snapshot.runs]
    if runs:
        count = len(runs)
        text += ngettext(" with {count} run", " with {count} runs", count).format(count=count)
    for lock in locks:
        name = snapshot.interlocks[lock].name
        text += _("; interlock “{name}” goes too").format(name=name) if name else _("; an interlock goes too")
    return text


def named(snapshot: Snapshot, items: Iterable[str]) -> str:
    """*F3*, *F3 and 2 more*: for the list of what can be undone."""
    every = list(dict.fromkeys(items))
    if not every:
        return _("nothing")
    first = _called(snapshot, every[0])
    more = len(every) - 1
    return first if not more else _("{first} and {more} more").format(first=first, more=more)


def _called(snapshot: Snapshot, item: str) -> str:
    if item in snapshot.sheets:
        return _("sheet {number}").format(number=snapshot.sheets[item].number)
    if item in snapshot.tables["remarks"]:
        return called_remark(snapshot.remarks[item].text)
    name = snapshot.name(item)
    if name == item and item in snapshot.equipment:
        return _(snapshot.equipment[item].NAME)
    if name == item and item in snapshot.runs:
        return _("a run")
    return name


def _table(snapshot: Snapshot, item: str) -> str:
    found = next((table for table in TABLES if item in snapshot.tables[table]), None)
    if found is None:
        raise EditError(_("There is nothing {id!r} on the drawing to remove.").format(id=item))
    return found


def _ends(run: object) -> tuple[tuple[str, End], tuple[str, End]]:
    return ("from", run.from_end), ("to", run.to_end)  # type: ignore[attr-defined]  # a Run


def _at_symbols(snapshot: Snapshot) -> Where:
    """Where the symbol of the equipment stands, for an engine that knows no symbol."""

    def where(run: str, name: str) -> Loose | None:
        end = dict(_ends(snapshot.runs[run]))[name]
        routed = {route.sheet for route in snapshot.routes.values() if route.run == run}
        found = [p for p in snapshot.placements.values() if p.equipment == end.equipment]
        found = [p for p in found if not p.terminals or end.terminal in p.terminals] or found
        found.sort(key=lambda p: p.sheet not in routed)
        return Loose(found[0].sheet, found[0].x, found[0].y) if found else None

    return where


def end_loose(draft: Draft, run: str, name: str, at: Loose | None) -> None:
    """Put an open end in the place of what a run arrived at. What was recorded of the terminal goes with it."""
    item = draft.add("equipment", OpenEnd(designation=next_designation(draft.snapshot(), OpenEnd.LETTERS[0])))
    if at is not None:
        draft.add("placements", Placement(equipment=item, sheet=at.sheet, x=at.x, y=at.y, rotation=at.rotation))
    field = f"{name}_end"
    old: End = getattr(draft.get("runs", run), field)
    new = msgspec.structs.replace(
        old, equipment=item, terminal="at", stud="", stud_number=None, torque_nm=None
    )  # the lug and the marker are the cable's
    draft.change("runs", run, **{field: new})


def drop(draft: Draft, items: Iterable[str]) -> list[str]:
    """Take records away, and put right whatever names them; returns the ids of interlocks that go with them.

    No run may arrive any more at equipment that goes, save those that go as well. A deficiency, an inspection or a
    reading of what goes keeps its designation.
    """
    gone: dict[tuple[str, str], str] = {}  # -> what people called it
    for item in items:
        table = next((t for t in TABLES if item in draft.table(t)), None)
        if table is not None:
            gone[table, item] = draft.first.name(item)
    locks: list[str] = []
    todo = list(gone)
    while todo:
        for table, item in todo:
            draft.put(table, item, None)
        ids = {(t, i) for t, i in todo}
        todo = []
        for table in TABLES:
            for item, record in list(draft.table(table).items()):
                made = rewritten(record, lambda t, i, ids=ids: "" if (t, i) in ids else i)  # type: ignore[misc]
                if table in _SPEAKING and any(record.at == i for _t, i in ids):
                    made = msgspec.structs.replace(record, at=draft.first.name(record.at))
                if table == "remarks" and made is not None and any(record.points_at == i for _t, i in ids):
                    made = msgspec.structs.replace(made, points_at="")
                if table == "interlocks" and made is not record and len(made.held) < 2:
                    locks.append(item)
                    made = None
                if made is None:
                    todo.append((table, item))
                elif made is not record:
                    draft.put(table, item, made)
    return locks


def drop_symbol(draft: Draft, item: str) -> None:
    """Take one of several symbols of a piece away; the first of the others shows its terminals from now on.

    Routes of runs that were drawn to it go: they lead elsewhere now.
    """
    placement: Placement = draft.get("placements", item)
    draft.put("placements", item, None)
    others = [(i, p) for i, p in draft.table("placements").items() if p.equipment == placement.equipment]
    record = draft.get("equipment", placement.equipment)
    every = [t.name for t in record.terminals()]
    shown = {t for _i, p in others for t in (p.terminals or every)}
    lost = [t for t in (placement.terminals or every) if t not in shown]
    if others and lost:
        first, kept = others[0]
        now = tuple(t for t in every if t in kept.terminals or t in lost)
        draft.change("placements", first, terminals=() if len(others) == 1 and len(now) == len(every) else now)
    near = {
        run
        for run, r in draft.table("runs").items()
        if any(
            e.equipment == placement.equipment and (not placement.terminals or e.terminal in placement.terminals)
            for e in (r.from_end, r.to_end)
        )
    }
    for route, r in list(draft.table("routes").items()):
        if r.run in near and r.sheet == placement.sheet:
            draft.put("routes", route, None)


def drop_unused_ends(draft: Draft, candidates: Iterable[str]) -> None:
    """Take away the open ends among `candidates` that no run arrives at any more."""
    used = {e.equipment for run in draft.table("runs").values() for e in (run.from_end, run.to_end)}
    idle = [
        item
        for item in dict.fromkeys(candidates)
        if item not in used and isinstance(draft.get("equipment", item), OpenEnd)
    ]
    if idle:
        drop(draft, sorted(idle))
