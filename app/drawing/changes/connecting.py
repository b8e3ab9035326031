"""Drawing a run."""

from __future__ import annotations

from collections.abc import Iterable

from app.drawing.changes.carrying import choose
from app.drawing.changes.grips import check_grip, loose_run, nothing_common, same_place, side_of_grip, take_hold
from app.drawing.changes.joining import led, led_over
from app.drawing.changes.leading import check_corners
from app.drawing.changes.made import Grip, Made
from app.drawing.changes.reconnecting import reconnected
from app.drawing.changes.room import sheet_record
from app.drawing.placed import Point
from engine.edits import EditError
from engine.edits.designations import next_designation
from engine.edits.draft import Draft
from engine.installation import Run, Snapshot
from engine.words import _

__all__ = ["connect"]


def connect(
    snapshot: Snapshot,
    last_id: int,
    sheet: str,
    start: Grip,
    stop: Grip,
    corners: Iterable[Point] = (),
) -> Made:
    """A new run from grip to grip; what it carries is told by its two terminals and what arrives there already.

    On a run a junction is made and that run parted; on bare paper it ends loose. A grip on the loose end of a run
    takes that end up: the run is led on, and none is made. With `corners` it goes over them and they stay.
    Of two terminals one may be on another sheet.

    Raises `EditError` where the two have nothing in common.
    """
    sheet_record(snapshot, sheet)
    corners = check_corners(snapshot, sheet, corners)
    sheets = [_sheet_of(snapshot, sheet, grip) for grip in (start, stop)]
    for at, grip in zip(sheets, (start, stop), strict=True):
        check_grip(snapshot, at if sheet in sheets and start.placement and stop.placement else sheet, grip)
    if sheets[0] != sheets[1]:
        corners = ()  # each sheet shows its end with an arrow
    if same_place(snapshot, start, stop):
        raise EditError(_("Both ends of the run would be at the same terminal."))
    for grip, other, at in ((start, stop, sheets[1]), (stop, start, sheets[0])):
        loose = loose_run(snapshot, grip)
        if loose is not None:
            edit, items = reconnected(snapshot, last_id, *loose, at, other)
            return Made(edit, (loose[0], *items))
    draft = Draft(snapshot, last_id)
    sides = [side_of_grip(snapshot, grip) for grip in (start, stop)]
    carried = choose(*sides)
    if carried is None:
        raise EditError(nothing_common(snapshot, (start, stop), sides))
    alike: dict[str, str] = {}  # a run that was parted here -> the part that goes on from it
    made: list[str] = []
    held = [take_hold(draft, sheet, grip, alike, made) for grip in (start, stop)]
    if held[0].end == held[1].end:
        raise EditError(_("Both ends of the run would be at the same terminal."))
    designation = next_designation(draft.snapshot(), "W")
    run = draft.add(
        "runs",
        Run(from_end=held[0].end, to_end=held[1].end, designation=designation, **carried.fields()),
    )
    if corners:
        led_over(draft, sheet, run, held, corners)
    else:
        led(draft, sheet, run, held)
    return Made(draft.done(_("Draw {run}").format(run=designation)), (run, *made))


def _sheet_of(snapshot: Snapshot, sheet: str, grip: Grip) -> str:
    placement = snapshot.placements.get(grip.placement)
    return sheet if placement is None else placement.sheet
