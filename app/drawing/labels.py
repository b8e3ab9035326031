"""Labels of one sheet: each in the best place where it meets nothing else. In mm on the sheet."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from itertools import pairwise

from app.drawing.choosing import Label, Labelled, place_labels, told
from app.drawing.hand.labels import Sight, device_form, met, put_spot, reference, run_form, zone_of
from app.drawing.placed import Piece, Point, RunPart, Scene
from app.drawing.spots import ARROW, Spot, bar_spots, device_spots, joined_across, reference_spots, run_spots
from app.drawing.texts import (
    WIDTHS,
    Words,
    conductors,
    device_text,
    device_words,
    on_one_line,
    run_words,
)
from engine.picture import Box, Ink, Primitive, Text, line, text_box
from engine.words import _

__all__ = ["Sight", "ac_strokes", "arrow_box", "label_sheet", "zone_of"]

_STROKE_GAP = 0.9  # mm between the oblique strokes of an AC run


def label_sheet(scene: Scene, sight: Sight, taken: list[Box], go_on: Callable[[], object] | None = None) -> Labelled:
    """Write at every symbol, run and arrow of a sheet. `taken`: what labels keep off, in mm. `go_on` may raise."""
    labels: list[Label] = []
    used: dict[str, set[str]] = {}
    for part in scene.parts_on(sight.sheet):
        for placement, terminal in _ends(scene, part):
            piece = scene.pieces[placement]
            if not piece.is_bar:
                used.setdefault(placement, set()).add(_side(part, piece, terminal))
    for piece in scene.on(sight.sheet):
        labels.extend(_device(scene, sight, piece, used.get(piece.id, set())))
    parts = scene.parts_on(sight.sheet)
    tips = [(p.points[-1], p.side) for p in parts if p.kind != "whole"]
    for part in parts:
        alone = part.kind == "whole" or sum(_close(part, *tip) for tip in tips) < 2
        labels.extend(_run(scene, sight, part, alone))
    if go_on is not None:
        go_on()
    made = place_labels(labels, taken, sight.bounds, go_on)
    made.met.extend(met(scene, sight, [(label.owner, label.put.box) for label in labels if label.put is not None]))
    return made


def _ends(scene: Scene, part: RunPart) -> list[tuple[str, str]]:
    run = scene.snapshot.runs[part.run]
    near, far = run.from_end.terminal, run.to_end.terminal
    if part.kind == "to":
        near, far = far, near
    return [(part.near, near), *([(part.far, far)] if part.kind == "whole" else [])]


def _side(part: RunPart, piece: Piece, terminal: str) -> str:
    """The side of a symbol that a run leaves by."""
    points = part.points if part.near == piece.id else part.points[::-1]
    port = piece.port(terminal)
    if points[0] != (port.x, port.y) or len(points) < 2:
        return port.side
    (ax, ay), (bx, by) = points[0], points[1]
    if ax == bx:
        return "top" if by < ay else "bottom"
    return "left" if bx < ax else "right"


def _device(scene: Scene, sight: Sight, piece: Piece, used: set[str]) -> list[Label]:
    also = ""
    if piece.several:
        others = [p for p in scene.of[piece.equipment] if p.id != piece.id]
        also = _("also {places}").format(places=", ".join(_where(scene, p) for p in others))
    words = device_words(scene.snapshot, piece.equipment, repeated=not piece.first, also=also)
    short = Words(words.lines[:1])
    ink: Ink = "grey" if piece.record.status == "by others" else "black"
    box = sight.box(piece.box)
    link = _next_symbol(scene, piece)
    if piece.placement.label is not None:
        form = words if not piece.is_bar else device_form(scene, piece)
        return [Label(piece.equipment, [], [], ink, link, put=put_spot(sight, piece, piece.placement.label, form))]
    near: Callable[[Words], list[Spot]] = partial(device_spots, box, used=used)
    if piece.is_bar:
        a, b = piece.ends()
        start, end = sight.at(a), sight.at(b)
        if a[1] == b[1]:
            also = ""
            words = device_words(scene.snapshot, piece.equipment, repeated=not piece.first)
            near = partial(bar_spots, start, end)
    return [
        Label(
            piece.equipment,
            near(words),
            near(short),
            ink,
            link,
            forms=lambda: [
                device_words(scene.snapshot, piece.equipment, repeated=not piece.first, also=also, widest=width)
                for width in WIDTHS
            ],
            near=near,
            anchors=(box,),
            told=device_text(scene.snapshot, piece.equipment, repeated=not piece.first, also=also),
        )
    ]


def _next_symbol(scene: Scene, piece: Piece) -> str:
    """The anchor of the next symbol of the same equipment, of the last one that of the first; "" for the only one."""
    if not piece.several:
        return ""
    every = scene.of[piece.equipment]
    at = next(n for n, each in enumerate(every) if each.id == piece.id)
    return f"piece:{every[(at + 1) % len(every)].id}"


def _where(scene: Scene, piece: Piece) -> str:
    zone = zone_of(scene, piece.placement.sheet, _middle(piece))
    number = str(scene.number[piece.placement.sheet])
    return f"{number} / {zone}" if zone else _("on sheet {sheet}").format(sheet=number)


def _middle(piece: Piece) -> tuple[float, float]:
    b = piece.box
    return (b.left + b.right) / 2, (b.top + b.bottom) / 2


def _close(part: RunPart, tip: Point, side: str) -> bool:
    """Whether an arrow stands so near that of a part that nothing can be written between them (itself does)."""
    x, y = part.points[-1]
    return side == part.side and abs(tip[0] - x) < 7 and abs(tip[1] - y) < 4


def _run(scene: Scene, sight: Sight, part: RunPart, alone: bool) -> list[Label]:
    run = scene.snapshot.runs[part.run]
    words = run_words(scene.snapshot, part.run)
    name = run_words(scene.snapshot, part.run, whole=False)
    points = [sight.at(p) for p in part.points]
    ink: Ink = "grey" if run.status == "by others" else "black"
    if part.kind == "whole" and not words.lines:
        return []
    if part.label is not None:
        link = "" if part.kind == "whole" else f"{part.run}:{'to' if part.kind == 'from' else 'from'}"
        return [Label(part.run, [], [], ink, link, put=put_spot(sight, part, part.label, run_form(scene, part)))]
    if part.kind == "whole":
        return [
            Label(
                part.run,
                _run_spots(points, words),
                run_spots(points, name),
                ink,
                forms=lambda: _forms(words),
                anchors=_along(points),
                told=told(words),
            )
        ]
    end, side = points[-1], part.side
    link = f"{part.run}:{'to' if part.kind == 'from' else 'from'}"
    (ax, ay), (bx, by) = part.points[-2], part.points[-1]
    apart = alone and ax == bx and abs(by - ay) >= 3
    where = reference(scene, part, label=apart)
    if apart:
        group = f"{part.run}:{part.kind}"
        short = reference(scene, part, label=False)
        both = joined_across(words, short)
        made = [
            Label(
                part.run,
                reference_spots(end, side, where),
                reference_spots(end, side, short, name),
                ink,
                link,
                group,
                tuple(reference_spots(end, side, short, words)),
                lambda: _forms(both),
                anchors=(arrow_box(end, side),),
                told=told(both),
            )
        ]
        if words.lines:
            made.append(Label(part.run, _run_spots(points, words), [], ink, "", group))
        return made
    all_of_it = joined_across(words, where)
    return [
        Label(
            part.run,
            reference_spots(end, side, where, words),
            reference_spots(end, side, where, name),
            ink,
            link,
            forms=lambda: _forms(all_of_it),
            anchors=(arrow_box(end, side),),
            told=told(all_of_it),
        )
    ]


def _forms(words: Words) -> list[Words]:
    """A label as it is, and on one line."""
    return [words, Words((on_one_line(words),))] if words.lines else []


def _along(points: list[tuple[float, float]]) -> tuple[Box, ...]:
    """Points of a run that a leader may point at: on its longest stretch, then on the others."""
    stretches = sorted(pairwise(points), key=lambda p: -abs(p[0][0] - p[1][0]) - abs(p[0][1] - p[1][1]))
    shares = (0.5, 0.25, 0.75)
    spots = [(ax + (bx - ax) * s, ay + (by - ay) * s) for (ax, ay), (bx, by) in stretches for s in shares]
    return tuple(Box(x, y, x, y).grown(0.45) for x, y in spots)


def _run_spots(points: list[tuple[float, float]], words: Words) -> list[Spot]:
    return run_spots(points, words) + run_spots(points, Words((on_one_line(words),)))


def ac_strokes(scene: Scene, sight: Sight, labelled: Labelled) -> list[Primitive]:
    """Oblique strokes on every AC run, one a conductor, beside where its label names the conductors."""
    made: list[Primitive] = []
    texts: dict[str, list[Text]] = {}
    for p in labelled.primitives:
        if isinstance(p, Text):
            texts.setdefault(p.owner, []).append(p)
    boxes: dict[str, list[Box]] = {}
    for box, owner in labelled.boxes:
        boxes.setdefault(owner, []).append(box)
    for part in scene.parts_on(sight.sheet):
        run = scene.snapshot.runs[part.run]
        names = conductors(run)
        text = next((t for t in texts.get(part.run, ()) if t.text.endswith(names) and not t.rotation), None)
        if not names or text is None:
            continue
        inside = text_box(text)
        label = next(b for b in boxes[part.run] if b.grown(0.1).meets(inside))
        count = len(run.conductors())
        for a, b in pairwise(sight.at(p) for p in part.points):
            at = _on_line(label, inside, a, b)
            if at is None:
                continue
            for n in range(count):
                off = (n - (count - 1) / 2) * _STROKE_GAP
                x, y = (at[0], at[1] + off) if a[0] == b[0] else (at[0] + off, at[1])
                dx, dy = (0.9, 0.6) if a[0] == b[0] else (0.6, 0.7)
                made.append(line(x - dx, y + dy, x + dx, y - dy, 0.35, owner=part.run))
            break
    return made


def _on_line(label: Box, text: Box, a: tuple[float, float], b: tuple[float, float]) -> tuple[float, float] | None:
    """Where on a stretch the strokes stand that belong to a label beside it; `None` where it is not beside it."""
    if a[0] == b[0]:
        y = (text.top + text.bottom) / 2 - 0.3
        near = min(abs(label.left - a[0]), abs(label.right - a[0])) < 2.0
        return (a[0], y) if near and min(a[1], b[1]) + 1.5 <= y <= max(a[1], b[1]) - 1.5 else None
    x = (text.left + text.right) / 2
    near = min(abs(label.top - a[1]), abs(label.bottom - a[1])) < 2.0
    return (x, a[1]) if near and min(a[0], b[0]) + 1.5 <= x <= max(a[0], b[0]) - 1.5 else None


def arrow_box(end: tuple[float, float], side: str) -> Box:
    """The room of an arrow that begins at `end`, in mm."""
    dx, dy = {"top": (0, -1), "bottom": (0, 1), "left": (-1, 0), "right": (1, 0)}[side]
    along = sorted((end[0] + dx * ARROW, end[0])) if dx else [end[0] - 2.7, end[0] + 2.7]
    down = sorted((end[1] + dy * ARROW, end[1])) if dy else [end[1] - 2.7, end[1] + 2.7]
    return Box(along[0], down[0], along[1], down[1])
