"""Putting labels by hand where they are to stand, and letting them find their own place again."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from app.drawing.changes.room import area_of, sheet_named, sheet_record
from app.drawing.changes.scenes import scene_of
from app.drawing.changes.ways import bends_of, keep_route, route_of
from app.drawing.hand.labels import Sight, aside_at, device_form, put_spot, run_form, sight_of
from app.drawing.placed import Piece, RunPart, Scene, paper
from app.drawing.routes import find_missing
from app.drawing.texts import Words
from engine.edits import EditError, Several
from engine.edits.draft import Draft, highest_id
from engine.edits.removing import named
from engine.geometry import within
from engine.installation import Snapshot
from engine.words import _

__all__ = ["Written", "labels_back", "put_label", "put_labels_of", "written"]

XY = tuple[float, float]


class Written(NamedTuple):
    """A label of a sheet: what it belongs to there, and what it says when it is put by hand."""

    what: Piece | RunPart
    sight: Sight
    words: Words

    @property
    def item(self) -> str:
        """Equipment or run."""
        return self.what.run if isinstance(self.what, RunPart) else self.what.equipment


def written(scene: Scene, sheet: str, item: str, part: str = "") -> Written | None:
    """The label of a placement or run on a sheet; `None` where nothing is written there.

    `part`: of a run that is broken off here, "from" or "to"; "" for the first there is.
    """
    sight = sight_of(sheet, paper(scene.snapshot.sheets[sheet].size))
    piece = scene.pieces.get(item)
    if piece is not None and piece.placement.sheet == sheet:
        return Written(piece, sight, device_form(scene, piece))
    for each in scene.parts_on(sheet):
        if each.run == item and (not part or each.kind == part):
            words = run_form(scene, each)
            return Written(each, sight, words) if words.lines else None
    return None


def put_label(snapshot: Snapshot, sheet: str, item: str, corner: XY, part: str = "", *, last_id: int = 0) -> Several:
    """Put the label of a placement or run with its upper left corner there, in mm on the sheet.

    It keeps that place, seen from what it belongs to. `last_id` is the number of the last id made, the highest of the
    snapshot where it is not told. Raises `EditError` where it would leave the drawing area.
    """
    sheet_record(snapshot, sheet)
    scene = scene_of(snapshot, sheet)
    if item in snapshot.runs and all(each.run != item for each in scene.parts_on(sheet)):
        scene.unrouted = [item] if item in scene.unrouted else []
        find_missing(scene, {each: area_of(snapshot, each) for each, _record in scene.sheets})
    label = written(scene, sheet, item, part)
    if label is None:
        raise EditError(_("There is no label to move."))
    name = named(snapshot, [label.item])
    aside = aside_at(label.sight, label.what, corner)
    if not within(put_spot(label.sight, label.what, aside, label.words).box, label.sight.bounds):
        raise EditError(
            _("The label of {name} would leave the drawing area of {sheet}.").format(
                name=name, sheet=sheet_named(snapshot, sheet)
            )
        )
    draft = Draft(snapshot, last_id or highest_id(snapshot))
    if isinstance(label.what, RunPart):
        known = route_of(draft, item, sheet) or _keep(draft, scene, sheet, item)
        far = label.what.kind == "to" and draft.get("routes", known).gap is not None
        if far:
            draft.change("routes", known, far_label=aside)
        else:
            draft.change("routes", known, label=aside)
    else:
        draft.change("placements", item, label=aside)
    return draft.done(_("Move the label of {name}").format(name=name))


def _keep(draft: Draft, scene: Scene, sheet: str, run: str) -> str:
    """Keep the way a run is shown by, so that there is a record for its label."""
    parts = [part for part in scene.parts_on(sheet) if part.run == run]
    if parts[0].kind == "whole":
        pair = scene.pieces[parts[0].near], scene.pieces[parts[0].far]
        return keep_route(draft, run, sheet, bends_of(parts[0].points, pair))
    bends = [p for part in parts for p in (part.points[1:] if part.kind == "from" else part.points[:0:-1])]
    gap = len(parts[0].points) - 1 if len(parts) > 1 else None
    return keep_route(draft, run, sheet, bends, gap=gap)


def put_labels_of(snapshot: Snapshot, sheet: str, items: Iterable[str]) -> dict[str, list[str]]:
    """Records whose labels were put by hand, by table, of those placements and runs on a sheet."""
    wanted = set(items)
    return {
        "placements": [
            i for i, p in snapshot.placements.items() if p.sheet == sheet and i in wanted and p.label is not None
        ],
        "routes": [
            i
            for i, r in snapshot.routes.items()
            if r.sheet == sheet and r.run in wanted and (r.label is not None or r.far_label is not None)
        ],
    }


def labels_back(snapshot: Snapshot, sheet: str, items: Iterable[str]) -> Several:
    """Let the labels of those placements and runs find their own places again.

    Raises `EditError` where none of them was put by hand.
    """
    found = put_labels_of(snapshot, sheet, items)
    if not any(found.values()):
        raise EditError(_("No label of what is chosen was put by hand."))
    draft = Draft(snapshot, highest_id(snapshot))
    names: list[str] = []
    for item in found["placements"]:
        draft.change("placements", item, label=None)
        names.append(snapshot.placements[item].equipment)
    for item in found["routes"]:
        draft.change("routes", item, label=None, far_label=None)
        names.append(snapshot.routes[item].run)
    return draft.done(_("Labels back to their own place: {names}").format(names=named(snapshot, dict.fromkeys(names))))
