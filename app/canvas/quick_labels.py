"""Labels placed without a search: each in the first of its places that is free. No Qt.

Paper and the study process weigh all labels of a sheet against each other; on a crowded sheet that takes seconds. Here
it is a matter of milliseconds, and good enough until they have done so.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from app.drawing.added.remarks import draw_remarks
from app.drawing.hand.labels import device_form, put_spot, reference, run_form
from app.drawing.labels import Sight, arrow_box
from app.drawing.placed import Piece, RunPart, Scene
from app.drawing.spots import Spot, bar_spots, device_spots, joined_across, reference_spots, run_spots
from app.drawing.texts import Words, device_words, on_one_line, run_words
from engine.picture import Box, Ink, Text

__all__ = ["Room", "device_label", "run_label", "words_of"]

_CELL = 10.0  # mm


class Room:
    """What is taken on a sheet, in mm."""

    def __init__(self) -> None:
        self._cells: dict[tuple[int, int], list[Box]] = {}

    def take(self, box: Box) -> None:
        """Nothing else may stand there."""
        for cell in _cells(box):
            self._cells.setdefault(cell, []).append(box)

    def is_free(self, box: Box) -> bool:
        """Whether nothing stands there."""
        return not any(box.meets(other) for cell in _cells(box) for other in self._cells.get(cell, ()))

    def first(self, spots: Sequence[Spot], bounds: Box) -> Spot | None:
        """The first free spot on the sheet, else the first of all; it is taken then."""
        chosen = next((s for s in spots if _holds(bounds, s.box) and self.is_free(s.box)), spots[0] if spots else None)
        if chosen is not None:
            self.take(chosen.box)
        return chosen

    @staticmethod
    def of(scene: Scene, sight: Sight, texts: Iterable[Box] = ()) -> Room:
        """What symbols, runs and arrows of a sheet take, and texts."""
        made = Room()
        for piece in scene.on(sight.sheet):
            made.take(sight.box(piece.box))
        for part in scene.parts_on(sight.sheet):
            points = [sight.at(p) for p in part.points]
            for a, b in pairwise(points):
                made.take(Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])).grown(0.35))
            if part.kind != "whole":
                made.take(arrow_box(points[-1], part.side))
        for box in (*draw_remarks(scene, sight).room, *texts):
            made.take(box)
        return made


def words_of(scene: Scene, piece: Piece) -> Words:
    """The label of a symbol, but for where its other symbols stand."""
    return device_words(scene.snapshot, piece.equipment, repeated=not piece.first)


def device_label(scene: Scene, sight: Sight, piece: Piece, room: Room, sides: Iterable[str]) -> list[Text]:
    """The label of a symbol; `sides` are those where runs leave it."""
    ink: Ink = "grey" if piece.record.status == "by others" else "black"
    if piece.placement.label is not None:
        put = put_spot(sight, piece, piece.placement.label, device_form(scene, piece))
        room.take(put.box)
        return _texts(put, ink, piece.equipment)
    words = words_of(scene, piece)
    if piece.is_bar:
        a, b = piece.ends()
        spots = bar_spots(sight.at(a), sight.at(b), words)
    else:
        spots = device_spots(sight.box(piece.box), words, set(sides))
    return _texts(room.first(spots, sight.bounds), ink, piece.equipment)


def run_label(scene: Scene, sight: Sight, part: RunPart, room: Room) -> list[Text]:
    """The label of a run, or of the arrow in which it ends."""
    words = run_words(scene.snapshot, part.run)
    ink: Ink = "grey" if scene.snapshot.runs[part.run].status == "by others" else "black"
    if part.label is not None and (words.lines or part.kind != "whole"):
        put = put_spot(sight, part, part.label, run_form(scene, part))
        room.take(put.box)
        return _texts(put, ink, part.run)
    points = [sight.at(p) for p in part.points]
    if part.kind == "whole":
        flat = [Words((on_one_line(words),))] if words.lines else []
        spots = [spot for form in (words, *flat) if form.lines for spot in run_spots(points, form)]
    else:
        where = reference(scene, part, label=False)
        spots = reference_spots(points[-1], part.side, joined_across(words, where))
    return _texts(room.first(spots, sight.bounds), ink, part.run)


def _texts(spot: Spot | None, ink: Ink, owner: str) -> list[Text]:
    if spot is None:
        return []
    if spot.upright:
        return spot.words.upright(spot.box, ink, owner)
    return spot.words.texts(spot.box, spot.align, ink, owner)


def _cells(box: Box) -> list[tuple[int, int]]:
    return [
        (column, row)
        for column in range(int(box.left // _CELL), int(box.right // _CELL) + 1)
        for row in range(int(box.top // _CELL), int(box.bottom // _CELL) + 1)
    ]


def _holds(outer: Box, box: Box) -> bool:
    return outer.left <= box.left and outer.top <= box.top and box.right <= outer.right and box.bottom <= outer.bottom
