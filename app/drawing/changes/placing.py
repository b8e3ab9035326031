"""Putting equipment on a sheet: new, into a run, or what is on no sheet yet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec

from app.drawing.changes.made import Made
from app.drawing.changes.room import piece_of, refuse_outside, sheet_named, sheet_record
from app.drawing.changes.scenes import scene_of
from app.drawing.changes.splitting import Cut, cut_at, split
from app.drawing.changes.ways import Ways
from app.drawing.placed import Point
from engine.edits import EditError
from engine.edits.designations import for_kind
from engine.edits.draft import Draft
from engine.edits.removing import named
from engine.equipment import kind_named
from engine.equipment.base import LIVE, Equipment
from engine.installation import End, Placement, Run, Snapshot
from engine.words import _

__all__ = ["into_run", "pairs_through", "place", "place_existing"]

_TURNS = (0, 90, 180, 270)
_BAR = 8  # grid steps a bus is long where nothing is said


def place(
    snapshot: Snapshot,
    last_id: int,
    kind: str,
    sheet: str,
    column: int,
    row: int,
    *,
    rotation: int = 0,
    mirrored: bool = False,
    on_run: str = "",
    record: Equipment | None = None,
) -> Made:
    """New equipment of a kind, its symbol's origin at `column`, `row`; `record`: with what is known of it.

    `on_run`: it is put into that run, which is parted: the run ends at it now and a new one goes on, both of unknown
    length. With no `rotation` told it is turned so that its terminals lie along the run.

    Raises `EditError` where it would stand outside the drawing area, or where a run cannot pass through it.
    """
    sheet_record(snapshot, sheet)
    designation = for_kind(snapshot, kind)  # raises where there is no such kind
    cls = kind_named(kind)
    assert cls is not None
    if record is None:
        record = cls(designation=designation)
    elif record.designation:
        designation = record.designation
    else:
        record = msgspec.structs.replace(record, designation=designation)
    draft = Draft(snapshot, last_id)
    item = draft.add("equipment", record)
    if on_run:
        return into_run(draft, item, record, sheet, (column, row), rotation % 360, mirrored, on_run)
    symbol = _symbol(item, sheet, column, row, rotation, mirrored)
    refuse_outside(snapshot, sheet, piece_of(snapshot, symbol, record))
    draft.add("placements", symbol)
    return Made(draft.done(_("Place {name}").format(name=designation)), (item,))


def _symbol(
    equipment: str,
    sheet: str,
    column: int,
    row: int,
    rotation: int,
    mirrored: bool,
    terminals: tuple[str, ...] = (),
    length: int | None = None,
) -> Placement:
    if rotation % 90:
        raise EditError(_("A symbol turns by quarters only."))
    turned: Any = rotation % 360
    return Placement(
        equipment=equipment,
        sheet=sheet,
        terminals=terminals,
        x=column,
        y=row,
        rotation=turned,
        mirrored=mirrored,
        length=length,
    )


# -- into a run -----------------------------------------------------------------------------------------------------
def into_run(
    draft: Draft,
    item: str,
    record: Equipment,
    sheet: str,
    at: Point,
    rotation: int,
    mirrored: bool,
    run: str,
    symbol_id: str = "",
) -> Made:
    """Put equipment of the draft into a run; `symbol_id`: the symbol it has on that sheet already.

    Raises `EditError` where the run cannot pass through it.
    """
    snapshot = draft.first
    if run not in snapshot.runs:
        raise EditError(_("There is no run {id!r}.").format(id=run))
    pairs = pairs_through(snapshot, record, run)
    cut = cut_at(scene_of(snapshot, sheet), sheet, run, at)
    bare = piece_of(snapshot, _symbol(item, sheet, *cut.at, rotation, mirrored), record)
    if bare.is_bar:
        found = _bar_across(item, sheet, cut, pairs[0][0])
    elif pairs[0][0] == pairs[0][1]:
        found = _symbol(item, sheet, *cut.at, rotation, mirrored), pairs[0][0], pairs[0][0]
    else:
        found = _along(snapshot, item, record, sheet, cut, rotation, mirrored, pairs)
    symbol, near, far = found
    piece = piece_of(snapshot, symbol, record)
    refuse_outside(snapshot, sheet, piece)
    if symbol_id:
        draft.put("placements", symbol_id, symbol)
    else:
        draft.add("placements", symbol)
    tips = [cut.at if piece.is_bar else (piece.port(t).x, piece.port(t).y) for t in (near, far)]
    new = split(draft, sheet, cut, End(equipment=item, terminal=near), End(equipment=item, terminal=far), *tips)
    words = _("Place {name} in {run}").format(name=record.designation, run=named(snapshot, [run]))
    return Made(draft.done(words), (item, new))


def pairs_through(snapshot: Snapshot, record: Equipment, run: str) -> list[tuple[str, str]]:
    """Pairs of terminals that what the run carries passes between. Raises `EditError` where there is none."""
    wanted: Run = snapshot.runs[run]
    carried = {t.name: set(t.conductors) for t in record.terminals()}
    conductors = set(wanted.conductors())
    live = conductors & set(LIVE) or conductors
    every = [
        (c.a, c.b)
        for c in record.contacts()
        if c.a != c.b and c.cross is None and (c.poles is None or c.straight or live & set(c.poles))
    ]
    every += [(c.source, c.target) for c in record.conversions() if c.source != c.target]
    if not every and len(carried) == 1 and record.ROLE in ("bus", "junction") and record.pieces():
        every = [(name, name) for name in carried]
    names = {"kind": _(record.NAME), "run": named(snapshot, [run])}
    if not every:
        raise EditError(_("{kind}: no run passes through it, so it cannot be put into {run}.").format(**names))
    fitting = [(a, b) for a, b in dict.fromkeys(every) if conductors <= carried[a] and conductors <= carried[b]]
    if not fitting:
        raise EditError(
            _("{kind}: it does not carry {conductors} through, so it cannot be put into {run}.").format(
                conductors=", ".join(wanted.conductors()), **names
            )
        )
    return fitting


def _bar_across(item: str, sheet: str, cut: Cut, terminal: str) -> tuple[Placement, str, str]:
    """A bus across the run, its middle on it."""
    x, y = cut.at
    if cut.upright:
        return _symbol(item, sheet, x - _BAR // 2, y, 0, False, length=_BAR), terminal, terminal
    return _symbol(item, sheet, x, y - _BAR // 2, 90, False, length=_BAR), terminal, terminal


def _along(
    snapshot: Snapshot,
    item: str,
    record: Equipment,
    sheet: str,
    cut: Cut,
    rotation: int,
    mirrored: bool,
    pairs: Sequence[tuple[str, str]],
) -> tuple[Placement, str, str]:
    """How it stands with two terminals on the run, and which of them looks to the run's `from` end."""
    axis = 1 if cut.upright else 0
    back = cut.to_from[axis]
    for turned in (rotation,) if rotation else _TURNS:
        symbol = _symbol(item, sheet, *cut.at, turned, mirrored)
        piece = piece_of(snapshot, symbol, record)
        for a, b in pairs:
            pa, pb = piece.port(a), piece.port(b)
            one, other = (pa.x, pa.y), (pb.x, pb.y)
            if one[1 - axis] != other[1 - axis] or one[axis] == other[axis]:
                continue
            if {pa.side, pb.side} != ({"top", "bottom"} if cut.upright else {"left", "right"}):
                continue
            near, far = (a, b) if (one[axis] - other[axis]) * back > 0 else (b, a)
            aside = cut.at[1 - axis] - one[1 - axis]
            ends = sorted((cut.ends[0][axis], cut.ends[1][axis]))
            low, high = sorted((one[axis], other[axis]))
            along = max(0, ends[0] + 1 - low) or min(0, ends[1] - 1 - high)
            if high - low + 2 > ends[1] - ends[0]:
                along = 0  # no room between the corners: both runs are led anew
            dx, dy = (aside, along) if cut.upright else (along, aside)
            return _symbol(item, sheet, symbol.x + dx, symbol.y + dy, turned, mirrored), near, far
    symbol = _symbol(item, sheet, *cut.at, rotation, mirrored)
    a, b = pairs[0]
    piece = piece_of(snapshot, symbol, record)

    def toward(terminal: str) -> int:
        port = piece.port(terminal)
        return (port.x - cut.at[0]) * cut.to_from[0] + (port.y - cut.at[1]) * cut.to_from[1]

    return (symbol, a, b) if toward(a) >= toward(b) else (symbol, b, a)


# -- what is aboard already -----------------------------------------------------------------------------------------
def place_existing(
    snapshot: Snapshot,
    last_id: int,
    equipment: str,
    sheet: str,
    column: int,
    row: int,
    *,
    rotation: int = 0,
    mirrored: bool = False,
    terminals: tuple[str, ...] = (),
) -> Made:
    """A symbol for equipment that is on no sheet, or a further one.

    A further symbol shows `terminals`, which its others show no longer; without them those that none shows yet. Runs
    to what stands on the same sheet are led at once.
    """
    sheet_record(snapshot, sheet)
    record = snapshot.equipment.get(equipment)
    if record is None:
        raise EditError(_("There is no equipment {id!r}.").format(id=equipment))
    draft = Draft(snapshot, last_id)
    others = {i: p for i, p in snapshot.placements.items() if p.equipment == equipment}
    shown = _shown_here(draft, record, others, terminals)
    symbol = _symbol(equipment, sheet, column, row, rotation, mirrored, shown)
    piece = piece_of(snapshot, symbol, record)
    refuse_outside(snapshot, sheet, piece)
    item = draft.add("placements", symbol)
    arriving = {
        run
        for run, r in snapshot.runs.items()
        if any(e.equipment == equipment and piece.shows(e.terminal) for e in (r.from_end, r.to_end))
    }
    for route, r in snapshot.routes.items():
        if r.run in arriving and (not others or r.sheet == sheet):
            other = _other_sheets(snapshot, r.run, equipment)
            if r.sheet == sheet or r.sheet not in other:
                draft.put("routes", route, None)
    if arriving:
        ways = Ways(draft, sheet)
        for run in sorted(arriving, key=lambda i: int(i[1:]) if i[1:].isdecimal() else 0):
            if ways.ends(draft.get("runs", run)) is not None:
                ways.lead(run)
    words = _("Place {name}").format(name=named(snapshot, [equipment]))
    return Made(draft.done(words), (equipment, item))


def _other_sheets(snapshot: Snapshot, run: str, equipment: str) -> set[str]:
    """Sheets the other end of a run is drawn on."""
    record = snapshot.runs[run]
    others = {e.equipment for e in (record.from_end, record.to_end)} - {equipment}
    return {p.sheet for p in snapshot.placements.values() if p.equipment in others}


def _shown_here(
    draft: Draft, record: Equipment, others: dict[str, Placement], terminals: tuple[str, ...]
) -> tuple[str, ...]:
    """The terminals a symbol shows; those named are taken from the others."""
    every = tuple(t.name for t in record.terminals())
    name = record.designation or _(record.NAME)
    for terminal in terminals:
        if terminal not in every:
            raise EditError(
                _("{name} has no terminal “{terminal}”: it has {has}.").format(
                    name=name, terminal=terminal, has=", ".join(every)
                )
            )
    if not others:
        return terminals if set(terminals) != set(every) else ()
    if record.ROLE == "bus":  # one bus may go on on another sheet
        return terminals
    taken = {t for p in others.values() for t in (p.terminals or every)}
    if not terminals:
        free = tuple(t for t in every if t not in taken)
        if not free:
            raise EditError(
                _("Every terminal of {name} is shown already; name those that the new symbol is to show.").format(
                    name=name
                )
            )
        return free
    for item, placement in others.items():
        rest = tuple(t for t in (placement.terminals or every) if t not in terminals)
        if not rest:
            raise EditError(
                _("The symbol of {name} on {sheet} would show no terminal any more.").format(
                    name=name, sheet=sheet_named(draft.first, placement.sheet)
                )
            )
        if rest != (placement.terminals or every):
            draft.change("placements", item, terminals=rest)
    return terminals
