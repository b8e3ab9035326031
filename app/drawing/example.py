"""One small picture of a whole installation, as its sheets would show it: no frame, no title block, no margin.

For help pages. What is found is flagged by its number where it is, as on a sheet. Where the layout parts an
installation over several sheets they stand one below the other, each under its number, so that what refers from one to
the other can be followed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from app.drawing.margin import flags
from app.drawing.notes import Note, NoteLine
from app.drawing.placed import Scene, paper, set_scene
from app.drawing.routes import find_missing
from app.drawing.sheet import draw_sheet
from app.drawing.sheets import grid_of, laid_out, lock_words
from engine.findings import Finding
from engine.installation import Snapshot
from engine.picture import Box, Path, Picture, Primitive, Text, around, path_box, text_box, transformed
from engine.words import _

__all__ = ["Drawn", "draw_whole"]

_SMALLEST = "A4"
_AIR = 3.0  # mm round everything
_BETWEEN = 6.0  # from sheet to sheet
_TALL = 2.5  # height of a capital


class Drawn(NamedTuple):
    """A picture of an installation and what came of drawing it."""

    picture: Picture
    unflagged: tuple[int, ...]  # numbers of findings that stand nowhere in it: they speak of nothing that is drawn
    undrawn: tuple[str, ...]  # ids of equipment and runs it could not show
    untold: tuple[str, ...]  # labels that found no room
    remarks: tuple[str, ...]  # interlocks that no link shows, in sentences


def draw_whole(snapshot: Snapshot, findings: Sequence[Finding] = (), title: str = "") -> Drawn:
    """Everything in an installation on one picture; its own sheets are not heeded, it is laid out for this.

    Findings are numbered from 1 in the order given.
    """
    snapshot = laid_out(snapshot, _SMALLEST)
    scene = set_scene(snapshot)
    scene.has_zones = False
    find_missing(scene, {item: grid_of(sheet) for item, sheet in scene.sheets})
    notes = [
        Note((NoteLine(finding.message),), n, _spoken_of(snapshot, finding), "finding")
        for n, finding in enumerate(findings, 1)
    ]
    made: list[Primitive] = []
    untold: list[str] = []
    unlinked: list[str] = []
    flagged: set[int] = set()
    wide, y = 0.0, 0.0
    for item, sheet in scene.sheets:
        body = draw_sheet(scene, item, paper(sheet.size))
        here = [note for note in notes if note.number not in flagged and any(i in body.places for i in note.at)]
        marks, lost = flags(here, body.places, body.taken, paper(sheet.size).drawing_box.grown(12.0))
        flagged |= {note.number for note in here} - set(lost)
        part = [*body.primitives, *marks]
        if not part:
            continue
        if len(scene.sheets) > 1:
            y += _BETWEEN if made else 0.0
            made.append(Text(0.0, y + _TALL, _("Sheet {n}").format(n=scene.number[item]), _TALL, ink="grey"))
            y += _TALL + 2 * _AIR
        box = _around(part)
        made.extend(transformed(part, -box.left, y - box.top))
        untold.extend(body.labelled.untold)
        unlinked.extend(body.unlinked)
        wide = max(wide, box.right - box.left)
        y += box.bottom - box.top
    picture = Picture(wide + 2 * _AIR, y + 2 * _AIR, tuple(transformed(made, _AIR, _AIR)), title)
    return Drawn(
        picture,
        tuple(note.number for note in notes if note.number not in flagged),
        _undrawn(scene),
        tuple(dict.fromkeys(untold)),
        tuple(lock_words(snapshot, item) for item in dict.fromkeys(unlinked)),
    )


def _spoken_of(snapshot: Snapshot, finding: Finding) -> tuple[str, ...]:
    """What can be drawn of what a finding speaks of; where none of its ids can, what goes by the names it names."""
    drawn = {**snapshot.equipment, **snapshot.runs}
    ids = tuple(item for item in finding.ids if item in drawn)
    return ids or tuple(item for item, record in drawn.items() if record.designation in finding.designations)


def _around(primitives: Sequence[Primitive]) -> Box:
    boxes = [path_box(p) if isinstance(p, Path) else text_box(p) for p in primitives]
    return around(boxes)


def _undrawn(scene: Scene) -> tuple[str, ...]:
    runs = {part.run for part in scene.parts}
    return (*scene.undrawn, *(item for item in scene.snapshot.runs if item not in runs))
