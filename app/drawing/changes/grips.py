"""What a grip is: a terminal, a point of a run, a loose end; and what stands there once it is made real."""

from __future__ import annotations

from typing import Literal, NamedTuple

from app.drawing.changes.carrying import Side, of_run, side_of
from app.drawing.changes.made import Grip
from app.drawing.changes.room import area_of, inside, sheet_named
from app.drawing.changes.scenes import scene_of
from app.drawing.changes.splitting import cut_at, split
from app.drawing.placed import Point
from engine.edits import EditError
from engine.edits.designations import for_kind
from engine.edits.draft import Draft
from engine.edits.removing import named
from engine.equipment.base import ALL
from engine.equipment.distribution.junction import Junction
from engine.equipment.distribution.open_end import OpenEnd
from engine.installation import End, Placement, Run, Snapshot
from engine.words import _

__all__ = [
    "ANYTHING",
    "EndName",
    "Held",
    "check_grip",
    "end_name",
    "loose_run",
    "nothing_common",
    "only_run",
    "same_place",
    "side_of_grip",
    "take_hold",
]

EndName = Literal["from", "to"]
ANYTHING = (*ALL, "S")


class Held(NamedTuple):
    """A grip made real: what the end of the run names, and where it is drawn."""

    end: End
    placement: str
    at: Point


def check_grip(snapshot: Snapshot, sheet: str, grip: Grip) -> None:
    """Raise `EditError` for a grip on nothing that the sheet shows."""
    if grip.placement:
        placement = snapshot.placements.get(grip.placement)
        if placement is None or placement.sheet != sheet:
            raise EditError(_("There is no such symbol on {sheet}.").format(sheet=sheet_named(snapshot, sheet)))
        record = snapshot.equipment[placement.equipment]
        if grip.terminal not in {t.name for t in record.terminals()}:
            raise EditError(
                _("{name} has no terminal “{terminal}”.").format(
                    name=named(snapshot, [placement.equipment]), terminal=grip.terminal
                )
            )
        if placement.terminals and grip.terminal not in placement.terminals:
            raise EditError(
                _("Terminal “{terminal}” of {name} is shown by another symbol.").format(
                    name=named(snapshot, [placement.equipment]), terminal=grip.terminal
                )
            )
    elif grip.run:
        if grip.run not in snapshot.runs:
            raise EditError(_("There is no run {id!r}.").format(id=grip.run))
    elif not inside((grip.column, grip.row), area_of(snapshot, sheet)):
        raise EditError(
            _("The run would leave the drawing area of {sheet}.").format(sheet=sheet_named(snapshot, sheet))
        )


def same_place(snapshot: Snapshot, one: Grip, other: Grip) -> bool:
    """Whether two grips are on one terminal, or at one point."""
    if one.placement and other.placement:
        a, b = snapshot.placements[one.placement], snapshot.placements[other.placement]
        return (a.equipment, one.terminal) == (b.equipment, other.terminal)
    if one.placement or other.placement or one.run != other.run:
        return False
    return (one.column, one.row) == (other.column, other.row)


def loose_run(snapshot: Snapshot, grip: Grip) -> tuple[str, EndName] | None:
    """The one run that ends loose at a grip, and which end of it."""
    if not grip.placement:
        return None
    return only_run(snapshot, snapshot.placements[grip.placement].equipment)


def only_run(snapshot: Snapshot, equipment: str) -> tuple[str, EndName] | None:
    """The one run of an open end, and which end of it; `None` for all else."""
    if not isinstance(snapshot.equipment[equipment], OpenEnd):
        return None
    ends: list[tuple[str, EndName]] = []
    for item, run in snapshot.runs.items():
        if run.from_end.equipment == equipment:
            ends.append((item, "from"))
        if run.to_end.equipment == equipment:
            ends.append((item, "to"))
    return ends[0] if len(ends) == 1 else None


def side_of_grip(snapshot: Snapshot, grip: Grip, without: str = "") -> Side:
    """What is known of a grip: what it carries, what arrives there."""
    if grip.placement:
        return side_of(snapshot, snapshot.placements[grip.placement].equipment, grip.terminal, without)
    if grip.run:
        run = snapshot.runs[grip.run]
        return Side(run.conductors(), (of_run(run),))
    return Side(ANYTHING)


def nothing_common(snapshot: Snapshot, grips: tuple[Grip, Grip], sides: list[Side]) -> str:
    """The sentence for two ends that no run can join."""
    told = []
    for grip, side in zip(grips, sides, strict=True):
        arriving = sorted({c for each in side.at or side.through for c in each.conductors()})
        told.append(
            _("{end} carries {conductors}").format(
                end=end_name(snapshot, grip), conductors=", ".join(arriving or side.conductors)
            )
        )
    return _("A run there would join nothing: {one} and {other}.").format(one=told[0], other=told[1])


def end_name(snapshot: Snapshot, grip: Grip) -> str:
    """*F1 “out”*, *W5*."""
    if grip.placement:
        name = named(snapshot, [snapshot.placements[grip.placement].equipment])
        return _("{name} “{terminal}”").format(name=name, terminal=grip.terminal)
    if grip.run:
        return named(snapshot, [grip.run])
    return _("the loose end")


def take_hold(draft: Draft, sheet: str, grip: Grip, alike: dict[str, str], made: list[str]) -> Held:
    """What an end names: a terminal, a junction made in a run, an open end."""
    at = grip.column, grip.row
    if grip.placement:
        placement: Placement = draft.get("placements", grip.placement)
        return Held(End(equipment=placement.equipment, terminal=grip.terminal), grip.placement, at)
    if grip.run:
        return _tap(draft, sheet, grip, alike, made)
    item = draft.add("equipment", OpenEnd(designation=for_kind(draft.snapshot(), OpenEnd.KIND)))
    symbol = draft.add("placements", Placement(equipment=item, sheet=sheet, x=at[0], y=at[1]))
    made.append(item)
    return Held(End(equipment=item, terminal="at"), symbol, at)


def _tap(draft: Draft, sheet: str, grip: Grip, alike: dict[str, str], made: list[str]) -> Held:
    """A junction in a run, which is parted there; at its very end the terminal it is on already."""
    scene = scene_of(draft.snapshot(), sheet)
    cuts = [
        cut_at(scene, sheet, run, (grip.column, grip.row))
        for run in dict.fromkeys((grip.run, alike.get(grip.run, grip.run)))
        if any(p.run == run for p in scene.parts_on(sheet))
    ]
    if not cuts:
        cut_at(scene, sheet, grip.run, (grip.column, grip.row))  # raises
    cut = min(cuts, key=lambda c: abs(c.at[0] - grip.column) + abs(c.at[1] - grip.row))
    run: Run = draft.get("runs", cut.part.run)
    part = cut.part
    ends = (run.from_end, run.to_end) if part.kind != "to" else (run.to_end, run.from_end)
    for tip, end, symbol in (
        (part.points[0], ends[0], part.near),
        (part.points[-1], ends[1], part.far if part.kind == "whole" else ""),
    ):
        if cut.at == tip and symbol:
            return Held(End(equipment=end.equipment, terminal=end.terminal), symbol, tip)
    item = draft.add("equipment", Junction(designation=for_kind(draft.snapshot(), Junction.KIND)))
    symbol = draft.add("placements", Placement(equipment=item, sheet=sheet, x=cut.at[0], y=cut.at[1]))
    end = End(equipment=item, terminal="at")
    new = split(draft, sheet, cut, end, end, cut.at, cut.at)
    alike[part.run] = new
    made.extend((item, new))
    return Held(end, symbol, cut.at)
