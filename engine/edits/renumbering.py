"""New designations for many things at once: in the order in which they stand on the sheets, ids as they are.

Letters are those of IEC 81346-2 where the drawing declares them: a kind's own. What names things by designation goes
along in the same edit: waivers, and words in remarks, notes and deficiencies. A drawing that was issued keeps what a
thing was called before as its marking before the refit: *formerly F3*.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from typing import Any, Literal, NamedTuple

import msgspec

from engine.edits.draft import Draft, highest_id
from engine.edits.edit import EditError, Put, Several
from engine.edits.locking import LABELLED, lock_sentence, locked_by, was_issued
from engine.installation.model import Snapshot
from engine.installation.records import Run
from engine.words import _, ngettext

__all__ = ["By", "Renamed", "Renumbering", "changed_letters", "goes_along", "parts_of", "renamed", "renumbered"]

By = Literal["drawing", "sheet"]
_PARTS = re.compile(r"^((?:[=+].*)?-|[=+-]*)?([^\W\d_]+)([0-9]+)$")  # what stands before it ("+P1-"), letters, number
_BAND = 10  # grid steps: what stands so level is read from left to right
_FAR = 1_000_000
# texts in which people name things by designation
_TEXTS: dict[str, tuple[str, ...]] = {
    "equipment": ("note",),
    "runs": ("note", "away_reason"),
    "places": ("note",),
    "enclosures": ("note",),
    "conditions": ("note",),
    "interlocks": ("name", "note"),
    "remarks": ("text",),
    "waivers": ("reason",),
    "deficiencies": ("observation", "risk", "recommendation", "evidence"),
    "inspections": ("note",),
    "readings": ("note",),
    "photographs": ("caption",),
}


class Renamed(NamedTuple):
    """One thing and what it is called before and after."""

    item: str
    table: str
    old: str
    new: str


class Renumbering(NamedTuple):
    """What is renamed, in the order in which it was counted; nothing is done before `edit` is."""

    changes: tuple[Renamed, ...]
    counted: int  # things looked at
    texts: int  # records whose words name what is renamed
    edit: Several


# -- new numbers ----------------------------------------------------------------------------------------------------
def renumbered(
    snapshot: Snapshot,
    items: Iterable[str] | None = None,
    *,
    sheet: str = "",
    by: By = "drawing",
    leave: Collection[str] = (),
) -> Renumbering:
    """New designations for `items` (ids of equipment and runs), for what stands on a sheet, or for all.

    `by` "drawing" counts each letter through the drawing (F1, F2), "sheet" anew on every sheet with the sheet's place
    in the set before it (F201). Numbers go sheet by sheet, band by band from the left, runs as their upper left end;
    what is on no sheet comes last. What is in `leave`, what is not chosen, and what a waiver names keep their numbers,
    which nothing else gets. Raises `EditError` where the drawing is locked, or nothing is chosen that could be called
    otherwise.
    """
    at = _places(snapshot)
    wanted = _wanted(snapshot, items, sheet, at)
    counted = [item for item in sorted(wanted, key=lambda i: (at.get(i, (_FAR,)), _number(i))) if item not in leave]
    lock = locked_by(snapshot)
    if lock is not None:
        first = next((name for name in (_designation(snapshot, i) for i in counted) if name), "")
        if first:
            raise EditError(lock_sentence(first, lock))
    if not counted:
        raise EditError(_("Nothing that bears a designation is chosen."))
    taken = _taken(snapshot, set(counted))
    places = {name: n for n, name in enumerate(_sheets(snapshot), 1)}
    on_sheet = {item: places.get(_sheet_of(snapshot, item, at), 0) for item in counted} if by == "sheet" else {}
    of = {item: _before_number(snapshot, item) for item in counted}
    crowd: dict[tuple[int, str], int] = {}
    for item in counted:
        key = on_sheet.get(item, 0), of[item][1].casefold()
        crowd[key] = crowd.get(key, 0) + 1
    digits = 2 if max(crowd.values(), default=0) + len(taken) <= 99 else 3
    following: dict[tuple[int, str], int] = {}
    names: dict[str, str] = {}
    for item in counted:
        lead, letters = of[item]
        page = on_sheet.get(item, 0)
        key = page, letters.casefold()
        number = following.get(key, 0)
        while True:
            number += 1
            told = f"{page}{number:0{digits}}" if page else str(number)
            name = f"{lead}{letters}{told}"
            if f"{letters}{told}".casefold() not in taken and name.casefold() not in taken:
                break
        following[key] = number
        taken.add(name.casefold())
        names[item] = name
    changes = tuple(
        Renamed(item, _table(snapshot, item), _designation(snapshot, item), names[item])
        for item in counted
        if names[item] != _designation(snapshot, item)
    )
    words = ngettext("Renumber {n} designation", "Renumber {n} designations", len(changes)).format(n=len(changes))
    edit, texts = _edit(snapshot, changes, words)
    return Renumbering(changes, len(counted), texts, edit)


def renamed(snapshot: Snapshot, names: Mapping[str, str], words: str = "") -> Several:
    """Other designations for some things, by id; what names them goes along, as with `renumbered`."""
    changes = [
        Renamed(item, _table(snapshot, item), _designation(snapshot, item), name.strip())
        for item, name in names.items()
        if _table(snapshot, item) and name.strip() != _designation(snapshot, item)
    ]
    told = words or _("Rename {names}").format(names=", ".join(f"{c.old or c.item} → {c.new}" for c in changes[:3]))
    return _edit(snapshot, changes, told)[0]


def goes_along(snapshot: Snapshot, item: str, name: str) -> tuple[dict[str, Any], tuple[Put, ...]]:
    """What else changes where one thing is called otherwise: fields of its own record, and other records."""
    table = _table(snapshot, item)
    before = snapshot.tables[table][item]
    own: dict[str, Any] = {}
    others: list[Put] = []
    for put in renamed(snapshot, {item: name}).edits:
        if (put.table, put.id) != (table, item):
            others.append(put)
            continue
        fields = (f for f in type(before).__struct_fields__ if f != "designation")
        own = {f: getattr(put.record, f) for f in fields if getattr(put.record, f) != getattr(before, f)}
    return own, tuple(others)


def changed_letters(change: Renamed) -> bool:
    """Whether a thing gets other letters, not another number alone."""
    old, new = _PARTS.match(change.old), _PARTS.match(change.new)
    return bool(change.old) and (old is None or new is None or old[2] != new[2])


def parts_of(designation: str) -> tuple[str, str, str] | None:
    """What stands before it, its letters, its number: "+P1-", "F", "3"; `None` where it is not made so."""
    found = _PARTS.match(designation.strip())
    return None if found is None else (found[1] or "", found[2], found[3])


def _wanted(
    snapshot: Snapshot, items: Iterable[str] | None, sheet: str, at: Mapping[str, tuple[int, ...]]
) -> list[str]:
    if items is not None:
        of = snapshot.placements
        ids = dict.fromkeys(of[item].equipment if item in of else item for item in items)
    else:
        ids = dict.fromkeys((*snapshot.equipment, *snapshot.runs))
    if sheet:
        place = _sheets(snapshot).index(sheet) if sheet in snapshot.sheets else -1
        ids = dict.fromkeys(item for item in ids if item in at and at[item][0] == place)
    made = []
    for item in ids:
        record: Any = snapshot.equipment.get(item) or snapshot.runs.get(item)
        # a joint or loose end that nobody named needs no name; a kind of a newer version is left alone
        unnamed = record is not None and not record.designation and getattr(record, "ROLE", "") == "junction"
        if record is not None and not unnamed and (item in snapshot.runs or record.KIND):
            made.append(item)
    return made


def _before_number(snapshot: Snapshot, item: str) -> tuple[str, str]:
    """What stands before the number: "+P1-" and "F". The kind's letter where the present one does not suit."""
    record: Any = snapshot.equipment.get(item) or snapshot.runs[item]
    suiting: tuple[str, ...] = ("W",) if isinstance(record, Run) else record.LETTERS or ("A",)
    found = _PARTS.match(record.designation.strip())
    if found is None:
        return "", suiting[0]
    lead, letters = found[1] or "", found[2]
    if snapshot.settings.declares_81346 and letters[0] not in suiting:
        return lead, suiting[0]
    return lead, letters


def _taken(snapshot: Snapshot, free: Collection[str]) -> set[str]:
    """Designations that stay, and what waivers name that is not renamed; each also without what stands before it."""
    kept = {r.designation for t in LABELLED for i, r in snapshot.tables[t].items() if i not in free and r.designation}
    going = {_designation(snapshot, item) for item in free}
    for waiver in snapshot.waivers.values():
        kept.update(name for name in waiver.designations if name not in going)
    made: set[str] = set()
    for name in kept:
        found = _PARTS.match(name.strip())
        made.add(name.casefold())
        if found is not None:
            made.add(f"{found[2]}{found[3]}".casefold())
    return made


# -- where things stand -----------------------------------------------------------------------------------------------
def _places(snapshot: Snapshot) -> dict[str, tuple[int, ...]]:
    """Sheet, band, across and down of everything that is drawn: of several symbols the first."""
    order = {name: n for n, name in enumerate(_sheets(snapshot))}
    at: dict[str, tuple[int, ...]] = {}
    for placement in snapshot.placements.values():
        if placement.sheet in order:
            here = (order[placement.sheet], placement.y // _BAND, placement.x, placement.y)
            at[placement.equipment] = min(at.get(placement.equipment, here), here)
    for item, run in snapshot.runs.items():
        ends = [at[end.equipment] for end in (run.from_end, run.to_end) if end.equipment in at]
        if ends:
            at[item] = (*min(ends), *max(ends))
    return at


def _sheets(snapshot: Snapshot) -> list[str]:
    return sorted(snapshot.sheets, key=lambda s: (snapshot.sheets[s].number, _number(s)))


def _sheet_of(snapshot: Snapshot, item: str, at: Mapping[str, tuple[int, ...]]) -> str:
    return _sheets(snapshot)[at[item][0]] if item in at else ""


def _number(item: str) -> int:
    return int(item[1:]) if item[1:].isdecimal() and item[1:].isascii() else 0


def _table(snapshot: Snapshot, item: str) -> str:
    return next((table for table in LABELLED if item in snapshot.tables[table]), "")


def _designation(snapshot: Snapshot, item: str) -> str:
    record: Any = snapshot.equipment.get(item) or snapshot.runs.get(item)
    return "" if record is None else str(record.designation)


# -- the edit ---------------------------------------------------------------------------------------------------------
def _edit(snapshot: Snapshot, changes: Iterable[Renamed], words: str) -> tuple[Several, int]:
    """The edit, and how many records have words that name what is renamed."""
    draft = Draft(snapshot, highest_id(snapshot))
    keep = was_issued(snapshot)
    every = list(changes)
    for change in every:
        record: Any = draft.get(change.table, change.item)
        values: dict[str, Any] = {"designation": change.new}
        if keep and change.old:
            values["old_marking"] = _formerly(record.old_marking, change.old, change.new)
        if change.table == "runs":
            for end in ("from_end", "to_end"):
                if change.old and getattr(record, end).marker.strip() == change.old:
                    values[end] = msgspec.structs.replace(getattr(record, end), marker=change.new)
        draft.change(change.table, change.item, **values)
    _rename_in_waivers(draft, every)
    texts = _rename_in_texts(draft, every)
    return draft.done(words), texts


def _formerly(before: str, old: str, new: str) -> str:
    """Markings before the refit: the one there is and the old designation, without the one it bears again."""
    parts = [part.strip() for part in (*before.split(", "), old)]
    return ", ".join(part for part in dict.fromkeys(parts) if part and part != new)


def _rename_in_waivers(draft: Draft, changes: Iterable[Renamed]) -> None:
    now: dict[str, list[str]] = {}
    for change in changes:
        if change.old:
            now.setdefault(change.old, []).append(change.new)
    # what two things were called may still be what one is called
    first = draft.first
    borne = {r.designation for t in LABELLED for i, r in first.tables[t].items() if draft.get(t, i) is r}
    for item, waiver in first.waivers.items():
        made: list[str] = []
        for name in waiver.designations:
            made.extend(now.get(name, [name]))
            if name in now and name in borne:
                made.append(name)
        if tuple(made) != waiver.designations:
            draft.change("waivers", item, designations=tuple(dict.fromkeys(made)))


def _rename_in_texts(draft: Draft, changes: Iterable[Renamed]) -> int:
    """Whole words that are the designation of one thing alone, letters and a number."""
    bearers: dict[str, int] = {}
    for table in LABELLED:
        for record in draft.first.tables[table].values():
            bearers[record.designation] = bearers.get(record.designation, 0) + 1
    now = {c.old: c.new for c in changes if bearers.get(c.old) == 1 and _PARTS.match(c.old)}
    if not now:
        return 0
    alone = sorted((re.escape(old) for old in now), key=len, reverse=True)
    pattern = re.compile(rf"(?<![\w=+-])(?:{'|'.join(alone)})(?![\w])")

    def renewed(found: re.Match[str]) -> str:
        return now[found[0]]

    count = 0
    for table, fields in _TEXTS.items():
        for item, record in list(draft.table(table).items()):
            values = {}
            for field in fields:
                text = getattr(record, field)
                if text and (made := pattern.sub(renewed, text)) != text:
                    values[field] = made
            if values:
                draft.change(table, item, **values)
                count += 1
    return count
