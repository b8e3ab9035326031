"""A drawing on other paper than it was drawn on: as it stands where it fits, and what of it does not fit, by name."""

from __future__ import annotations

import msgspec

from app.drawing.area import drawing_area
from app.drawing.placed import Scene, set_scene
from engine.installation import Snapshot
from engine.naming import natural
from engine.picture import Box
from engine.words import _, ngettext

__all__ = ["not_fitting", "off_paper", "on_paper"]

_SLACK = 0.5  # grid steps
_MOST = 6  # names that a sentence tells


def on_paper(snapshot: Snapshot, size: str) -> Snapshot:
    """The same drawing with every sheet of one size; what stands where is as it was. `not_fitting` asks before."""
    sheets = {item: msgspec.structs.replace(sheet, size=size) for item, sheet in snapshot.sheets.items()}
    return Snapshot(snapshot.tables | {"sheets": sheets}, snapshot.lone)


def not_fitting(snapshot: Snapshot, size: str) -> list[str]:
    """A sentence for every sheet of which something would reach out of paper of that size."""
    scene = set_scene(snapshot)
    told = []
    for item, sheet in scene.sheets:
        out = off_paper(scene, item, size)
        if sheet.size == size or not out:
            continue
        names = ", ".join(out[:_MOST])
        if len(out) > _MOST:
            names = _("{names} and {n} more").format(names=names, n=len(out) - _MOST)
        told.append(
            ngettext(
                "sheet {number} is drawn on {own}: {names} does not fit {size}",
                "sheet {number} is drawn on {own}: {names} do not fit {size}",
                len(out),
            ).format(number=scene.number[item], own=sheet.size, names=names, size=size)
        )
    return told


def off_paper(scene: Scene, sheet: str, size: str) -> list[str]:
    """Names of equipment and runs that would reach out of the drawing area of a sheet, were its paper `size`."""
    area = drawing_area(size)
    found: dict[str, None] = {}
    for piece in scene.on(sheet):
        if _out(piece.box, area.left, area.top, area.width, area.height):
            found[scene.snapshot.name(piece.equipment)] = None
    for part in scene.parts_on(sheet):
        if any(_out(Box(x, y, x, y), area.left, area.top, area.width, area.height) for x, y in part.points):
            found[scene.snapshot.name(part.run)] = None
    return sorted(found, key=natural)


def _out(box: Box, left: int, top: int, width: int, height: int) -> bool:
    return (
        box.left < left - _SLACK
        or box.top < top - _SLACK
        or box.right > left + width + _SLACK
        or box.bottom > top + height + _SLACK
    )
