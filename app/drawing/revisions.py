"""What has changed since the drawing was last issued: a cloud round it, a triangle with the revision index, a note."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from app.drawing.added.remarks import changed_remarks
from app.drawing.notes import Note, plain
from engine.clouds import cloud, outlines
from engine.compare import Comparison
from engine.geometry import choose_places
from engine.installation import Snapshot
from engine.picture import Box, Primitive, Text, cut_text, polygon, text_width
from engine.words import _, ngettext

__all__ = ["Marks", "Since", "change_notes", "in_triangle", "revision_marks", "side_of", "stands", "triangle"]

SIDE = 7.5  # mm, of a triangle with one letter
_REMARK = 40.0  # mm of a remark that a note repeats
_TALL = 2.5
_LONGEST = 12.0  # mm, of an index in a triangle
_OFF = (0.6, 3.0, 6.0, 10.0, 15.0)  # how far a triangle may stand off its cloud
_STEP = 4.0  # between places along a cloud
_BULGE = 1.5  # of a scallop


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
        wishes.append(stands(outline, side_of(index) / 2 + 0.4))
    room: list[Box] = []
    for wished, chosen in zip(wishes, choose_places(wishes, taken, bounds), strict=True):
        # without a free place it stands at the first corner: a cloud is never without its revision
        at = wished[0 if chosen is None else chosen]
        made.extend(triangle((at.left + at.right) / 2, (at.top + at.bottom) / 2, index))
        room.append(at)
    return Marks(clouds, made, room)


def stands(outline: Sequence[tuple[float, float]], half: float, high: float | None = None) -> list[Box]:
    """Room for a sign beside a cloud, near it first, then at the upper right first.

    `half` of its width and, where that is another, of its height, mm.
    """
    high = half if high is None else high
    corners = sorted(outline, key=lambda point: (point[1] - point[0], point))
    made = []
    for off in _OFF:
        for x, y in corners:
            for dx, dy in ((1, -1), (1, 1), (-1, -1), (-1, 1)):
                made.append(_room(x + dx * (half + off), y + dy * (high + off), half, high))
        for x, y, out_x, out_y in _along(outline):
            made.append(_room(x + out_x * (half + off + _BULGE), y + out_y * (high + off + _BULGE), half, high))
    return made


def _room(x: float, y: float, half: float, high: float) -> Box:
    return Box(x - half, y - high, x + half, y + high)


def _along(outline: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float, float, float]]:
    """Points along a closed outline, and which way is outward there."""
    ends = [*outline[1:], outline[0]]
    area = sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(outline, ends, strict=True))
    turn = 1 if area > 0 else -1
    for (ax, ay), (bx, by) in zip(outline, ends, strict=True):
        far = math.hypot(bx - ax, by - ay)
        count = max(1, round(far / _STEP))
        for n in range(count):
            share = (n + 0.5) / count
            yield (
                ax + (bx - ax) * share,
                ay + (by - ay) * share,
                turn * (by - ay) / far,
                -turn * (bx - ax) / far,
            )


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
        _("Changed: {name} ({fields}).").format(name=after.name(each.item), fields="; ".join(each.words))
        for each in changed
    )
    written = [after.remarks[item].text for item in changed_remarks(since.before, after) if item in on_sheet]
    if written:
        told = "; ".join(f"“{cut_text(' '.join(text.split()), _REMARK)}”" for text in written)
        lines.append(_("Remarks written or changed: {texts}.").format(texts=told))
    if first and changes.removed:
        gone = ", ".join(since.before.name(item) for item in changes.removed)
        count = ngettext("Removed, {n} thing: {names}.", "Removed, {n} things: {names}.", len(changes.removed))
        lines.append(count.format(n=len(changes.removed), names=gone))
    if not lines:
        return []
    was = since.before.title_block.revision
    told = _("Revision {index}, since {was}").format(index=since.at, was=was) if was not in ("", since.at) else ""
    if was and was == since.index:  # who holds both cannot tell them apart
        lines.append(
            _("The issue before is revision {index} too: this one needs an index of its own.").format(index=since.at)
        )
    return [plain(told or _("Revision {index}").format(index=since.at), bold=True), *map(plain, lines)]
