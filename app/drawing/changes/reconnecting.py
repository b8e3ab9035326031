"""Putting an end of a run elsewhere."""

from __future__ import annotations

from typing import Any

import msgspec

from app.drawing.changes.carrying import Carried, Side, choose, of_run
from app.drawing.changes.grips import (
    ANYTHING,
    EndName,
    Held,
    check_grip,
    end_name,
    loose_run,
    only_run,
    side_of_grip,
    take_hold,
)
from app.drawing.changes.joining import led
from app.drawing.changes.made import Grip
from app.drawing.changes.room import sheet_record
from app.drawing.changes.ways import route_of
from app.drawing.placed import Point
from engine.edits import EditError, Several
from engine.edits.designations import for_kind
from engine.edits.draft import Draft
from engine.edits.removing import drop, drop_unused_ends, named
from engine.equipment.distribution.junction import Junction
from engine.installation import End, Placement, Run, Snapshot
from engine.words import _

__all__ = ["reconnect", "reconnected"]


def reconnect(snapshot: Snapshot, last_id: int, run: str, end: EndName, sheet: str, grip: Grip) -> Several:
    """Put an end of a run elsewhere. What is recorded of the cable stays with it; what of the terminal goes.

    It carries what it did, or less where the new terminal carries less. An open end it leaves without runs goes.
    """
    return reconnected(snapshot, last_id, run, end, sheet, grip)[0]


def reconnected(
    snapshot: Snapshot, last_id: int, run: str, name: EndName, sheet: str, grip: Grip
) -> tuple[Several, tuple[str, ...]]:
    """As `reconnect`, with the ids of the equipment and runs that were made."""
    sheet_record(snapshot, sheet)
    record = snapshot.runs.get(run)
    if record is None:
        raise EditError(_("There is no run {id!r}.").format(id=run))
    check_grip(snapshot, sheet, grip)
    called = named(snapshot, [run])
    if grip.run == run:
        raise EditError(_("{run} cannot end on itself.").format(run=called))
    draft = Draft(snapshot, last_id)
    old, other = (record.from_end, record.to_end) if name == "from" else (record.to_end, record.from_end)
    words = _("Put an end of {run} on {end}").format(run=called, end=end_name(snapshot, grip))
    made: list[str] = []
    was_loose = only_run(snapshot, old.equipment) is not None
    if not grip.placement and not grip.run:
        words = _("Let {run} end loose").format(run=called)
    joined = loose_run(snapshot, grip)
    if joined is not None and joined != (run, name):
        if joined[0] == run:
            raise EditError(_("{run} cannot end on itself.").format(run=called))
        held = _joint(draft, grip, joined, made)
    elif not grip.placement and not grip.run and was_loose:
        held = _moved_end(draft, sheet, old, grip)
    else:
        held = take_hold(draft, sheet, grip, {}, made)
    if (held.end.equipment, held.end.terminal) == (other.equipment, other.terminal):
        raise EditError(_("Both ends of {run} would be at the same terminal.").format(run=called))
    carried = _still(snapshot, record, run, grip, joined)
    new = held.end
    if (old.equipment, old.terminal) == (new.equipment, new.terminal):
        new = old
    else:  # lug and marker are the cable's, all else was of the terminal
        new = msgspec.structs.replace(old, equipment=new.equipment, terminal=new.terminal, stud="")
        new = msgspec.structs.replace(new, stud_number=None, torque_nm=None)
    changes: dict[str, Any] = {f"{name}_end": new, **carried.fields()}
    before = _drawn_on(snapshot, run)
    draft.change("runs", run, **changes)
    _led_again(draft, sheet, run, name, held, before)
    drop_unused_ends(draft, [old.equipment])
    return draft.done(words), tuple(made)


def _still(
    snapshot: Snapshot,
    record: Run,
    run: str,
    grip: Grip,
    joined: tuple[str, EndName] | None,
) -> Carried:
    """What the run carries from now on. Raises `EditError` where its new terminal carries none of it."""
    now = of_run(record)
    side = Side(ANYTHING) if joined is not None else side_of_grip(snapshot, grip, run)
    if now.conductors() <= set(side.conductors):
        return now
    made = choose(Side(record.conductors(), (now,)), side)
    if made is None:
        raise EditError(
            _("{run} carries {has}, and {end} carries {conductors}.").format(
                run=named(snapshot, [run]),
                has=", ".join(record.conductors()),
                end=end_name(snapshot, grip),
                conductors=", ".join(side.conductors),
            )
        )
    return made


def _joint(draft: Draft, grip: Grip, joined: tuple[str, EndName], made: list[str]) -> Held:
    """A junction in the place of the loose end of another run, which arrives at it."""
    symbol: Placement = draft.get("placements", grip.placement)
    item = draft.add("equipment", Junction(designation=for_kind(draft.snapshot(), Junction.KIND)))
    placed = draft.add("placements", Placement(equipment=item, sheet=symbol.sheet, x=symbol.x, y=symbol.y))
    other, end = joined
    field = f"{end}_end"
    old: End = getattr(draft.get("runs", other), field)
    draft.change("runs", other, **{field: msgspec.structs.replace(old, equipment=item, terminal="at")})
    drop(draft, [symbol.equipment])
    made.append(item)
    return Held(End(equipment=item, terminal="at"), placed, (symbol.x, symbol.y))


def _moved_end(draft: Draft, sheet: str, old: End, grip: Grip) -> Held:
    """A loose end that stays loose is the same one elsewhere."""
    found = next((i for i, p in draft.table("placements").items() if p.equipment == old.equipment), "")
    if found:
        draft.change("placements", found, sheet=sheet, x=grip.column, y=grip.row)
    else:
        found = draft.add("placements", Placement(equipment=old.equipment, sheet=sheet, x=grip.column, y=grip.row))
    return Held(End(equipment=old.equipment, terminal=old.terminal), found, (grip.column, grip.row))


def _drawn_on(snapshot: Snapshot, run: str) -> list[set[str]]:
    """The sheets each end of a run is drawn on."""
    record = snapshot.runs[run]
    return [
        {p.sheet for p in snapshot.placements.values() if p.equipment == end.equipment}
        for end in (record.from_end, record.to_end)
    ]


def _led_again(draft: Draft, sheet: str, run: str, name: EndName, held: Held, before: list[set[str]]) -> None:
    """Give a run that ends elsewhere its ways: on this sheet at once, arrows on others where they were."""
    record: Run = draft.get("runs", run)
    other = record.to_end if name == "from" else record.from_end
    other_sheets = before[1 if name == "from" else 0]
    was_whole = bool(before[0] & before[1])
    known = route_of(draft, run, sheet)
    kept = draft.get("routes", known) if known else None
    whole_now = sheet in other_sheets
    for item, route in list(draft.table("routes").items()):
        if route.run != run or (item == known and whole_now):
            continue
        if was_whole or whole_now or route.sheet == sheet or route.sheet not in other_sheets:
            draft.put("routes", item, None)
    if not whole_now:
        return
    if kept is not None and kept.by_hand and was_whole and kept.bends:
        return  # corners set by hand stay
    mine = next(
        (
            i
            for i, p in draft.table("placements").items()
            if p.equipment == other.equipment
            and p.sheet == sheet
            and (not p.terminals or other.terminal in p.terminals)
        ),
        "",
    )
    if not mine:
        if known:
            draft.put("routes", known, None)
        return
    there = Held(other, mine, _tip(draft, sheet, known, name))
    pair = [held, there] if name == "from" else [there, held]
    led(draft, sheet, run, pair)


def _tip(draft: Draft, sheet: str, route: str, name: EndName) -> Point:
    """Where the end that stays meets its bus, as far as its corners tell."""
    record = draft.get("routes", route) if route else None
    if record is None or not record.bends:
        return (-1, -1)
    bend = record.bends[-1 if name == "from" else 0]
    return bend.x, bend.y
