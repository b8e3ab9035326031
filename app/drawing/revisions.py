"""What has changed since the drawing was last issued: a cloud round it, a triangle with the revision index, a note."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from app.drawing.notes import Note, plain
from engine.clouds import cloud, outlines
from engine.compare import Comparison
from engine.geometry import choose_places
from engine.installation import Snapshot
from engine.picture import Box, Primitive, Text, cut_text, polygon, text_width
from engine.words import _, ngettext

__all__ = ["Marks", "Since", "change_notes", "in_triangle", "revision_marks", "side_of", "triangle"]

SIDE = 7.5  # mm, of a triangle with one letter
_TALL = 2.5
_LONGEST = 12.0  # mm, of an index in a triangle
_OFF = (0.6, 3.0, 6.0, 10.0, 15.0)  # how far a triangle may stand off its cloud


class Marks(NamedTuple):
    """Clouds, which lie under everything else, triangles, which lie over it, and the room these take."""

    clouds: list[Primitive]
    triangles: list[Primitive]
    room: list[Box]


class Since(NamedTuple):
    """The drawing as last issued and what became of it; `index` is the revision that shows it."""

    before: Snapshot
    changes: Comparison
    index: str

    @property
    def at(self) -> str:
        """What stands in the triangle."""
        return in_triangle(self.index)


def in_triangle(index: str) -> str:
    """A revision index as a triangle shows it: cut where it is long, "?" where there is none."""
    return cut_text(" ".join(index.split()), _LONGEST, _TALL, bold=True) or "?"


def triangle(x: float, y: float, index: str) -> list[Primitive]:
    """An upright triangle centred on (x, y), with the revision index in it."""
    side = side_of(index)
    high = side * math.sqrt(3) / 2
    corners = ((x, y - high / 2), (x + side / 2, y + high / 2), (x - side / 2, y + high / 2))
    return [
        polygon(corners, 0.35, fill="white", owner="revision"),
        Text(x, y + high / 2 - 1.1, index, _TALL, "middle", bold=True, owner="revision"),
    ]


def side_of(index: str) -> float:
    """A longer index takes a larger triangle: type never shrinks."""
    return max(SIDE, (text_width(index, _TALL, bold=True) + 4.6) * 1.05)


def revision_marks(
    places: dict[str, list[Box]], marked: Iterable[str], taken: Sequence[Box], bounds: Box, index: str
) -> Marks:
    """Clouds and triangles on one sheet. `places`: where everything on it is."""
    boxes = [box for item in marked for box in places.get(item, ())]
    clouds: list[Primitive] = []
    made: list[Primitive] = []
    wishes: list[list[Box]] = []
    for outline in outlines(boxes, bounds.grown(1.0)):
        clouds.append(cloud(outline, 0.35, "grey", owner="revision"))
        wishes.append(_stands(outline, index))
    room: list[Box] = []
    for stands, chosen in zip(wishes, choose_places(wishes, taken, bounds), strict=True):
        # without a free place it stands at the first corner: a cloud is never without its revision
        at = stands[0 if chosen is None else chosen]
        made.extend(triangle((at.left + at.right) / 2, (at.top + at.bottom) / 2, index))
        room.append(at)
    return Marks(clouds, made, room)


def _stands(outline: Sequence[tuple[float, float]], index: str) -> list[Box]:
    """Room for a triangle at the corners of a cloud, the upper right ones first."""
    half = side_of(index) / 2 + 0.4
    made = []
    for off in _OFF:
        for x, y in sorted(outline, key=lambda point: (point[1] - point[0], point)):
            for dx, dy in ((1, -1), (1, 1), (-1, -1), (-1, 1)):
                cx, cy = x + dx * (half + off), y + dy * (half + off)
                made.append(Box(cx - half, cy - half, cx + half, cy + half))
    return made


def change_notes(since: Since, after: Snapshot, here: Iterable[str], first: bool) -> list[Note]:
    """What was added and changed on one sheet; what was removed, on the first."""
    on_sheet = set(here)
    changes = since.changes
    added = [after.name(item) for item in changes.added if item in on_sheet]
    changed = [change for change in changes.changed if change.item in on_sheet]
    lines = []
    if added:
        lines.append(_("Added: {names}.").format(names=", ".join(added)))
    lines.extend(
        _("Changed: {name} ({fields}).").format(name=after.name(each.item), fields=", ".join(each.fields).lower())
        for each in changed
    )
    if first and changes.removed:
        gone = ", ".join(since.before.name(item) for item in changes.removed)
        count = ngettext("Removed, {n} thing: {names}.", "Removed, {n} things: {names}.", len(changes.removed))
        lines.append(count.format(n=len(changes.removed), names=gone))
    if not lines:
        return []
    was = since.before.title_block.revision
    told = _("Revision {index}, since {was}").format(index=since.at, was=was) if was not in ("", since.at) else ""
    return [plain(told or _("Revision {index}").format(index=since.at), bold=True), *map(plain, lines)]
