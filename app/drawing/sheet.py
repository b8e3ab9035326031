"""One sheet: symbols, runs, buses that go on, interlocks and labels. In mm on the sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import NamedTuple

from app.drawing.added.remarks import draw_remarks, remark_box, remarks_on
from app.drawing.choosing import Labelled
from app.drawing.enclosures import draw_enclosures, kept_free
from app.drawing.frame import Frame
from app.drawing.hand.labels import sight_of
from app.drawing.labels import Sight, ac_strokes, arrow_box, label_sheet, zone_of
from app.drawing.links import interlock_links
from app.drawing.meaning import symbol_of
from app.drawing.placed import Piece, Scene
from app.drawing.routes import junctions
from app.drawing.spots import ARROW
from app.drawing.strokes import run_strokes, symbol_strokes
from app.drawing.texts import BODY
from engine.meaning import Symbol
from engine.picture import Box, Primitive, Text, circle, polygon, text_box, transformed
from engine.words import _
from symbols import catalogue

__all__ = ["Body", "draw_sheet"]

_DOT = 0.9  # radius of a junction's dot, mm


class Body(NamedTuple):
    """What stands inside the frame of a sheet."""

    primitives: list[Primitive]
    taken: list[Box]  # room of symbols, lines, labels: flags keep off
    labelled: Labelled
    anchors: list[tuple[str, float, float]]
    places: dict[str, list[Box]]  # equipment or run -> where it is, for flags
    unlinked: list[str]  # interlocks that could not be drawn
    symbols: list[Symbol]  # whose strokes are among the primitives


def draw_sheet(
    scene: Scene, sheet: str, made: Frame, go_on: Callable[[], object] | None = None, room: Iterable[Box] = ()
) -> Body:
    """The body of a sheet; labels keep off `room`. `go_on` is called now and then and may raise to stop."""
    sight = sight_of(sheet, made)
    primitives: list[Primitive] = []
    taken: list[Box] = list(room)
    anchors: list[tuple[str, float, float]] = []
    places: dict[str, list[Box]] = {}
    ends: list[Box] = []
    symbols: list[Symbol] = []
    parts = scene.parts_on(sheet)
    for part in parts:
        run = scene.snapshot.runs[part.run]
        points = [sight.at(p) for p in part.points]
        primitives.extend(run_strokes(points, run.status, run.function, part.run))
        air = 0.8 if run.is_ac() else 0.35  # its oblique strokes reach so far
        for a, b in pairwise(points):
            taken.append(Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])).grown(air))
        places.setdefault(part.run, []).extend(_along(points))
        if part.kind != "whole":
            turn = {"top": 0, "right": 90, "bottom": 180, "left": 270}[part.side]
            primitives.extend(
                transformed(catalogue.mark("cross_reference", rotation=turn).primitives, *points[-1], owner=part.run)
            )
            taken.append(arrow_box(points[-1], part.side))
            anchors.append((f"{part.run}:{part.kind}", *points[-1]))
    for piece in scene.on(sheet):
        box = sight.box(piece.box)
        at = sight.at((piece.placement.x, piece.placement.y))
        strokes = symbol_strokes(piece.look.shape.primitives, at, box, piece.record.status, piece.equipment)
        primitives.extend(strokes)
        symbols.append(symbol_of(piece, at, strokes))
        taken.append(box.grown(0.8) if piece.record.status in ("to remove", "by others", "spare") else box)
        places.setdefault(piece.equipment, []).append(box)
        if piece.several:
            anchors.append((f"piece:{piece.id}", box.left, box.top))
        more, room = _goes_on(scene, sight, piece)
        primitives.extend(more)
        taken.extend(room)
        ends.extend(room)
    for point in junctions(scene, sheet):
        x, y = sight.at(point)
        primitives.append(circle(x, y, _DOT, 0.0, fill="black"))
    remarks = draw_remarks(scene, sight)
    primitives.extend(remarks.primitives)
    taken.extend(remarks.room)
    for item, remark in remarks_on(scene.snapshot, sheet).items():
        places[item] = [remark_box(sight, remark)]
    labelled = _labelled(scene, sight, taken, go_on)
    primitives.extend(labelled.primitives)
    primitives.extend(ac_strokes(scene, sight, labelled))
    taken.extend(box for box, _owner in labelled.boxes)
    for box, owner in labelled.boxes:  # beside its label is a good place for a flag too
        places.setdefault(owner, []).append(box)
    links, room, unlinked = interlock_links(scene, sight, made.drawing_box, [box for box, _o in labelled.boxes] + ends)
    primitives.extend(links)
    taken.extend(room)
    outlines = draw_enclosures(scene, sight, [*labelled.boxes, *((box, "") for box in ends)], taken)
    primitives.extend(outlines.primitives)
    taken.extend(outlines.room)
    return Body(primitives, taken, labelled, anchors, places, unlinked, symbols)


def _labelled(scene: Scene, sight: Sight, taken: list[Box], go_on: Callable[[], object] | None) -> Labelled:
    """The labels, off the outlines of enclosures as long as none is cut or left out for that."""
    kept = kept_free(scene, sight)
    made = label_sheet(scene, sight, [*taken, *kept], go_on)
    if kept and (made.missing or made.untold):
        other = label_sheet(scene, sight, taken, go_on)
        if len(other.missing) + len(other.untold) < len(made.missing) + len(made.untold):
            return other
    return made


def _along(points: list[tuple[float, float]]) -> list[Box]:
    """Small boxes along a run, its middle first."""
    spots: list[tuple[float, float]] = []
    for (ax, ay), (bx, by) in pairwise(points):
        long = abs(bx - ax) + abs(by - ay)
        count = max(1, int(long // 4.0))
        for n in range(count):
            share = (n + 0.5) / count
            spots.append((ax + (bx - ax) * share, ay + (by - ay) * share))
    middle = len(spots) / 2
    order = sorted(range(len(spots)), key=lambda n: abs(n + 0.5 - middle))
    return [Box(*spots[n], *spots[n]).grown(0.45) for n in order]


def _goes_on(scene: Scene, sight: Sight, piece: Piece) -> tuple[list[Primitive], list[Box]]:
    """Arrows at the ends of a bus that goes on: at the right to its next part, at the left to the one before."""
    if not piece.is_bar or not piece.several:
        return [], []
    every = scene.of[piece.equipment]
    at = next(n for n, p in enumerate(every) if p.id == piece.id)
    made: list[Primitive] = []
    room: list[Box] = []
    a, b = piece.ends()
    for other, end, out in ((at + 1, b, 1), (at - 1, a, -1)):
        if not 0 <= other < len(every):
            continue
        far = every[other]
        zone = zone_of(scene, far.placement.sheet, far.ends()[0 if out > 0 else 1])
        told = _("sheet {sheet} / {zone}") if zone else _("sheet {sheet}")
        where = told.format(sheet=scene.number[far.placement.sheet], zone=zone)
        x, y = sight.at(end)
        tip = x + out * ARROW
        made.append(polygon(((x, y - 2.5), (x, y + 2.5), (tip, y)), 0.35, owner=piece.equipment))
        x_text, anchor = tip + out * 0.8, "start" if out > 0 else "end"
        to = f"piece:{far.id}"
        text = Text(x_text, y + BODY / 2, where, BODY, anchor, owner=piece.equipment, link=to)  # type: ignore[arg-type]  # one of two words
        made.append(text)
        room.append(Box(min(x, tip), y - 2.7, max(x, tip), y + 2.7))
        room.append(text_box(text))
    return made, room
