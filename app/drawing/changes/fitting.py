"""An edit of the engine drawn: what it puts into a run gets its symbol there, and the run its two ways.

The engine knows no symbols. What it makes anew (a fuse in a run) is placed here as if a person had put it there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise, product
from typing import Any, Literal

import msgspec

from app.drawing.changes.placing import place, place_existing
from app.drawing.changes.room import piece_of
from app.drawing.changes.scenes import scene_of
from app.drawing.placed import Point, RunPart
from engine.edits import Edit, EditError, Put, Several
from engine.edits.draft import highest_id
from engine.edits.rewriting import rewritten
from engine.fixing.pieces import renumbered
from engine.fixing.trial import after, as_records
from engine.installation import End, Placement, Run, Snapshot
from engine.installation.records import Route
from engine.picture import Box

__all__ = ["drawn"]

# steps from the middle of a run to where the symbol may stand beside it, the nearest first
BESIDE = tuple(sorted(product(range(-24, 25, 4), repeat=2), key=lambda d: (abs(d[0]) + abs(d[1]), -d[0], d[1])))[1:]
LEAST = 6  # steps of a stretch that a symbol goes into


def drawn(snapshot: Snapshot, last_id: int, edit: Edit) -> Edit:
    """The edit with new ids above `last_id`, and with symbols for what it puts into runs that are drawn.

    Raises `EditError` where it cannot be done.
    """
    whole = as_records(snapshot, edit)
    puts = list(_puts(whole))
    new = [p for p in puts if p.table == "equipment" and p.id not in snapshot.equipment]
    if len(new) == 1:
        (device,) = new
        runs = {p.id: p.record for p in puts if p.table == "runs" and _ends_at(p.record, device.id)}
        kept = [item for item in runs if item in snapshot.runs]
        if len(kept) == 1 and len(runs) == 2:
            (short,) = runs.keys() - {kept[0]}
            placed = _into(snapshot, last_id, device, kept[0], runs[kept[0]], short, runs[short], edit.words)
            if placed is not None and _is_led(snapshot, placed):
                return placed
            beside = _beside(snapshot, last_id, whole, device.id, kept[0])
            if beside is not None or placed is not None:
                return beside or placed
    return renumbered(whole, snapshot, last_id)


def _puts(edit: Edit) -> Iterator[Put]:
    if isinstance(edit, Several):
        for one in edit.edits:
            yield from _puts(one)
    elif isinstance(edit, Put):
        yield edit


def _ends_at(record: Run | None, item: str) -> bool:
    return record is not None and item in (record.from_end.equipment, record.to_end.equipment)


def _into(
    snapshot: Snapshot, last_id: int, device: Put, item: str, rest: Run, short: str, piece: Run, words: str
) -> Edit | None:
    """As `place` parts a run, with what the engine recorded of the two pieces; `None` where it is not drawn."""
    side: Literal["from", "to"] = "from" if rest.to_end == snapshot.runs[item].to_end else "to"
    for sheet in snapshot.sheets:
        parts = scene_of(snapshot, sheet).parts_on(sheet)
        part = next((p for p in parts if p.run == item and p.kind in ("whole", side)), None)
        free = None if part is None else _free(part, side, [p for p in parts if p.run != item])
        if free is None:
            continue
        x, y = free
        try:
            made = place(snapshot, last_id, device.record.KIND, sheet, x, y, on_run=item)
        except EditError:
            continue
        laid = list(_puts(made.edit))
        ids = {device.id: made.items[0], short: made.items[1]}

        def renamed(_table: str, of: str, ids: dict[str, str] = ids) -> str:
            return ids.get(of, of)

        records = {(p.table, p.id): p.record for p in laid}
        first, second = records["runs", item], records["runs", ids[short]]
        # `place` leaves the run its name up to the device; the engine from there on, where the device is at its `from`
        near, far = (piece, rest) if side == "from" else (rest, piece)
        near = _ending(rewritten(near, renamed), "to", first.to_end)
        far = _ending(rewritten(far, renamed), "from", second.from_end)
        swap = {item: ids[short], ids[short]: item} if side == "from" else {}
        now = {swap.get(item, item): near, swap.get(ids[short], ids[short]): far}
        out: list[Put] = [Put("equipment", ids[device.id], rewritten(device.record, renamed))]
        out += [Put("runs", run, now[run]) for run in (item, ids[short])]
        for put in laid:
            if put.table in ("equipment", "runs"):
                continue
            record: Any = put.record
            if swap and put.table == "routes" and isinstance(record, Route):
                record = msgspec.structs.replace(record, run=swap.get(record.run, record.run))
            out.append(Put(put.table, put.id, record))
        return Several(tuple(out), words)
    return None


def _is_led(snapshot: Snapshot, edit: Edit) -> bool:
    """Whether the runs at what is new have their way on its sheet: a short straight run leaves none.

    What leads to another sheet is led when that is drawn.
    """
    now = after(snapshot, edit)
    symbol = next(p.record for p in _puts(edit) if p.table == "placements")
    here = {p.equipment for p in now.placements.values() if p.sheet == symbol.sheet}
    runs = {
        item
        for item, run in now.runs.items()
        if _ends_at(run, symbol.equipment) and {run.from_end.equipment, run.to_end.equipment} <= here
    }
    return runs <= {part.run for part in scene_of(now, symbol.sheet).parts_on(symbol.sheet)}


def _beside(snapshot: Snapshot, last_id: int, whole: Edit, device: str, run: str) -> Edit | None:
    """The symbol beside the run, where there is room; `None` where there is none, or nothing is drawn."""
    first = renumbered(whole, snapshot, last_id)
    renamed = dict(zip((p.id for p in _puts(whole)), (p.id for p in _puts(first)), strict=True))
    now = after(snapshot, first)
    last = max(last_id, highest_id(now))
    for sheet in snapshot.sheets:
        scene = scene_of(snapshot, sheet)
        part = next((p for p in scene.parts_on(sheet) if p.run == run), None)
        if part is None:
            continue
        x, y = _middle(part)
        item = renamed[device]
        boxes = [other.box for other in scene.on(sheet)]
        boxes += [Box(*a, *b) for p in scene.parts_on(sheet) if p.run != run for a, b in _stretches(p.points)]
        for dx, dy in BESIDE:
            box = piece_of(now, Placement(equipment=item, sheet=sheet, x=x + dx, y=y + dy), now.equipment[item]).box
            if any(_overlap(box, other) for other in boxes):
                continue
            try:
                made = place_existing(now, last, item, sheet, x + dx, y + dy)
            except EditError:
                continue
            edit = Several((*_puts(first), *_puts(made.edit)), whole.words)
            if _is_led(snapshot, edit):
                return edit
    return None


def _overlap(a: Box, b: Box) -> bool:
    return a.left <= b.right and b.left <= a.right and a.top <= b.bottom and b.top <= a.bottom


def _ending(run: Run, side: Literal["from", "to"], at: End) -> Run:
    """A run that arrives at the device by the terminal that its symbol turns that way."""
    field = f"{side}_end"
    return msgspec.structs.replace(run, **{field: msgspec.structs.replace(getattr(run, field), terminal=at.terminal)})


def _from_end(part: RunPart, side: Literal["from", "to"]) -> list[Point]:
    """The corners of a part, beginning at an end of the run, or as near to it as the part comes."""
    points = list(part.points)
    if (part.kind == "to") != (side == "to"):  # a part begins at its own terminal, a whole run at its `from` end
        points.reverse()
    return points


def _free(part: RunPart, side: Literal["from", "to"], others: list[RunPart]) -> Point | None:
    """The middle of the first straight piece with room that no other run shares: there it stands in this run alone."""
    taken = {step for other in others for step in _steps(other.points)}
    piece: list[Point] = []
    pieces: list[list[Point]] = []
    for a, b in _steps(_from_end(part, side)):
        is_on = len(piece) > 1 and (b[0] - a[0], b[1] - a[1]) == (a[0] - piece[-2][0], a[1] - piece[-2][1])
        if (a, b) in taken or (b, a) in taken:
            piece = []
        elif piece and is_on:
            piece.append(b)
        else:
            piece = [a, b]
            pieces.append(piece)
    found = next((one for one in pieces if len(one) > LEAST), None)
    return None if found is None else found[len(found) // 2]


def _stretches(points: Iterable[Point]) -> Iterator[tuple[Point, Point]]:
    """Every straight of a way, from its upper left to its lower right."""
    for (ax, ay), (bx, by) in pairwise(points):
        yield (min(ax, bx), min(ay, by)), (max(ax, bx), max(ay, by))


def _steps(points: Iterable[Point]) -> Iterator[tuple[Point, Point]]:
    """Every step of the grid along a way."""
    for (ax, ay), (bx, by) in pairwise(points):
        count = max(abs(bx - ax), abs(by - ay))
        way = [(ax + (bx - ax) * n // count, ay + (by - ay) * n // count) for n in range(count + 1)] if count else []
        yield from pairwise(way)


def _middle(part: RunPart) -> Point:
    """The middle of its longest stretch."""
    (ax, ay), (bx, by) = max(pairwise(part.points), key=lambda s: abs(s[0][0] - s[1][0]) + abs(s[0][1] - s[1][1]))
    return (ax + bx) // 2, (ay + by) // 2
