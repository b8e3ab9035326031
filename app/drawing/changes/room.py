"""The room of a sheet: what stands inside its drawing area, and the sentence for what does not."""

from __future__ import annotations

from app.drawing.area import Area, drawing_area
from app.drawing.looks import look
from app.drawing.placed import Piece
from engine.edits import EditError
from engine.equipment.base import Equipment
from engine.installation import Placement, Sheet, Snapshot
from engine.picture import Box
from engine.words import _

__all__ = ["area_of", "inside", "overhang", "piece_of", "refuse_outside", "sheet_named", "sheet_record"]

_EDGE = 0.5  # grid steps a symbol's strokes may reach past the drawing area


def sheet_record(snapshot: Snapshot, sheet: str) -> Sheet:
    """The record of a sheet. Raises `EditError` where there is none."""
    record = snapshot.sheets.get(sheet)
    if record is None:
        raise EditError(_("There is no sheet to draw on."))
    return record


def sheet_named(snapshot: Snapshot, sheet: str) -> str:
    """*sheet 2*."""
    return _("sheet {number}").format(number=snapshot.sheets[sheet].number)


def area_of(snapshot: Snapshot, sheet: str) -> Box:
    """Where equipment and runs may stand on a sheet, in grid steps."""
    area: Area = drawing_area(sheet_record(snapshot, sheet).size)
    return Box(area.left, area.top, area.left + area.width, area.top + area.height)


def piece_of(snapshot: Snapshot, placement: Placement, record: Equipment, item: str = "") -> Piece:
    """A symbol as it would stand."""
    seen = look(
        record, snapshot.settings.symbols, placement.rotation, placement.mirrored, placement.length, placement.symbol
    )
    return Piece(item, placement, record, seen, True, False)


def overhang(box: Box, area: Box) -> float:
    """How far a box reaches past an area, all sides added up, in grid steps."""
    past = (area.left - box.left, area.top - box.top, box.right - area.right, box.bottom - area.bottom)
    return sum(max(0.0, each - _EDGE) for each in past)


def inside(point: tuple[int, int], area: Box) -> bool:
    """Whether a grid point lies in an area."""
    return area.left <= point[0] <= area.right and area.top <= point[1] <= area.bottom


def refuse_outside(snapshot: Snapshot, sheet: str, piece: Piece, before: Piece | None = None) -> None:
    """Raise `EditError` where a symbol would stand outside the drawing area, or further outside than it does."""
    area = area_of(snapshot, sheet)
    past = overhang(piece.box, area)
    if past > (overhang(before.box, area) if before is not None else 0.0) + 1e-6:
        record = piece.record
        raise EditError(
            _("{name} would stand outside the drawing area of {sheet}.").format(
                name=record.designation or _(record.NAME), sheet=sheet_named(snapshot, sheet)
            )
        )
