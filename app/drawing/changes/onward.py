"""Going on from a terminal: new equipment is placed and joined by a run, in one edit."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from app.drawing.changes.carrying import Carried, Side, choose, side_of
from app.drawing.changes.connecting import connect
from app.drawing.changes.grips import end_name, side_of_grip
from app.drawing.changes.made import Grip, Made
from app.drawing.changes.placing import place
from app.drawing.changes.room import piece_of
from app.drawing.changes.scenes import scene_of
from app.drawing.placed import Piece, Point
from engine.edits import EditError, Put, Several
from engine.equipment import kind_named
from engine.equipment.base import Equipment
from engine.fixing.trial import after
from engine.installation import Placement, Run, Snapshot
from engine.words import _

__all__ = ["place_joined"]

_TURNS = (0, 180, 90, 270)
_ROOM = 4  # grid steps between two terminals that a run can come out of and go into
_OPPOSITE = {"top": (0, -1), "bottom": (0, 1), "left": (-1, 0), "right": (1, 0)}
_BAR = 8  # grid steps a bus is long where nothing is said


def place_joined(
    snapshot: Snapshot,
    last_id: int,
    record: Equipment,
    sheet: str,
    column: int,
    row: int,
    start: Grip,
    *,
    corners: Iterable[Point] = (),
    change: Callable[[Run], Run] | None = None,
) -> Made:
    """New equipment whose fitting terminal stands at `column`, `row`, and a run to it from `start`.

    The terminal is one that has something in common with `start`, turned towards where the run comes from. `change`:
    what is known of the run. Items: the equipment, the run, what else was made.

    Raises `EditError` where nothing of it can be joined to `start`, or where it would stand outside.
    """
    if kind_named(record.KIND) is None:
        raise EditError(_("There is no kind of equipment “{kind}”.").format(kind=record.KIND))
    corners = tuple(corners)
    came_from = corners[-1] if corners else _leaving(snapshot, sheet, start, (column, row))
    terminal = _terminal(snapshot, record, start)
    rotation, x, y = _stance(snapshot, record, terminal, sheet, (column, row), came_from)
    first = place(snapshot, last_id, record.KIND, sheet, x, y, rotation=rotation, record=record)
    then = after(snapshot, first.edit)
    item = first.items[0]
    symbol = next(i for i, p in then.placements.items() if p.equipment == item)
    piece = piece_of(then, then.placements[symbol], then.equipment[item], symbol)
    at = piece.meets(terminal, came_from)
    highest = max([last_id, *(int(p.id[1:]) for p in first.edit.edits if isinstance(p, Put))])
    joined = connect(then, highest, sheet, start, Grip(symbol, terminal, "", *at), corners)
    run = joined.items[0]
    edits: list[Any] = [*first.edit.edits, *joined.edit.edits]
    name = then.equipment[item].designation
    by = ""
    for n, put in enumerate(edits):
        if isinstance(put, Put) and put.table == "runs" and put.id == run:
            if change is not None:
                edits[n] = Put("runs", run, change(put.record), put.words)
            by = edits[n].record.designation
    words = _("Place {name}, joined by {run}").format(name=name, run=by)
    return Made(Several(tuple(edits), words), (item, run, *joined.items[1:]))


def _leaving(snapshot: Snapshot, sheet: str, start: Grip, at: Point) -> Point:
    """Where a run to a point comes from: of a bus the place beside it."""
    piece = scene_of(snapshot, sheet).pieces.get(start.placement)
    if piece is None or not piece.is_bar:
        return start.column, start.row
    (ax, ay), (bx, by) = piece.ends()
    if ay == by and min(ax, bx) < at[0] < max(ax, bx):
        return at[0], ay
    if ax == bx and min(ay, by) < at[1] < max(ay, by):
        return ax, at[1]
    return start.column, start.row


def _terminal(snapshot: Snapshot, record: Equipment, start: Grip) -> str:
    """The terminal to join: it shares the most conductors, must be connected, is the one on the side of the feed."""
    side = side_of_grip(snapshot, start)
    backwards = _is_fed(snapshot, start)
    gathers = _gathers(snapshot, start)
    best: tuple[tuple[int, int, bool, bool, int], str] | None = None
    for n, terminal in enumerate(record.terminals()):
        carried: Carried | None = choose(side, _side_of_new(record, terminal.name, terminal.conductors))
        if carried is None:
            continue
        conductors = carried.conductors()
        alone = len(conductors) == 1 and conductors <= {"-", "PE"}
        away = backwards != (terminal.name.startswith("out") or terminal.name == "common")
        away = away or (terminal.name == "pv" and not gathers)
        key = (-len(conductors), len(terminal.conductors) if alone else 0, not terminal.must, away, n)
        if best is None or key < best[0]:
            best = key, terminal.name
    if best is None:
        every = tuple(dict.fromkeys(c for t in record.terminals() for c in t.conductors))
        if not every:
            raise EditError(_("{kind}: it has no terminal for a run.").format(kind=_(record.NAME)))
        here = sorted({c for each in side.at or side.through for c in each.conductors()})
        raise EditError(
            _("{kind} cannot be joined to {end}: that carries {these}, it has terminals for {those}.").format(
                kind=_(record.NAME),
                end=end_name(snapshot, start),
                these=", ".join(here or side.conductors),
                those=", ".join(every),
            )
        )
    return best[1]


def _side_of_new(record: Equipment, terminal: str, conductors: tuple[str, ...]) -> Side:
    """What is known of a terminal of what is not placed yet."""
    alone = Snapshot(tables=_empty_tables() | {"equipment": {"e0": record}}, lone={})
    return side_of(alone, "e0", terminal) if conductors else Side(conductors)


def _empty_tables() -> dict[str, dict[str, Any]]:
    from engine.installation.model import TABLES

    return {name: {} for name in TABLES}


def _gathers(snapshot: Snapshot, start: Grip) -> bool:
    """Whether the start is at what gathers energy from sun, wind or water."""
    placement = snapshot.placements.get(start.placement)
    return placement is not None and snapshot.equipment[placement.equipment].harvest() is not None


def _is_fed(snapshot: Snapshot, start: Grip) -> bool:
    """Whether the start is where something is fed: what is placed there feeds it."""
    placement = snapshot.placements.get(start.placement)
    if placement is None:
        return False
    record = snapshot.equipment[placement.equipment]
    return record.ROLE == "load" or (
        start.terminal == "in" and any(t.name == "out" or t.name.startswith("out") for t in record.terminals())
    )


def _stance(
    snapshot: Snapshot, record: Equipment, terminal: str, sheet: str, at: Point, came_from: Point
) -> tuple[int, int, int]:
    """Turned so that the terminal looks to where the run comes from, its tip at a point: (rotation, x, y).

    As it usually stands, where the run can come to it so.
    """
    dx, dy = came_from[0] - at[0], came_from[1] - at[1]
    level = abs(dx) > abs(dy)
    bare = _piece(snapshot, record, sheet, 0)
    if bare.is_bar:
        if level:
            return 90, at[0], at[1] - _BAR // 2
        return 0, at[0] - _BAR // 2, at[1]
    best: tuple[bool, int, int, int, int] | None = None
    enough = min(_ROOM, max(abs(dx), abs(dy)))
    for n, turned in enumerate(_TURNS):  # as it usually stands, where a run can come to it so
        port = _piece(snapshot, record, sheet, turned).port(terminal)
        ox, oy = _OPPOSITE[port.side]
        along = ox * dx + oy * dy  # how far it looks towards where the run comes from
        key = (along < enough, n, turned, at[0] - port.x, at[1] - port.y)
        if best is None or key < best:
            best = key
    assert best is not None
    return best[2], best[3], best[4]


def _piece(snapshot: Snapshot, record: Equipment, sheet: str, rotation: Any) -> Piece:
    return piece_of(snapshot, Placement(equipment="e0", sheet=sheet, x=0, y=0, rotation=rotation), record)
