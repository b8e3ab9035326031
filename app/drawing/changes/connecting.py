"""Drawing a run, and putting an end of one elsewhere."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Literal, NamedTuple

import msgspec

from app.drawing.changes.carrying import Carried, Side, choose, of_run, side_of
from app.drawing.changes.leading import check_corners
from app.drawing.changes.made import Grip, Made
from app.drawing.changes.room import area_of, inside, sheet_named, sheet_record
from app.drawing.changes.scenes import scene_of
from app.drawing.changes.splitting import cut_at, split
from app.drawing.changes.ways import Ways, bends_of, keep_route, pins_at, route_of, squared
from app.drawing.placed import Point
from app.drawing.routes import pins
from engine.edits import EditError, Several
from engine.edits.designations import for_kind, next_designation
from engine.edits.draft import Draft
from engine.edits.removing import drop, drop_unused_ends, named
from engine.equipment.base import ALL
from engine.equipment.distribution.junction import Junction
from engine.equipment.distribution.open_end import OpenEnd
from engine.geometry import Pin, turns
from engine.installation import End, Placement, Run, Snapshot
from engine.words import _

__all__ = ["connect", "reconnect"]

EndName = Literal["from", "to"]
_ANYTHING = (*ALL, "S")
# how an open end lies that a line reaches from there
_LYING: dict[Point, Literal[0, 90, 180, 270]] = {(0, 1): 0, (-1, 0): 90, (0, -1): 180, (1, 0): 270}


class _Held(NamedTuple):
    """A grip made real: what the end of the run names, and where it is drawn."""

    end: End
    placement: str
    at: Point


def connect(
    snapshot: Snapshot,
    last_id: int,
    sheet: str,
    start: Grip,
    stop: Grip,
    corners: Iterable[Point] = (),
) -> Made:
    """A new run from grip to grip; what it carries is told by its two terminals and what arrives there already.

    On a run a junction is made and that run parted; on bare paper it ends loose. A grip on the loose end of a run
    takes that end up: the run is led on, and none is made. With `corners` it goes over them and they stay.

    Raises `EditError` where the two have nothing in common.
    """
    sheet_record(snapshot, sheet)
    corners = check_corners(snapshot, sheet, corners)
    for grip in (start, stop):
        _check(snapshot, sheet, grip)
    if _same_place(snapshot, start, stop):
        raise EditError(_("Both ends of the run would be at the same terminal."))
    for grip, other in ((start, stop), (stop, start)):
        loose = _loose_run(snapshot, grip)
        if loose is not None:
            edit, items = _reconnected(snapshot, last_id, *loose, sheet, other)
            return Made(edit, (loose[0], *items))
    draft = Draft(snapshot, last_id)
    sides = [_side(snapshot, grip) for grip in (start, stop)]
    carried = choose(*sides)
    if carried is None:
        raise EditError(_nothing_common(snapshot, (start, stop), sides))
    alike: dict[str, str] = {}  # a run that was parted here -> the part that goes on from it
    made: list[str] = []
    held = [_take_hold(draft, sheet, grip, alike, made) for grip in (start, stop)]
    if held[0].end == held[1].end:
        raise EditError(_("Both ends of the run would be at the same terminal."))
    designation = next_designation(draft.snapshot(), "W")
    run = draft.add(
        "runs",
        Run(from_end=held[0].end, to_end=held[1].end, designation=designation, **carried.fields()),
    )
    if corners:
        _led_over(draft, sheet, run, held, corners)
    else:
        _led(draft, sheet, run, held)
    return Made(draft.done(_("Draw {run}").format(run=designation)), (run, *made))


def reconnect(snapshot: Snapshot, last_id: int, run: str, end: EndName, sheet: str, grip: Grip) -> Several:
    """Put an end of a run elsewhere. What is recorded of the cable stays with it; what of the terminal goes.

    It carries what it did, or less where the new terminal carries less. An open end it leaves without runs goes.
    """
    return _reconnected(snapshot, last_id, run, end, sheet, grip)[0]


# -- what a grip is -------------------------------------------------------------------------------------------------
def _check(snapshot: Snapshot, sheet: str, grip: Grip) -> None:
    if grip.placement:
        placement = snapshot.placements.get(grip.placement)
        if placement is None or placement.sheet != sheet:
            raise EditError(_("There is no such symbol on {sheet}.").format(sheet=sheet_named(snapshot, sheet)))
        record = snapshot.equipment[placement.equipment]
        if grip.terminal not in {t.name for t in record.terminals()}:
            raise EditError(
                _("{name} has no terminal “{terminal}”.").format(
                    name=named(snapshot, [placement.equipment]), terminal=grip.terminal
                )
            )
        if placement.terminals and grip.terminal not in placement.terminals:
            raise EditError(
                _("Terminal “{terminal}” of {name} is shown by another symbol.").format(
                    name=named(snapshot, [placement.equipment]), terminal=grip.terminal
                )
            )
    elif grip.run:
        if grip.run not in snapshot.runs:
            raise EditError(_("There is no run {id!r}.").format(id=grip.run))
    elif not inside((grip.column, grip.row), area_of(snapshot, sheet)):
        raise EditError(
            _("The run would leave the drawing area of {sheet}.").format(sheet=sheet_named(snapshot, sheet))
        )


def _same_place(snapshot: Snapshot, one: Grip, other: Grip) -> bool:
    if one.placement and other.placement:
        a, b = snapshot.placements[one.placement], snapshot.placements[other.placement]
        return (a.equipment, one.terminal) == (b.equipment, other.terminal)
    if one.placement or other.placement or one.run != other.run:
        return False
    return (one.column, one.row) == (other.column, other.row)


def _loose_run(snapshot: Snapshot, grip: Grip) -> tuple[str, EndName] | None:
    """The one run that ends loose at a grip, and which end of it."""
    if not grip.placement:
        return None
    return _only_run(snapshot, snapshot.placements[grip.placement].equipment)


def _only_run(snapshot: Snapshot, equipment: str) -> tuple[str, EndName] | None:
    if not isinstance(snapshot.equipment[equipment], OpenEnd):
        return None
    ends: list[tuple[str, EndName]] = []
    for item, run in snapshot.runs.items():
        if run.from_end.equipment == equipment:
            ends.append((item, "from"))
        if run.to_end.equipment == equipment:
            ends.append((item, "to"))
    return ends[0] if len(ends) == 1 else None


def _side(snapshot: Snapshot, grip: Grip, without: str = "") -> Side:
    if grip.placement:
        return side_of(snapshot, snapshot.placements[grip.placement].equipment, grip.terminal, without)
    if grip.run:
        run = snapshot.runs[grip.run]
        return Side(run.conductors(), (of_run(run),))
    return Side(_ANYTHING)


def _nothing_common(snapshot: Snapshot, grips: tuple[Grip, Grip], sides: list[Side]) -> str:
    told = []
    for grip, side in zip(grips, sides, strict=True):
        arriving = sorted({c for each in side.at or side.through for c in each.conductors()})
        told.append(
            _("{end} carries {conductors}").format(
                end=_end_name(snapshot, grip), conductors=", ".join(arriving or side.conductors)
            )
        )
    return _("A run there would join nothing: {one} and {other}.").format(one=told[0], other=told[1])


def _end_name(snapshot: Snapshot, grip: Grip) -> str:
    if grip.placement:
        name = named(snapshot, [snapshot.placements[grip.placement].equipment])
        return _("{name} “{terminal}”").format(name=name, terminal=grip.terminal)
    if grip.run:
        return named(snapshot, [grip.run])
    return _("the loose end")


# -- making it real -------------------------------------------------------------------------------------------------
def _take_hold(draft: Draft, sheet: str, grip: Grip, alike: dict[str, str], made: list[str]) -> _Held:
    """What an end names: a terminal, a junction made in a run, an open end."""
    at = grip.column, grip.row
    if grip.placement:
        placement: Placement = draft.get("placements", grip.placement)
        return _Held(End(equipment=placement.equipment, terminal=grip.terminal), grip.placement, at)
    if grip.run:
        return _tap(draft, sheet, grip, alike, made)
    item = draft.add("equipment", OpenEnd(designation=for_kind(draft.snapshot(), OpenEnd.KIND)))
    symbol = draft.add("placements", Placement(equipment=item, sheet=sheet, x=at[0], y=at[1]))
    made.append(item)
    return _Held(End(equipment=item, terminal="at"), symbol, at)


def _tap(draft: Draft, sheet: str, grip: Grip, alike: dict[str, str], made: list[str]) -> _Held:
    """A junction in a run, which is parted there; at its very end the terminal it is on already."""
    scene = scene_of(draft.snapshot(), sheet)
    cuts = [
        cut_at(scene, sheet, run, (grip.column, grip.row))
        for run in dict.fromkeys((grip.run, alike.get(grip.run, grip.run)))
        if any(p.run == run for p in scene.parts_on(sheet))
    ]
    if not cuts:
        cut_at(scene, sheet, grip.run, (grip.column, grip.row))  # raises
    cut = min(cuts, key=lambda c: abs(c.at[0] - grip.column) + abs(c.at[1] - grip.row))
    run: Run = draft.get("runs", cut.part.run)
    part = cut.part
    ends = (run.from_end, run.to_end) if part.kind != "to" else (run.to_end, run.from_end)
    for tip, end, symbol in (
        (part.points[0], ends[0], part.near),
        (part.points[-1], ends[1], part.far if part.kind == "whole" else ""),
    ):
        if cut.at == tip and symbol:
            return _Held(End(equipment=end.equipment, terminal=end.terminal), symbol, tip)
    item = draft.add("equipment", Junction(designation=for_kind(draft.snapshot(), Junction.KIND)))
    symbol = draft.add("placements", Placement(equipment=item, sheet=sheet, x=cut.at[0], y=cut.at[1]))
    end = End(equipment=item, terminal="at")
    new = split(draft, sheet, cut, end, end, cut.at, cut.at)
    alike[part.run] = new
    made.extend((item, new))
    return _Held(end, symbol, cut.at)


def _pins(ways: Ways, held: _Held) -> list[Pin]:
    piece = ways.scene.pieces[held.placement]
    if isinstance(piece.record, OpenEnd):
        at = piece.placement
        return [Pin(at.x, at.y, out) for out in range(4)]
    every = pins(piece, held.end.terminal)
    return pins_at(piece, held.end.terminal, held.at) if piece.is_bar else every


def _led(draft: Draft, sheet: str, run: str, held: list[_Held]) -> None:
    """Find the new run a way and lay its open ends along it."""
    ends = {h.placement for h in held if isinstance(draft.get("equipment", h.end.equipment), OpenEnd)}
    ways = Ways(draft, sheet, (run,), ends, patient=True)
    if any(h.placement not in ways.scene.pieces for h in held):
        return
    points = ways.lead(run, _pins(ways, held[0]), _pins(ways, held[1]))
    if points is None and any(ways.scene.pieces[h.placement].is_bar for h in held):
        points = ways.lead(run)  # elsewhere along the bus
    if points is not None:
        _lay_ends(draft, held, points)


def _led_over(draft: Draft, sheet: str, run: str, held: list[_Held], corners: tuple[Point, ...]) -> None:
    scene = scene_of(draft.snapshot(), sheet)
    record: Run = draft.get("runs", run)
    start, stop = (scene.pieces[h.placement] for h in held)
    begin = start.meets(record.from_end.terminal, corners[0])
    end = stop.meets(record.to_end.terminal, corners[-1])
    points = turns(squared([begin, *corners, end]))
    if len(points) < 2:
        _led(draft, sheet, run, held)
        return
    keep_route(draft, run, sheet, bends_of(points, (start, stop)) or corners[:1], by_hand=True)
    _lay_ends(draft, held, points)


def _lay_ends(draft: Draft, held: list[_Held], points: tuple[Point, ...]) -> None:
    """Turn open ends so that the line meets them from outside."""
    for each, tip, inner in ((held[0], points[0], points[1]), (held[1], points[-1], points[-2])):
        if isinstance(draft.get("equipment", each.end.equipment), OpenEnd):
            step = ((inner[0] > tip[0]) - (inner[0] < tip[0]), (inner[1] > tip[1]) - (inner[1] < tip[1]))
            draft.change("placements", each.placement, rotation=_LYING[step], mirrored=False)


# -- putting an end elsewhere ---------------------------------------------------------------------------------------
def _reconnected(
    snapshot: Snapshot, last_id: int, run: str, name: EndName, sheet: str, grip: Grip
) -> tuple[Several, tuple[str, ...]]:
    sheet_record(snapshot, sheet)
    record = snapshot.runs.get(run)
    if record is None:
        raise EditError(_("There is no run {id!r}.").format(id=run))
    _check(snapshot, sheet, grip)
    called = named(snapshot, [run])
    if grip.run == run:
        raise EditError(_("{run} cannot end on itself.").format(run=called))
    draft = Draft(snapshot, last_id)
    old, other = (record.from_end, record.to_end) if name == "from" else (record.to_end, record.from_end)
    words = _("Put an end of {run} on {end}").format(run=called, end=_end_name(snapshot, grip))
    made: list[str] = []
    was_loose = _only_run(snapshot, old.equipment) is not None
    if not grip.placement and not grip.run:
        words = _("Let {run} end loose").format(run=called)
    joined = _loose_run(snapshot, grip)
    if joined is not None and joined != (run, name):
        if joined[0] == run:
            raise EditError(_("{run} cannot end on itself.").format(run=called))
        held = _joint(draft, grip, joined, made)
    elif not grip.placement and not grip.run and was_loose:
        held = _moved_end(draft, sheet, old, grip)
    else:
        held = _take_hold(draft, sheet, grip, {}, made)
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
    side = Side(_ANYTHING) if joined is not None else _side(snapshot, grip, run)
    if now.conductors() <= set(side.conductors):
        return now
    made = choose(Side(record.conductors(), (now,)), side)
    if made is None:
        raise EditError(
            _("{run} carries {has}, and {end} carries {conductors}.").format(
                run=named(snapshot, [run]),
                has=", ".join(record.conductors()),
                end=_end_name(snapshot, grip),
                conductors=", ".join(side.conductors),
            )
        )
    return made


def _joint(draft: Draft, grip: Grip, joined: tuple[str, EndName], made: list[str]) -> _Held:
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
    return _Held(End(equipment=item, terminal="at"), placed, (symbol.x, symbol.y))


def _moved_end(draft: Draft, sheet: str, old: End, grip: Grip) -> _Held:
    """A loose end that stays loose is the same one elsewhere."""
    found = next((i for i, p in draft.table("placements").items() if p.equipment == old.equipment), "")
    if found:
        draft.change("placements", found, sheet=sheet, x=grip.column, y=grip.row)
    else:
        found = draft.add("placements", Placement(equipment=old.equipment, sheet=sheet, x=grip.column, y=grip.row))
    return _Held(End(equipment=old.equipment, terminal=old.terminal), found, (grip.column, grip.row))


def _drawn_on(snapshot: Snapshot, run: str) -> list[set[str]]:
    """The sheets each end of a run is drawn on."""
    record = snapshot.runs[run]
    return [
        {p.sheet for p in snapshot.placements.values() if p.equipment == end.equipment}
        for end in (record.from_end, record.to_end)
    ]


def _led_again(draft: Draft, sheet: str, run: str, name: EndName, held: _Held, before: list[set[str]]) -> None:
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
    there = _Held(other, mine, _tip(draft, sheet, known, name))
    pair = [held, there] if name == "from" else [there, held]
    _led(draft, sheet, run, pair)


def _tip(draft: Draft, sheet: str, route: str, name: EndName) -> Point:
    """Where the end that stays meets its bus, as far as its corners tell."""
    record = draft.get("routes", route) if route else None
    if record is None or not record.bends:
        return (-1, -1)
    bend = record.bends[-1 if name == "from" else 0]
    return bend.x, bend.y
