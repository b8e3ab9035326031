"""Figures over a sheet: what flows, what would flow in a fault. A layer of its own, never part of the as-built drawing.

Each figure stands in a frame with round ends and carries its unit, so that it is never taken for a rating that the
drawing records; a figure that is only a least value says so with ≥, one that is not known is not there. No Qt.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from itertools import pairwise
from typing import NamedTuple

from app.drawing.choosing import Label, place_labels
from app.drawing.labels import Sight
from app.drawing.placed import Piece, RunPart, Scene
from app.drawing.sheet import Body
from app.drawing.spots import Spot, device_spots, run_spots
from app.drawing.texts import Line, Words
from app.judgement import BusFigure, FaultFigure, FaultFigures, FlowFigures, RunFigure, SourceFigure
from engine.geometry import choose_places
from engine.picture import Box, Path, Primitive, Segment, Text, path_box, text_box
from engine.units import number, show
from engine.words import _

__all__ = ["FIGURE", "REST", "FigureWords", "Placed", "fault_words", "flow_words", "owner_of", "place_figures"]

FIGURE = "figure:"  # owners of the layer begin with it
REST = FIGURE + "rest"  # owner of the list of what found no room beside its own
TALL, SMALL = 2.5, 1.8  # heights of a capital, mm; the smaller one where there is no room
MOST_SECTIONS = 8  # of a bus that are told one by one
_GAP = "  "  # between amperes and drop
_PAD = 1.1  # mm between the type and the round ends of its frame
_AIR = 0.3  # above and below
_WIDTH = 0.18  # of the frame
_OFF = tuple(3.0 + 2.5 * n for n in range(9))  # how far a figure with a leader may stand off, mm: else it is listed
_ANCHORS = 3  # points of a run that its leader may point at
_STEP = 5.0  # mm between places tried for the list of what found no room
_BULGE = 0.5523  # of a quarter circle as a curve


class FigureWords(NamedTuple):
    """What stands beside a thing."""

    lines: tuple[str, ...]
    bold: bool = False  # a finding says that it is too much
    short: tuple[str, ...] = ()  # where there is no room for all of it


class Placed(NamedTuple):
    """The layer of a sheet by owner, and the ids whose figure found no room."""

    of: dict[str, tuple[Primitive, ...]]
    unplaced: tuple[str, ...]


def owner_of(item: str) -> str:
    """The owner of what stands at an item."""
    return FIGURE + item


# -- words ------------------------------------------------------------------------------------------------------------
def flow_words(flow: FlowFigures) -> dict[str, FigureWords]:
    """Amperes and drop of every run, what sources give and buses carry."""
    made: dict[str, FigureWords] = {}
    for item, run in flow.runs.items():
        if run.amps is not None:
            made[item] = FigureWords(_run_lines(run), run.is_over)
    for item, source in flow.sources.items():
        made[item] = FigureWords(_source_lines(source), source.is_over)
    for item, bus in flow.buses.items():
        made[item] = _bus_words(bus)
    return made


def _run_lines(run: RunFigure) -> tuple[str, ...]:
    amps = _amps(run.amps or 0.0, run.at_least)
    if not run.amps or run.drop_pct is None:
        return (amps,)
    return (amps, _percent(run.drop_pct, run.at_least))


def _source_lines(source: SourceFigure) -> tuple[str, ...]:
    amps = _amps(abs(source.amps), source.at_least)
    if source.amps < -1e-6:
        return (_("takes {amps}").format(amps=amps), show(source.volts, "V"))
    return (_("gives {amps}").format(amps=amps), show(source.volts, "V"))


def _bus_words(bus: BusFigure) -> FigureWords:
    """The most loaded section; all of them in the order of the studs where that is recorded, and they are few."""
    most = _("most loaded section {amps}").format(amps=_amps(bus.most_a, bus.at_least))
    if not bus.order_known and len(bus.sections_a) > 1:
        return FigureWords((most, _("studs in the worst order")), bus.is_over, short=(most,))
    if not 1 < len(bus.sections_a) <= MOST_SECTIONS:
        return FigureWords((most,), bus.is_over)
    every = ", ".join(number(abs(amps) if abs(amps) >= 0.0005 else 0.0) for amps in bus.sections_a)
    return FigureWords((most, _("from stud to stud {amounts} A").format(amounts=every)), bus.is_over, short=(most,))


def fault_words(faults: FaultFigures, name: Callable[[str], str] = str) -> dict[str, FigureWords]:
    """The largest and the smallest fault current at every device and bus. `name`: designation of an id."""
    made: dict[str, FigureWords] = {}
    for item, figure in (*faults.buses.items(), *faults.devices.items()):
        lines = _fault_lines(figure)
        if figure.far and figure.min_a is not None:
            whole = (*lines[:-1], _("{text} at the end of {run}").format(text=lines[-1], run=name(figure.far)))
            made[item] = FigureWords(whole, short=lines)
        elif lines:
            made[item] = FigureWords(lines)
    return made


def _fault_lines(figure: FaultFigure) -> tuple[str, ...]:
    lines = []
    if figure.max_a is not None:
        text = _("fault max ≤ {amps}") if figure.at_most else _("fault max {amps}")
        lines.append(text.format(amps=_amps(figure.max_a)))
    if figure.min_a is not None:
        text = _("min {amps}") if lines else _("fault min {amps}")
        lines.append(text.format(amps=_amps(figure.min_a)))
    return tuple(lines)


def _amps(value: float, at_least: bool = False) -> str:
    """Three figures, and nothing of what no meter aboard would show."""
    text = show(0.0 if abs(value) < 0.0005 else value, "A")
    return f"≥ {text}" if at_least else text


def _percent(value: float, at_least: bool = False) -> str:
    """One place after the point."""
    if 0 < value < 0.05:
        return _("under {n} %").format(n=number(0.1))
    text = f"{number(round(value, 1))} %"
    return f"≥ {text}" if at_least else text


# -- places -----------------------------------------------------------------------------------------------------------
class _Framed(Words):
    """Lines with room for their frame."""

    @property
    def width(self) -> float:
        """Of the frame."""
        return super().width + 2 * _PAD

    @property
    def height(self) -> float:
        """Of the frame."""
        return super().height + 2 * _AIR


def place_figures(
    scene: Scene,
    sight: Sight,
    body: Body,
    notes: Iterable[Primitive],
    words: Mapping[str, FigureWords],
    go_on: Callable[[], object] | None = None,
) -> Placed:
    """The layer of a sheet, off everything that stands on it. `notes`: its flags too. `go_on` may raise to stop."""
    taken = [*body.taken, *_flag_boxes(notes)]
    labels: list[Label] = []
    for item, part in _longest(scene, sight).items():
        if item in words:
            labels.append(_at_run(item, [sight.at(p) for p in part.points], words[item]))
    for item, piece in _first(scene, sight).items():
        if item in words:
            labels.append(_at_piece(item, sight, piece, words[item]))
    placed = place_labels(labels, taken, sight.bounds, go_on, _OFF)
    frames: dict[str, Box] = {}
    for box, owner in placed.boxes:
        frames.setdefault(owner, box)  # that of a leader comes after
    of: dict[str, list[Primitive]] = {}
    for primitive in placed.primitives:
        of.setdefault(primitive.owner, []).append(primitive)
    made = {owner: _dressed(some, frames[owner], owner) for owner, some in of.items()}
    lost = [owner.removeprefix(FIGURE) for owner in placed.missing]
    if lost:
        told = [f"{scene.snapshot.name(item)}: {'  '.join(words[item].short or words[item].lines)}" for item in lost]
        room = [*taken, *(box.grown(0.25) for box, _owner in placed.boxes)]
        listed = _listed(told, room, sight.bounds)
        if listed:
            made[REST] = listed
            lost = []
    return Placed(made, tuple(lost))


def _listed(told: list[str], taken: list[Box], bounds: Box) -> tuple[Primitive, ...]:
    """What found no room beside its own, in one list somewhere on the sheet; nothing where there is no room at all."""
    shapes = []
    for columns in (1, 2, 3, 4):
        rows = -(-len(told) // columns)
        lines = ["   ".join(told[n::rows]) for n in range(rows)]
        shapes.append(_Framed((Line(_("No room beside:"), TALL, True), *(Line(text, TALL) for text in lines))))
    for words in dict.fromkeys(shapes):
        w, h = words.width, words.height
        across = int((bounds.right - bounds.left - w) // _STEP) + 1
        down = int((bounds.bottom - bounds.top - h) // _STEP) + 1
        wishes = [
            Box(x, y, x + w, y + h)
            for n in range(max(down, 0))
            for m in range(max(across, 0))
            for x, y in ((bounds.left + m * _STEP, bounds.bottom - h - n * _STEP),)
        ]
        (at,) = choose_places([wishes], taken, bounds) if wishes else (None,)
        if at is not None:
            texts = words.texts(Box(*wishes[at]), "start", "blue", REST)
            moved = [t._replace(x=t.x + _PAD, y=t.y + _AIR) for t in texts]
            return (_frame(wishes[at], REST), *moved)
    return ()


def _longest(scene: Scene, sight: Sight) -> dict[str, RunPart]:
    """The longest part of every run of the sheet."""
    made: dict[str, RunPart] = {}
    for part in scene.parts_on(sight.sheet):
        if part.run not in made or _length(part) > _length(made[part.run]):
            made[part.run] = part
    return made


def _length(part: RunPart) -> float:
    return sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pairwise(part.points))


def _first(scene: Scene, sight: Sight) -> dict[str, Piece]:
    made: dict[str, Piece] = {}
    for piece in scene.on(sight.sheet):
        made.setdefault(piece.equipment, piece)
    return made


def _forms(words: FigureWords) -> list[_Framed]:
    """On one line, on several, without what may be left out; then in smaller type."""
    shapes = [(_GAP.join(words.lines),), words.lines]
    if words.short:
        shapes += [(_GAP.join(words.short),), words.short]
    return [
        _Framed(tuple(Line(text, tall, words.bold) for text in shape))
        for tall in (TALL, SMALL)
        for shape in dict.fromkeys(shapes)
    ]


def _at_run(item: str, points: list[tuple[float, float]], words: FigureWords) -> Label:
    forms = _forms(words)
    spots = [spot for form in forms for spot in (*run_spots(points, form), *_upright_spots(points, form))]
    return _label(item, spots, forms, _anchors(points)[:_ANCHORS])


def _upright_spots(points: list[tuple[float, float]], words: _Framed) -> list[Spot]:
    """Beside the upright stretches of a run, read from the right of the sheet; one line only."""
    long, wide = words.width, words.height
    made: list[Spot] = []
    for (ax, ay), (bx, by) in pairwise(points) if len(words.lines) == 1 else ():
        top, bottom = min(ay, by), max(ay, by)
        if ax != bx or bottom - top < long * 0.6:
            continue
        for share in (0.5, 0.25, 0.75, 0.0, 1.0):
            y = top + (bottom - top - long) * share
            for x in (ax + 1.0, ax - 1.0 - wide):
                made.append(Spot(Box(x, y, x + wide, y + long), upright=True, words=words))
    return made


def _at_piece(item: str, sight: Sight, piece: Piece, words: FigureWords) -> Label:
    forms = _forms(words)
    box = sight.box(piece.box)
    if piece.is_bar:
        a, b = sorted(sight.at(p) for p in piece.ends())
        spots = [spot for form in forms for spot in _along_bar(a, b, form)]
        anchors = tuple(Box(x, y, x, y).grown(0.45) for x, y in _between(a, b))
        return _label(item, spots, forms, anchors)
    spots = [spot for form in forms for spot in device_spots(box, form, ())]
    return _label(item, spots, forms, (box,))


def _label(item: str, spots: list[Spot], forms: list[_Framed], anchors: tuple[Box, ...]) -> Label:
    with_leader = [forms[0], forms[-1]]
    return Label(owner_of(item), spots, [], "blue", forms=partial(list, with_leader), anchors=anchors)


def _between(a: tuple[float, float], b: tuple[float, float]) -> list[tuple[float, float]]:
    return [(a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share) for share in (0.5, 0.25, 0.75, 0.0, 1.0)]


def _along_bar(a: tuple[float, float], b: tuple[float, float], words: Words) -> list[Spot]:
    """Over and under a bar that lies, right and left of one that stands; its middle first."""
    w, h = words.width, words.height
    made = []
    for n in (10, 9, 11, 8, 12, 7, 13, 6, 14, 4, 16, 2, 18, 0, 20):
        x, y = a[0] + (b[0] - a[0]) * n / 20, a[1] + (b[1] - a[1]) * n / 20
        if a[1] == b[1]:
            boxes = [Box(x - w / 2, top, x + w / 2, top + h) for top in (y - 1.8 - h, y + 1.8)]
        else:
            boxes = [Box(left, y - h / 2, left + w, y + h / 2) for left in (x + 1.8, x - 1.8 - w)]
        made += [Spot(box, "middle", words=words) for box in boxes]
    return made


def _anchors(points: list[tuple[float, float]]) -> tuple[Box, ...]:
    """Points of a run that a leader may point at, on its longest stretches first."""
    stretches = sorted(pairwise(points), key=lambda p: -abs(p[0][0] - p[1][0]) - abs(p[0][1] - p[1][1]))
    return tuple(
        Box(x, y, x, y).grown(0.45)
        for (ax, ay), (bx, by) in stretches
        for x, y in ((ax + (bx - ax) * s, ay + (by - ay) * s) for s in (0.5, 0.25, 0.75))
    )


def _flag_boxes(notes: Iterable[Primitive]) -> list[Box]:
    flags = (p for p in notes if p.owner.startswith("flag:"))
    return [text_box(p) if isinstance(p, Text) else path_box(p) for p in flags]


def _dressed(some: list[Primitive], box: Box, owner: str) -> tuple[Primitive, ...]:
    """The leader, where there is one, the frame, then each line of type in its middle."""
    texts = [p for p in some if isinstance(p, Text)]
    rest = [p for p in some if not isinstance(p, Text)]
    edges = [text_box(t) for t in texts]
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    off = y - (min(e.top for e in edges) + max(e.bottom for e in edges)) / 2
    middle = [t._replace(x=t.x + x - (e.left + e.right) / 2, y=t.y + off) for t, e in zip(texts, edges, strict=True)]
    return (*rest, _frame(box, owner), *middle)


def _frame(box: Box, owner: str) -> Path:
    """A rectangle with round ends, white inside."""
    left, top, right, bottom = box
    r = min((bottom - top) / 2, (right - left) / 2, _PAD * 1.4)
    k = r * (1 - _BULGE)
    segments: tuple[Segment, ...] = (
        ("M", left + r, top),
        ("L", right - r, top),
        ("C", right - k, top, right, top + k, right, top + r),
        ("L", right, bottom - r),
        ("C", right, bottom - k, right - k, bottom, right - r, bottom),
        ("L", left + r, bottom),
        ("C", left + k, bottom, left, bottom - k, left, bottom - r),
        ("L", left, top + r),
        ("C", left, top + k, left + k, top, left + r, top),
        ("Z",),
    )
    return Path(segments, _WIDTH, "blue", "white", owner=owner)
