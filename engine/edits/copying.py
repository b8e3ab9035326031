"""What is copied, as a value and as text for the clipboard; and its records made anew in another drawing."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

import msgspec

from engine.edits.designations import for_kind, is_borne, letters_of, next_designation
from engine.edits.draft import Draft
from engine.edits.edit import EditError
from engine.edits.rewriting import rewritten
from engine.installation.model import Snapshot
from engine.installation.references import dangling
from engine.words import _

__all__ = ["Clip", "copy", "renewed"]

_FORMAT, _VERSION = "linewright clip", 1
_COPIED = ("equipment", "runs", "placements", "routes", "remarks")
_AROUND = ("places", "enclosures")  # made anew where the drawing has none of that name
_NAMED = ("places", "enclosures", "conditions", "sheets")  # what copied records may name without taking it along


class Clip(msgspec.Struct, frozen=True):
    """Equipment, the runs between them, how both are drawn, and remarks.

    `tables`: records by table and id. `names`: what places, enclosures and conditions that they name are called.
    `around`: the places and enclosures themselves, for a drawing that has none of that name.
    """

    tables: dict[str, dict[str, Any]]
    names: dict[str, dict[str, str]]
    around: dict[str, dict[str, Any]] = {}

    def to_text(self) -> str:
        """For the clipboard: JSON, the records in the order they have: what is pasted is numbered in it."""
        from engine.files.edit_form import plain_record

        made = {
            "format": _FORMAT,
            "version": _VERSION,
            "tables": {t: {i: plain_record(r) for i, r in self.tables[t].items()} for t in _COPIED},
            "names": self.names,
            "around": {t: {i: plain_record(r) for i, r in self.around.get(t, {}).items()} for t in _AROUND},
        }
        return json.dumps(made, ensure_ascii=False)

    @classmethod
    def from_text(cls, text: str) -> Clip:
        """Reads what `to_text` wrote. Raises `EditError` for anything else."""
        from engine.files.edit_form import record_of

        try:
            values = json.loads(text)
        except (ValueError, RecursionError):
            values = None
        if not isinstance(values, dict) or values.get("format") != _FORMAT:
            raise EditError(_("There is nothing on the clipboard that was copied from a drawing."))
        if values.get("version") != _VERSION:
            raise EditError(_("What is on the clipboard was copied by a newer version of this program."))
        try:
            tables = {t: {str(i): record_of(t, r) for i, r in values["tables"].get(t, {}).items()} for t in _COPIED}
            names = {t: {str(i): str(n) for i, n in values["names"].get(t, {}).items()} for t in _NAMED}
            told = values.get("around", {})
            around = {t: {str(i): record_of(t, r) for i, r in told.get(t, {}).items()} for t in _AROUND}
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            raise EditError(_("What is on the clipboard cannot be read: it is not as it was copied.")) from None
        made = cls(tables, names, around)
        known = all(getattr(record, "KIND", "") for record in tables["equipment"].values())
        if not (tables["equipment"] or tables["remarks"]) or not known or made._is_torn():
            raise EditError(_("What is on the clipboard cannot be read: it is not as it was copied."))
        return made

    def _is_torn(self) -> bool:
        """Whether a record names equipment or a run that is not among what was copied."""

        def find(table: str, item: str) -> Any:
            return self.tables[table].get(item) if table in _COPIED else self.names.get(table, {}).get(item, "?")

        return any(
            True for t in _COPIED for i, record in self.tables[t].items() for _fault in dangling(record, i, find)
        )


def copy(snapshot: Snapshot, items: Iterable[str]) -> Clip:
    """Equipment (with all its symbols) and placements (with their equipment) by id, the runs between them, remarks.

    A run that leads out of what is copied stays behind. Raises `EditError` where there is neither equipment nor remark
    among them.
    """
    wanted = list(items)
    symbols = {item for item in wanted if item in snapshot.placements}
    whole = {item for item in wanted if item in snapshot.equipment}
    ids = whole | {snapshot.placements[item].equipment for item in symbols}
    remarks = {item: snapshot.remarks[item] for item in wanted if item in snapshot.remarks}
    if not ids and not remarks:
        if any(item in snapshot.runs for item in wanted):
            raise EditError(_("A run is copied together with the equipment at both its ends."))
        raise EditError(_("There is nothing chosen that could be copied."))
    for item in sorted(ids):
        if not snapshot.equipment[item].KIND:
            raise EditError(_("{name} is of a kind this version does not know.").format(name=snapshot.name(item)))
    runs = {i: r for i, r in snapshot.runs.items() if {r.from_end.equipment, r.to_end.equipment} <= ids}
    placements = {i: p for i, p in snapshot.placements.items() if p.equipment in whole or i in symbols}
    sheets = {p.sheet for p in placements.values()}
    tables: dict[str, dict[str, Any]] = {
        "equipment": {i: r for i, r in snapshot.equipment.items() if i in ids},
        "runs": runs,
        "placements": placements,
        "routes": {i: r for i, r in snapshot.routes.items() if r.run in runs and r.sheet in sheets},
        "remarks": {
            i: r if r.points_at in ids | runs.keys() else msgspec.structs.replace(r, points_at="")
            for i, r in remarks.items()
        },
    }
    # what other equipment is named, and stays behind, is left out
    inside = {(t, i) for t in _COPIED for i in tables[t]}
    for table in _COPIED:
        for item, record in tables[table].items():
            tables[table][item] = rewritten(record, lambda t, i: i if t not in _COPIED or (t, i) in inside else "")
    names: dict[str, dict[str, str]] = {t: {} for t in _NAMED}

    def note(table: str, item: str) -> str:
        if table in _NAMED and item in snapshot.tables[table]:
            names[table][item] = snapshot.name(item)
        return item

    for table in _COPIED:
        for record in tables[table].values():
            rewritten(record, note)
    for item in list(names["enclosures"]):
        rewritten(snapshot.enclosures[item], note)  # where it stands is told too
    around = {t: {item: snapshot.tables[t][item] for item in names[t]} for t in _AROUND}
    return Clip(tables, names, around)


def renewed(draft: Draft, clip: Clip, sheet: str) -> dict[tuple[str, str], str]:
    """Put the copied records into a drawing under new ids and designations, all symbols on one sheet.

    A designation stays where nothing bears it, as after a cut; else it is the next free one. Facts stay, and where they
    come from. What they name besides each other is kept where the drawing has the same, or one of that name; places and
    enclosures that it lacks are made too. Symbols of the sheet that held most of them are pasted; equipment without one
    there gets its first.

    Returns the new id of each copied `(table, id)`, and of each place and enclosure that was made.
    """
    shown = _shown(clip)
    new: dict[tuple[str, str], str] = {}

    def rename(table: str, item: str) -> str:
        if table == "sheets":
            return sheet
        if (table, item) in new:
            return new[table, item]
        found = _counterpart(draft.first, table, item, clip.names.get(table, {}).get(item, ""))
        if found or item not in clip.around.get(table, {}):
            return found
        record = rewritten(clip.around[table][item], rename)
        new[table, item] = draft.add(table, record)
        return new[table, item]

    # ids first: records may name each other
    for table in _COPIED:
        for item, record in clip.tables[table].items():
            if (table == "placements" and item not in shown) or (table == "routes" and record.sheet != _main(clip)):
                continue
            new[table, item] = draft.new_id(table)
    later: dict[str, tuple[str, Any]] = {}
    for (table, item), made in list(new.items()):
        record = rewritten(clip.tables[table][item], rename)
        if record is None:
            continue
        if table in ("equipment", "runs") and record.designation and is_borne(draft.snapshot(), record.designation):
            later[made] = (table, record)  # those that stay first: what is new must not take their place
            continue
        if table == "placements" and shown[item]:
            record = msgspec.structs.replace(record, terminals=())
        if table == "remarks" and record.points_at:
            at = next((new[t, record.points_at] for t in ("equipment", "runs") if (t, record.points_at) in new), "")
            record = msgspec.structs.replace(record, points_at=at)
        draft.put(table, made, record)
    for made, (table, record) in later.items():
        draft.put(table, made, msgspec.structs.replace(record, designation=_fresh(draft, table, record)))
    return new


def _fresh(draft: Draft, table: str, record: Any) -> str:
    letters = letters_of(record.designation)
    if letters:
        return next_designation(draft.snapshot(), letters)
    return next_designation(draft.snapshot(), "W") if table == "runs" else for_kind(draft.snapshot(), record.KIND)


def _counterpart(snapshot: Snapshot, table: str, item: str, name: str) -> str:
    """The record of the drawing that stands for a place, an enclosure or a condition of what was copied."""
    here = snapshot.tables[table]
    if item in here and snapshot.name(item) == name:
        return item
    return next((i for i in here if snapshot.name(i) == name), "") if name else ""


def _main(clip: Clip) -> str:
    """The sheet most of the copied symbols stand on."""
    count: dict[str, int] = {}
    for placement in clip.tables["placements"].values():
        count[placement.sheet] = count.get(placement.sheet, 0) + 1
    if not count:
        return next((remark.sheet for remark in clip.tables["remarks"].values()), "")
    return max(sorted(count), key=lambda s: count[s], default="")


def _shown(clip: Clip) -> dict[str, bool]:
    """Placements that are pasted -> whether each stands for its whole equipment."""
    main = _main(clip)
    of: dict[str, list[str]] = {}
    for item, placement in clip.tables["placements"].items():
        of.setdefault(placement.equipment, []).append(item)
    made: dict[str, bool] = {}
    for items in of.values():
        here = [i for i in items if clip.tables["placements"][i].sheet == main] or items[:1]
        made.update({i: len(here) == 1 for i in here})
    return made
