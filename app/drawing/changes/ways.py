"""Ways for runs on a sheet as it stands in the middle of an edit, and the records they are kept in."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import pairwise

from app.drawing.changes.branching import branches, ways_at
from app.drawing.changes.plain_ways import FEW_CROSSINGS, plain_way, way_cost
from app.drawing.changes.room import area_of
from app.drawing.changes.scenes import scene_of
from app.drawing.hand.labels import device_form, put_spot, run_form, sight_of
from app.drawing.placed import Piece, Point, RunPart, Scene, paper
from app.drawing.routes import arrow_box, pins
from engine.edits.draft import Draft
from engine.geometry import EAST, NORTH, SOUTH, WEST, Pin, Roads, turns
from engine.installation import Aside, Bend, Route, Run
from engine.picture import Box

__all__ = ["Ways", "bends_of", "bring_on_line", "keep_route", "pins_at", "route_of"]

_DETOUR, _AROUND = 70, 16  # what a way may cost more than the straight one; how far round its two ends it is sought
# states of the grid that are looked at: for one run, for all of one edit. What finds no way so is drawn with arrows or
# found by the study process, which has more time
_MOST_WORK, _WORK, _PATIENCE = 2_500, 5_000, 15_000
_CROWDED = 4  # how often another place to branch off is sought


class Ways:
    """The grid of one sheet: built once, then asked for one run after the other, each in the way of the next."""

    def __init__(
        self,
        draft: Draft,
        sheet: str,
        without: Collection[str] = (),
        unseen: Collection[str] = (),
        scene: Scene | None = None,
        patient: bool = False,
    ) -> None:
        """`without`: runs that are led anew; `unseen`: placements that are no obstacle; `scene`: where it is known.

        `patient`: there is one run to lead, it may take longer.
        """
        self.draft, self.sheet, self.without = draft, sheet, set(without)
        self.led: dict[str, tuple[Point, ...]] = {}  # runs that were found a way, and it
        self.work, self.most_work = (_PATIENCE, _PATIENCE) if patient else (_WORK, _MOST_WORK)
        self.scene: Scene = scene_of(draft.snapshot(), sheet) if scene is None else scene
        self.area = area_of(draft.first if sheet in draft.first.sheets else draft.snapshot(), sheet)
        self.grid = Roads(int(self.area.right), int(self.area.bottom))
        for piece in self.scene.on(sheet):
            if piece.id not in unseen:
                self.grid.close(piece.box.grown(0.6))
        self._shade_labels()
        self._leaving: dict[tuple[str, str], dict[str, tuple[Point, ...]]] = {}  # (placement, terminal) -> run -> line
        for part in self.scene.parts_on(sheet):
            if part.run not in self.without:
                self.grid.run(part.points)
                if part.kind != "whole":
                    self.grid.close(arrow_box(part.points[-1], part.side))
                self._leaves(part)

    def _shade_labels(self) -> None:
        """Where labels were put by hand no run is led if it can go elsewhere."""
        sight = sight_of(self.sheet, paper(dict(self.scene.sheets)[self.sheet].size))
        labels: list[tuple[Piece | RunPart, Aside | None]] = [
            *((piece, piece.placement.label) for piece in self.scene.on(self.sheet)),
            *((part, part.label) for part in self.scene.parts_on(self.sheet) if part.run not in self.without),
        ]
        for what, aside in labels:
            if aside is not None:
                words = run_form(self.scene, what) if isinstance(what, RunPart) else device_form(self.scene, what)
                self.grid.shade(sight.steps(put_spot(sight, what, aside, words).box))

    def _leaves(self, part: RunPart) -> None:
        run: Run = self.draft.get("runs", part.run)
        if run is None:
            return
        near, far = run.from_end.terminal, run.to_end.terminal
        if part.kind == "to":
            near, far = far, near
        self._leaving.setdefault((part.near, near), {})[part.run] = part.points
        if part.kind == "whole":
            self._leaving.setdefault((part.far, far), {})[part.run] = part.points[::-1]

    def ends(self, run: Run) -> tuple[Piece, Piece] | None:
        """The symbols of this sheet that a run joins, `None` where it does not have both here."""
        found: list[list[Piece]] = []
        for end in (run.from_end, run.to_end):
            here = [p for p in self.scene.of.get(end.equipment, ()) if p.placement.sheet == self.sheet]
            found.append([p for p in here if p.shows(end.terminal)])
            if not found[-1]:
                return None
        first, last = found
        if len(first) == len(last) == 1:
            return first[0], last[0]
        return min(((a, b) for a in first for b in last), key=lambda pair: _off(*pair))

    # -- one run ------------------------------------------------------------------------------------------------
    def lead(self, item: str, starts: Sequence[Pin] = (), stops: Sequence[Pin] = ()) -> tuple[Point, ...] | None:
        """Find a run a way and keep it; without one its record goes. `starts`, `stops`: where it may begin and end."""
        found = self.seek(item, starts, stops)
        self.keep(item, found)
        return found

    def seek(self, item: str, starts: Sequence[Pin] = (), stops: Sequence[Pin] = ()) -> tuple[Point, ...] | None:
        """The best way for a run as the grid is; nothing is kept."""
        run: Run = self.draft.get("runs", item)
        pair = self.ends(run)
        if pair is None or (pair[0].id, run.from_end.terminal) == (pair[1].id, run.to_end.terminal):
            return None
        begin, end = self.ends_of(item, starts, stops)
        return self.find(begin, end) or self._branch(item, run, pair, begin, end)

    def ends_of(
        self, item: str, starts: Sequence[Pin] = (), stops: Sequence[Pin] = ()
    ) -> tuple[Sequence[Pin], Sequence[Pin]]:
        """Where a run that joins two symbols of this sheet may begin and end, as far as that is not told."""
        run: Run = self.draft.get("runs", item)
        pair = self.ends(run)
        if pair is None:
            return (), ()
        return (
            starts or self._pins(item, pair[0], run.from_end.terminal),
            stops or self._pins(item, pair[1], run.to_end.terminal),
        )

    def keep(self, item: str, found: tuple[Point, ...] | None) -> None:
        """Draw a run so, in the way of what is led after it; without a way its record goes."""
        if found is None:
            known = route_of(self.draft, item, self.sheet)
            if known:
                self.draft.put("routes", known, None)
            return
        pair = self.ends(self.draft.get("runs", item))
        assert pair is not None
        self.take(item, found, pair)
        keep_route(self.draft, item, self.sheet, bends_of(found, pair))

    def take(self, item: str, found: tuple[Point, ...], pair: tuple[Piece, Piece]) -> None:
        """A run goes so, as far as the grid is concerned."""
        self.grid.run(found)
        self.led[item] = found
        self._leaves(RunPart(item, self.sheet, "whole", found, pair[0].id, pair[1].id))

    def drop(self, item: str) -> None:
        """A run that was taken into the grid goes no way yet: to be followed by another `grid`."""
        self.led.pop(item, None)
        for lines in self._leaving.values():
            lines.pop(item, None)

    def _pins(self, item: str, piece: Piece, terminal: str) -> list[Pin]:
        """Where a run may meet a terminal: on a bus not opposite another, at a junction no fourth way."""
        every = pins(piece, terminal)
        if len(every) == 1:
            return every
        lines = [line for run, line in self._leaving.get((piece.id, terminal), {}).items() if run != item]
        if piece.is_bar:
            met = {line[0] for line in lines}
            return [pin for pin in every if (pin.x, pin.y) not in met] or every
        used = {way_of(line[0], line[1]) for line in lines}
        return [pin for pin in every if pin.out not in used] if len(used) < 3 else []

    def _branch(
        self, item: str, run: Run, pair: tuple[Piece, Piece], begin: Sequence[Pin], end: Sequence[Pin]
    ) -> tuple[Point, ...] | None:
        """A way that goes along the line of another run of the same terminal first, where its own is taken by that."""
        first = branches(self.grid, pair[0], self._own_lines(item, pair[0], run.from_end.terminal))
        last = branches(self.grid, pair[1], self._own_lines(item, pair[1], run.to_end.terminal))
        if not first and not last:
            return None
        for pin in first.keys() & last.keys():  # a line between these very terminals: each end keeps its half of it
            del (first if _long(first[pin]) > _long(last[pin]) else last)[pin]
        here = {(p.x, p.y) for p in (*begin, *first)} & {(p.x, p.y) for p in (*end, *last)}
        starts, stops = ([p for p in pins if (p.x, p.y) not in here] for pins in ((*begin, *first), (*end, *last)))
        found = self.find(starts, stops)
        for _again in range(_CROWDED):
            if found is None:
                return None
            crowded = {found[0], found[-1]} & {(p.x, p.y) for p in (*first, *last) if self._is_crowded(p)}
            if not crowded:
                break
            starts = [p for p in starts if (p.x, p.y) not in crowded]
            stops = [p for p in stops if (p.x, p.y) not in crowded]
            found = self.find(starts, stops)
        else:
            return None
        before = next((way for pin, way in first.items() if _leaves_by(found, pin)), found[:1])
        after = next((way for pin, way in last.items() if _leaves_by(found[::-1], pin)), found[-1:])
        return turns((*before, *found[1:-1], *reversed(after)))

    def _is_crowded(self, pin: Pin) -> bool:
        """Whether a line that leaves there would be the fourth to meet, whatever terminals they lead to."""
        lines = (line for some in self._leaving.values() for line in some.values())
        return len({pin.out, *(way for line in lines for way in ways_at((pin.x, pin.y), line))}) > 3

    def _own_lines(self, item: str, piece: Piece, terminal: str) -> list[tuple[Point, ...]]:
        """The same, each as far as no run of its other terminal lies on it: what joins there would be of both."""
        here = self._leaving.get((piece.id, terminal), {})
        made: list[tuple[Point, ...]] = []
        for other, line in here.items():
            if other == item:
                continue
            far = {
                point
                for key, lines in self._leaving.items()
                if key != (piece.id, terminal) and other in lines
                for run, its in lines.items()
                if run not in (other, item) and run not in here
                for step in _steps(its)
                for point in step
            }
            cells = [line[0], *(end for _start, end in _steps(line))] if far else []
            stop = next((n for n, cell in enumerate(cells) if cell in far), None)
            if stop is None:
                made.append(line)
            elif stop > 2:
                made.append(turns(cells[: stop - 1]))
        return made

    def _lines(self, item: str, piece: Piece, terminal: str) -> list[tuple[Point, ...]]:
        """Lines of other runs of this sheet, from that terminal of a symbol on."""
        return [line for run, line in self._leaving.get((piece.id, terminal), {}).items() if run != item]

    def apart(self, item: str, line: Sequence[Point]) -> tuple[Point, ...]:
        """What of a run's line does not lie on lines of other runs of its two terminals."""
        run: Run = self.draft.get("runs", item)
        pair = self.ends(run)
        if pair is None:
            return tuple(line)
        for piece, terminal in ((pair[0], run.from_end.terminal), (pair[1], run.to_end.terminal)):
            shared = {step for other in self._lines(item, piece, terminal) for step in _steps(other)}
            cells = [line[0], *(b for _a, b in _steps(line))] if shared else []
            gone = 0
            while gone + 1 < len(cells) and (cells[gone], cells[gone + 1]) in shared:
                gone += 1
            line = (turns(cells[gone:]) if gone else tuple(line))[::-1]
        return tuple(line)

    def find(self, starts: Sequence[Pin], stops: Sequence[Pin]) -> tuple[Point, ...] | None:
        """A way of the plainest shapes that is free, else whatever a search near its two ends finds."""
        if not starts or not stops or {(p.x, p.y) for p in starts} & {(p.x, p.y) for p in stops}:
            return None
        plain = plain_way(self.grid, self.area, starts, stops)
        if plain is not None and plain.crossings <= FEW_CROSSINGS:
            return plain.points
        steps = min(self.work, self.most_work)
        if steps <= 0:
            return None if plain is None else plain.points
        straight = min(abs(a.x - b.x) + abs(a.y - b.y) for a in starts for b in stops)
        xs, ys = [p.x for p in (*starts, *stops)], [p.y for p in (*starts, *stops)]
        near = Box(
            max(self.area.left, min(xs) - _AROUND),
            max(self.area.top, min(ys) - _AROUND),
            min(self.area.right, max(xs) + _AROUND),
            min(self.area.bottom, max(ys) + _AROUND),
        )
        found = self.grid.find(starts, stops, most=straight + _DETOUR, reach=near, steps=steps)
        self.work -= steps if found is None else min(steps, 30 * found.length)
        if found is None:
            return None if plain is None else plain.points
        if plain is not None and plain.cost <= self.cost(found.points):
            return plain.points
        return found.points

    def cost(self, points: Sequence[Point]) -> int:
        """What a way costs in the grid as it is: see `Roads.find`."""
        return way_cost(self.grid, points)


def way_of(a: Point, b: Point) -> int:
    """The direction from one point to another that is level with it or straight above or below it."""
    if a[0] == b[0]:
        return NORTH if b[1] < a[1] else SOUTH
    return EAST if b[0] > a[0] else WEST


def _steps(line: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    """A line from grid point to grid point."""
    for a, b in pairwise(line):
        dx, dy = (b[0] > a[0]) - (b[0] < a[0]), (b[1] > a[1]) - (b[1] < a[1])
        at = a
        while at != b:
            then = (at[0] + dx, at[1] + dy)
            yield at, then
            at = then


def _off(one: Piece, other: Piece) -> int:
    """How far two symbols are apart, a bus rather one that the other stands straight over or under."""
    away = 0
    for bar, at in ((one, other.placement), (other, one.placement)):
        x, y = bar.meets("", (at.x, at.y))
        dx, dy = abs(at.x - x), abs(at.y - y)
        away += min(dx, dy) * 4 + dx + dy if bar.is_bar else dx + dy
    return away


def _leaves_by(points: Sequence[Point], pin: Pin) -> bool:
    return points[0] == (pin.x, pin.y) and way_of(points[0], points[1]) == pin.out


def pins_at(piece: Piece, terminal: str, at: Point) -> list[Pin]:
    """Where a run may meet a terminal; on a bus only beside that point, where that is beside the bus."""
    every = pins(piece, terminal)
    if not piece.is_bar:
        return every
    (_ax, ay), (_bx, by) = piece.ends()
    return [pin for pin in every if (pin.x == at[0] if ay == by else pin.y == at[1])] or every


def bends_of(points: Sequence[Point], pair: tuple[Piece, Piece]) -> tuple[Point, ...]:
    """The corners to keep. A straight way from bus to bus keeps a point between, which tells where it stands."""
    bends = tuple(points[1:-1])
    if not bends and pair[0].is_bar and pair[1].is_bar:
        (ax, ay), (bx, by) = points[0], points[-1]
        middle = ((ax + bx) // 2, (ay + by) // 2)
        return (middle,) if middle not in (points[0], points[-1]) else ()
    return bends


def route_of(draft: Draft, run: str, sheet: str) -> str:
    """The id of the record of a run's way on a sheet, "" where there is none."""
    return next((i for i, r in draft.table("routes").items() if r.run == run and r.sheet == sheet), "")


def keep_route(
    draft: Draft, run: str, sheet: str, bends: Iterable[Point], *, gap: int | None = None, by_hand: bool = False
) -> str:
    """Keep a run's corners on a sheet, in the record there is or a new one; returns its id."""
    made = tuple(Bend(x=x, y=y) for x, y in bends)
    known = route_of(draft, run, sheet)
    if known:
        draft.change("routes", known, bends=made, gap=gap, by_hand=by_hand)
        return known
    return draft.add("routes", Route(run=run, sheet=sheet, bends=made, gap=gap, by_hand=by_hand))


def _long(points: Sequence[Point]) -> int:
    return sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pairwise(points))


def bring_on_line(points: Sequence[Point], at: Point) -> tuple[int, Point]:
    """The stretch of a line nearest to a point, and the nearest grid point on it."""
    best: tuple[int, int, Point] | None = None
    for n, (a, b) in enumerate(pairwise(points)):
        near = (
            min(max(at[0], min(a[0], b[0])), max(a[0], b[0])),
            min(max(at[1], min(a[1], b[1])), max(a[1], b[1])),
        )
        far = abs(near[0] - at[0]) + abs(near[1] - at[1])
        if best is None or far < best[0]:
            best = (far, n, near)
    assert best is not None
    return best[1], best[2]
