"""A picture under a sheet, to trace: where its points lie on the paper, and which file it is. No Qt."""

from __future__ import annotations

import math
import os
from pathlib import Path, PurePosixPath, PureWindowsPath

import msgspec

from engine.installation import Snapshot, Underlay
from engine.picture import Box

__all__ = ["LEAST_APART_MM", "corners", "fitted", "path_from", "path_of", "pinned", "scaled", "shifted", "to_picture",
           "to_sheet", "turned", "with_whole_paths"]  # fmt: skip

XY = tuple[float, float]

LEAST_APART_MM = 1.0  # two points by which a picture is scaled are at least so far apart on the sheet
_AWAY = 2  # folders upward that a path is told from the drawing's own


# -- where it lies ----------------------------------------------------------------------------------------------------
def to_sheet(underlay: Underlay, u: float, v: float) -> XY:
    """A point of the picture (pixels or PDF points) on the sheet, in mm."""
    angle, k = math.radians(underlay.turned_deg), underlay.mm_per_unit
    cos, sin = math.cos(angle), math.sin(angle)
    return underlay.left_mm + k * (u * cos - v * sin), underlay.top_mm + k * (u * sin + v * cos)


def to_picture(underlay: Underlay, x: float, y: float) -> XY:
    """A point of the sheet in mm as a point of the picture."""
    angle, k = math.radians(underlay.turned_deg), underlay.mm_per_unit
    cos, sin = math.cos(angle), math.sin(angle)
    dx, dy = (x - underlay.left_mm) / k, (y - underlay.top_mm) / k
    return dx * cos + dy * sin, dy * cos - dx * sin


def corners(underlay: Underlay, width: float, height: float) -> tuple[XY, XY, XY, XY]:
    """The corners of a picture of so many units on the sheet, clockwise from its upper left."""
    ends = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
    a, b, c, d = (to_sheet(underlay, u, v) for u, v in ends)
    return a, b, c, d


def fitted(underlay: Underlay, width: float, height: float, box: Box) -> Underlay:
    """As large as it goes into a box of the sheet, in the middle of it, not turned."""
    k = min((box.right - box.left) / max(width, 1e-6), (box.bottom - box.top) / max(height, 1e-6))
    left = (box.left + box.right - k * width) / 2
    top = (box.top + box.bottom - k * height) / 2
    return _placed(underlay, left, top, k, 0.0)


def shifted(underlay: Underlay, dx: float, dy: float) -> Underlay:
    """Moved by so many mm."""
    return _placed(underlay, underlay.left_mm + dx, underlay.top_mm + dy, underlay.mm_per_unit, underlay.turned_deg)


def scaled(underlay: Underlay, a: XY, b: XY, apart_mm: float) -> Underlay:
    """So large that what now lies at `a` and `b` (mm on the sheet) lies `apart_mm` apart; what is at `a` stays."""
    far = math.dist(a, b)
    end = (a[0] + (b[0] - a[0]) * apart_mm / far, a[1] + (b[1] - a[1]) * apart_mm / far)
    return pinned(underlay, (a, b), (a, end))


def pinned(underlay: Underlay, now: tuple[XY, XY], then: tuple[XY, XY]) -> Underlay:
    """Moved, turned and scaled so that what lies at the two points `now` comes to lie at the two points `then`."""
    (ax, ay), (bx, by) = now
    (cx, cy), (dx, dy) = then
    k = math.dist(*then) / math.dist(*now)
    turn = math.degrees(math.atan2(dy - cy, dx - cx) - math.atan2(by - ay, bx - ax))
    u, v = to_picture(underlay, ax, ay)
    made = _placed(underlay, 0.0, 0.0, underlay.mm_per_unit * k, underlay.turned_deg + turn)
    x, y = to_sheet(made, u, v)
    return _placed(made, cx - x, cy - y, made.mm_per_unit, made.turned_deg)


def turned(underlay: Underlay, width: float, height: float, quarters: int) -> Underlay:
    """Turned clockwise by quarters about its middle."""
    x, y = to_sheet(underlay, width / 2, height / 2)
    made = _placed(underlay, 0.0, 0.0, underlay.mm_per_unit, underlay.turned_deg + 90.0 * quarters)
    u, v = to_sheet(made, width / 2, height / 2)
    return _placed(made, x - u, y - v, made.mm_per_unit, made.turned_deg)


def _placed(underlay: Underlay, left: float, top: float, k: float, turn: float) -> Underlay:
    turn = (turn + 180.0) % 360.0 - 180.0
    return msgspec.structs.replace(
        underlay, left_mm=round(left, 4), top_mm=round(top, 4), mm_per_unit=k, turned_deg=round(turn, 6) + 0.0
    )


# -- which file it is -------------------------------------------------------------------------------------------------
def path_of(underlay: Underlay, folder: Path | None) -> Path:
    """The file of a picture; `folder` is the drawing's."""
    told = PurePosixPath(underlay.file)
    if told.is_absolute() or PureWindowsPath(underlay.file).is_absolute() or folder is None:
        return Path(underlay.file)
    return Path(os.path.normpath(folder / told))


def with_whole_paths(snapshot: Snapshot, folder: Path | None) -> Snapshot:
    """The drawing with its pictures named by whole paths, to be read from elsewhere; the same one where it has none."""
    sheets = {
        item: msgspec.structs.replace(
            sheet,
            underlay=msgspec.structs.replace(sheet.underlay, file=path_of(sheet.underlay, folder).as_posix()),
        )
        for item, sheet in snapshot.sheets.items()
        if sheet.underlay is not None
    }
    if not sheets:
        return snapshot
    return Snapshot(tables=snapshot.tables | {"sheets": snapshot.sheets | sheets}, lone=snapshot.lone)


def path_from(path: Path, folder: Path | None) -> str:
    """How a drawing in `folder` names a file: from there where it is near, else whole; `/` parts folders."""
    whole = path.absolute()
    if folder is not None:
        try:
            near = os.path.relpath(whole, folder.absolute()).replace(os.sep, "/")
        except ValueError:  # another drive
            near = ""
        if near and near.split("/").count("..") <= _AWAY:
            return near
    return whole.as_posix()
