"""What stands where: placements with their symbols, runs as parts on sheets. Grid steps from the frame's corner."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from itertools import pairwise
from typing import Literal, NamedTuple

from app.drawing.frame import Frame, frame
from app.drawing.hand.lines import line_over
from app.drawing.looks import Look, look
from app.drawing.title_block import TitleFields
from app.own_symbols import refreshed
from engine.equipment.base import Equipment
from engine.geometry import turns
from engine.installation import Aside, End, Placement, Route, Run, Sheet, Snapshot
from engine.picture import Box
from symbols.catalogue import Port, Side

__all__ = ["Piece", "RunPart", "Scene", "paper", "set_scene"]

Point = tuple[int, int]


@lru_cache
def paper(size: str, margin: bool = True) -> Frame:
    """The bare sheet of a size: where its boxes are."""
    return frame(size, TitleFields(), margin=margin)


class Piece(NamedTuple):
    """A placement with its symbol."""

    id: str
    placement: Placement
    record: Equipment
    look: Look
    first: bool  # the first symbol of its equipment
    several: bool  # its equipment has more than one

    @property
    def equipment(self) -> str:
        """Id of what it shows."""
        return self.placement.equipment

    @property
    def box(self) -> Box:
        """Its strokes, in steps."""
        b, x, y = self.look.box, self.placement.x, self.placement.y
        return Box(b.left + x, b.top + y, b.right + x, b.bottom + y)

    @property
    def is_bar(self) -> bool:
        """Whether runs may meet it anywhere along its length."""
        return self.look.stretches

    def shows(self, terminal: str) -> bool:
        """Whether a terminal is shown here."""
        return not self.placement.terminals or terminal in self.placement.terminals

    def port(self, terminal: str) -> Port:
        """A terminal in its place."""
        found = self.look.ports.get(terminal) or next(iter(self.look.ports.values()), Port(terminal, 0, 0, "bottom"))
        return Port(found.name, found.x + self.placement.x, found.y + self.placement.y, found.side)

    def sides(self, terminal: str) -> tuple[Side, ...]:
        """The sides by which a run may leave a terminal; none where any will do."""
        if self.is_bar:
            (_ax, ay), (_bx, by) = self.ends()
            return ("top", "bottom") if ay == by else ("left", "right")
        if self.record.ROLE == "junction" and len(self.look.ports) == 1:
            return ()
        return (self.port(terminal).side,)

    def ends(self) -> tuple[Point, Point]:
        """The two ends of a bar."""
        x, y, long = self.placement.x, self.placement.y, self.placement.length or 8
        dx, dy = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}[self.placement.rotation]
        if self.placement.mirrored:
            dx = -dx
        a, b = (x, y), (x + dx * long, y + dy * long)
        return min(a, b), max(a, b)

    def meets(self, terminal: str, toward: Point) -> Point:
        """Where a run that comes from `toward` arrives."""
        if not self.is_bar:
            port = self.port(terminal)
            return port.x, port.y
        (ax, ay), (bx, by) = self.ends()
        return min(max(toward[0], ax), bx), min(max(toward[1], ay), by)


class RunPart(NamedTuple):
    """A run, or what a sheet shows of it: then it ends in an arrow at its last point."""

    run: str
    sheet: str
    kind: Literal["whole", "from", "to"]
    points: tuple[Point, ...]  # a whole run from its `from` end; a part from its terminal to the arrow
    near: str  # placement at the first point
    far: str  # placement at the other end of the run, "" where it is drawn nowhere
    label: Aside | None = None  # where its label was put by hand

    @property
    def side(self) -> Side:
        """Which way the arrow points."""
        (ax, ay), (bx, by) = self.points[-2], self.points[-1]
        if ax == bx:
            return "top" if by < ay else "bottom"
        return "left" if bx < ax else "right"


class _Made(NamedTuple):
    """What the parts of a run were made from, and the parts (`None`: no usable route)."""

    run: Run
    routes: dict[str, Route]
    starts: list[Piece]
    stops: list[Piece]
    parts: list[RunPart] | None = None

    def is_as(self, other: _Made) -> bool:
        """Whether it is made from the very same records and symbols."""
        return (
            self.run is other.run
            and self.routes.keys() == other.routes.keys()
            and all(route is other.routes[sheet] for sheet, route in self.routes.items())
            and len(self.starts) == len(other.starts)
            and len(self.stops) == len(other.stops)
            and all(a is b for a, b in zip(self.starts, other.starts, strict=True))
            and all(a is b for a, b in zip(self.stops, other.stops, strict=True))
        )


class Scene:
    """All sheets of a drawing."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self.own = refreshed().number  # which reading of the yard's own symbols it is drawn with
        self.has_zones = True  # references name zones: there are frames to find them by
        self.view = "all"  # of `app.drawing.whole.in_view.VIEWS`
        self.remarks: tuple[str, ...] = ()  # what every sheet says of how it is shown
        self.sheets: list[tuple[str, Sheet]] = sorted(
            snapshot.sheets.items(), key=lambda s: (s[1].number, _number(s[0]))
        )
        # of a sheet in the set, as references, title blocks and the window say it
        self.number = {item: n for n, (item, _sheet) in enumerate(self.sheets, 1)}
        self.pieces: dict[str, Piece] = {}
        self.of: dict[str, list[Piece]] = {}  # equipment -> its placements, in the order of the sheets
        self.parts: list[RunPart] = []
        self._on: dict[str, list[Piece]] = {}
        self._parts_on: dict[str, list[RunPart]] = {}
        self._ends: dict[tuple[str, str], RunPart] = {}
        self.made: dict[str, _Made] = {}  # of a run
        self.undrawn: list[str] = []  # equipment without a symbol on any sheet
        self.unrouted: list[str] = []  # runs that are wanted on a sheet and have no usable route there

    def on(self, sheet: str) -> list[Piece]:
        """Symbols of a sheet."""
        return self._on.get(sheet, [])

    def parts_on(self, sheet: str) -> list[RunPart]:
        """Runs of a sheet."""
        return self._parts_on.get(sheet, [])

    def place(self, piece: Piece) -> None:
        """Stand a symbol on its sheet."""
        self.pieces[piece.id] = piece
        self.of.setdefault(piece.equipment, []).append(piece)
        self._on.setdefault(piece.placement.sheet, []).append(piece)

    def lead(self, part: RunPart) -> None:
        """Show a run, or one end of it."""
        self.parts.append(part)
        self._parts_on.setdefault(part.sheet, []).append(part)
        self._ends[part.run, part.kind] = part

    def far_point(self, part: RunPart) -> Point | None:
        """Where the other end of a broken run begins: what its arrow leads to."""
        other = self._ends.get((part.run, "to" if part.kind == "from" else "from"))
        if other is not None:
            return other.points[0]
        far = self.pieces.get(part.far)
        return None if far is None else (far.placement.x, far.placement.y)


def set_scene(snapshot: Snapshot, before: Scene | None = None) -> Scene:
    """Placements and stored routes of a snapshot. Runs without a usable route are listed, `routes` finds them one.

    From the scene of a moment `before` is taken what was made of the very same records: after an edit nearly all.
    """
    scene = Scene(snapshot)
    if before is not None and (
        before.snapshot.settings.symbols != snapshot.settings.symbols or before.own != scene.own
    ):
        before = None
    order = {item: n for n, (item, _s) in enumerate(scene.sheets)}
    stored = sorted(
        (
            (item, p)
            for item, p in snapshot.placements.items()
            if p.sheet in order and p.equipment in snapshot.equipment
        ),
        key=lambda p: (order[p[1].sheet], _number(p[0])),
    )
    count: dict[str, int] = {}
    for _item, placement in stored:
        count[placement.equipment] = count.get(placement.equipment, 0) + 1
    for item, placement in stored:
        record = snapshot.equipment[placement.equipment]
        first, several = placement.equipment not in scene.of, count[placement.equipment] > 1
        old = None if before is None else before.pieces.get(item)
        if (
            old is not None
            and old.placement is placement
            and old.record is record
            and (old.first, old.several) == (first, several)
        ):
            scene.place(old)
            continue
        seen = look(
            record,
            snapshot.settings.symbols,
            placement.rotation,
            placement.mirrored,
            placement.length,
            placement.symbol,
        )
        scene.place(Piece(item, placement, record, seen, first, several))
    scene.undrawn = [item for item in snapshot.equipment if item not in scene.of]
    routes: dict[str, dict[str, Route]] = {}  # of a run by sheet
    for route in snapshot.routes.values():
        routes.setdefault(route.run, {})[route.sheet] = route
    nothing: dict[str, Route] = {}
    for item, run in snapshot.runs.items():
        made = _Made(
            run,
            routes.get(item, nothing),
            _showing(scene, run.from_end),
            _showing(scene, run.to_end),
        )
        old_one = None if before is None else before.made.get(item)
        parts = old_one.parts if old_one is not None and made.is_as(old_one) else _parts(item, made)
        scene.made[item] = made = made._replace(parts=parts)
        if parts is None:
            scene.unrouted.append(item)
        for part in parts or ():
            scene.lead(part)
    return scene


def _number(item: str) -> int:
    return int(item[1:]) if item[1:].isdecimal() and item[1:].isascii() else 0


def _showing(scene: Scene, end: End) -> list[Piece]:
    of = scene.of.get(end.equipment, [])
    if len(of) == 1 and not of[0].placement.terminals:
        return of
    return [p for p in of if p.shows(end.terminal)]


def _parts(item: str, of: _Made) -> list[RunPart] | None:
    """What of a run is drawn; `None` where it is wanted on a sheet and has no usable route there."""
    run, routes = of.run, of.routes
    pair = _pair(of.starts, of.stops, routes)
    if pair is None:
        return []
    start, stop = pair
    if start is not None and stop is not None and start.placement.sheet == stop.placement.sheet:
        return _on_one_sheet(item, run, routes.get(start.placement.sheet), start, stop) or None
    made = []
    for piece, other, kind in ((start, stop, "from"), (stop, start, "to")):
        if piece is None:
            continue
        route = routes.get(piece.placement.sheet)
        part = _to_arrow(item, run, route, piece, other, kind)  # type: ignore[arg-type]  # the two words above
        if part is None:
            return None
        made.append(part)
    return made


def _pair(
    starts: list[Piece], stops: list[Piece], routes: dict[str, Route]
) -> tuple[Piece | None, Piece | None] | None:
    """Which symbols a run joins: two of one sheet if there are such, those its route touches first."""
    if not starts and not stops:
        return None
    if not starts or not stops:
        return (starts[0] if starts else None), (stops[0] if stops else None)
    if len(starts) == len(stops) == 1:
        return starts[0], stops[0]

    def off(piece: Piece, of: Iterable[Point]) -> int:
        """How far a bar is from the route: nothing where the route leaves it straight."""
        if not piece.is_bar:
            return 0
        (ax, ay), (bx, by) = piece.ends()
        return min(
            (min(abs(y - ay), abs(y - by)) if ax <= x <= bx else 1000 + min(abs(x - ax), abs(x - bx)) for x, y in of),
            default=0,
        )

    routed = set(routes)
    best: tuple[tuple[int, int, int], tuple[Piece, Piece]] | None = None
    for n, a in enumerate(starts):
        for m, b in enumerate(stops):
            same = a.placement.sheet == b.placement.sheet
            first, last = _outer(routes.get(a.placement.sheet)), _outer(routes.get(b.placement.sheet))
            told = a.placement.sheet in routed and b.placement.sheet in routed and (not same or len(routed) == 1)
            rank = (
                (0 if told else 2) + (0 if same else 1),
                (off(a, first[:1]) if first else off(a, [(b.placement.x, b.placement.y)]) if same else 0)
                + (off(b, last[-1:]) if last else off(b, [(a.placement.x, a.placement.y)]) if same else 0),
                n * 1000 + m,
            )
            if best is None or rank < best[0]:
                best = (rank, (a, b))
    assert best is not None
    return best[1]


def _outer(route: Route | None) -> list[Point]:
    return [] if route is None else [(b.x, b.y) for b in route.bends]


def _on_one_sheet(item: str, run: Run, route: Route | None, start: Piece, stop: Piece) -> list[RunPart]:
    sheet = start.placement.sheet
    bends = _outer(route)
    if route is None:
        return []
    if route.gap is not None and 0 < route.gap < len(bends):
        first, last = bends[: route.gap], bends[route.gap :]
        a = _line(start, run.from_end.terminal, first)
        b = _line(stop, run.to_end.terminal, last[::-1])
        if a is None or b is None:
            return []
        return [
            RunPart(item, sheet, "from", a, start.id, stop.id, route.label),
            RunPart(item, sheet, "to", b, stop.id, start.id, route.far_label),
        ]
    begin = start.meets(run.from_end.terminal, bends[0] if bends else stop.meets(run.to_end.terminal, _mid(start)))
    end = stop.meets(run.to_end.terminal, bends[-1] if bends else begin)
    begin = start.meets(run.from_end.terminal, bends[0] if bends else end)
    if route.by_hand:
        points: tuple[Point, ...] | None = line_over(
            begin, start.sides(run.from_end.terminal), bends, end, stop.sides(run.to_end.terminal)
        )
    else:
        points = _straight((begin, *bends, end))
    if points is None or len(points) < 2:
        return []
    return [RunPart(item, sheet, "whole", points, start.id, stop.id, route.label)]


def _mid(piece: Piece) -> Point:
    return piece.placement.x, piece.placement.y


def _to_arrow(
    item: str, run: Run, route: Route | None, piece: Piece, other: Piece | None, kind: Literal["from", "to"]
) -> RunPart | None:
    bends = _outer(route)
    if not bends:
        return None
    terminal = run.from_end.terminal if kind == "from" else run.to_end.terminal
    points = _line(piece, terminal, bends if kind == "from" else bends[::-1])
    if points is None:
        return None
    label = None if route is None else route.label
    return RunPart(item, piece.placement.sheet, kind, points, piece.id, other.id if other is not None else "", label)


def _line(piece: Piece, terminal: str, bends: list[Point]) -> tuple[Point, ...] | None:
    points = _straight((piece.meets(terminal, bends[0]), *bends))
    return points if points is not None and len(points) > 1 else None


def _straight(points: tuple[Point, ...]) -> tuple[Point, ...] | None:
    """The points if every stretch is level or upright."""
    if any(p[0] != q[0] and p[1] != q[1] for p, q in pairwise(points)):
        return None
    return turns(points)
