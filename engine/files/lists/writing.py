"""Lists out: the files that lists in reads, so that what is exported and imported again is the same boat.

Lists hold equipment, runs, places, enclosures, operating conditions, interlocks and the vessel with the settings of the
drawing. Sheets, revisions, waivers and deficiencies stay in the drawing; `list_losses` says so where there are any.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Any

from engine.files.foreign import Foreign
from engine.files.lists.cells import Cell, CellError, join_cell
from engine.files.lists.columns import targets
from engine.files.lists.ends import write_end
from engine.files.lists.names import KnownNames, plain
from engine.files.lists.states import STATE_COLUMNS
from engine.files.lists.values import plain_number, read_value, write_value
from engine.installation.model import LONE, Snapshot
from engine.installation.records import Condition, Run
from engine.record import FieldSpec, Record, field_specs
from engine.words import _

__all__ = ["list_losses", "write_lists"]

Rows = list[list[str]]

_ALWAYS = {
    "equipment": ("designation", "label", "place", "status"),
    "runs": ("designation", "function", "size", "length_m"),
    "places": ("name", "kind", "temperature_c"),
    "enclosures": ("name", "place"),
    "conditions": ("name", "order"),
    "interlocks": ("name", "kind", "at_most"),
}


def write_lists(snapshot: Snapshot) -> dict[str, Rows]:
    """The lists of an installation by file name, heading first. Only lists that hold something are there."""
    names = KnownNames(snapshot)
    foreign = {item for item, record in snapshot.equipment.items() if isinstance(record, Foreign)}
    equipment = {item: record for item, record in snapshot.equipment.items() if item not in foreign}
    runs = [r for r in snapshot.runs.values() if not foreign & {r.from_end.equipment, r.to_end.equipment}]
    interlocks = [lock for lock in snapshot.interlocks.values() if lock.held]  # without devices it locks nothing
    found = {
        "equipment.csv": _equipment(equipment, names),
        "runs.csv": _runs(runs, names),
        "states.csv": _states(snapshot.conditions.values(), names),
        "interlocks.csv": _table("interlocks", interlocks, names, {"held": "devices"}),
        "places.csv": _table("places", snapshot.places.values(), names),
        "enclosures.csv": _table("enclosures", snapshot.enclosures.values(), names),
        "conditions.csv": _table("conditions", snapshot.conditions.values(), names, leave_out=_IN_STATES),
        "vessel.csv": _lone(snapshot, names),
    }
    return {name: rows for name, rows in found.items() if len(rows) > 1 or name in ("equipment.csv", "runs.csv")}


_IN_STATES = ("settings", "running", "duties")
_SAID = ("function",)  # written even where it is the default: what a run carries is never left to be supposed


def _cell(spec: FieldSpec, record: Record, names: KnownNames, owner: Any = None) -> str:
    """A field's cell: empty where the value is the default and nobody said where it comes from."""
    value = getattr(record, spec.name)
    origin = (owner or record).origin(spec.name) or ""
    if value == spec.default and spec.name not in _SAID:
        if not origin:
            return ""
        if value in ("", ()):
            return join_cell(Cell("", origin=origin))
    cell = write_value(spec, value, names)
    if spec.shape in ("number", "whole") and value is not None:
        return cell.text if not origin else f"{cell.text} ~{origin}"  # a minus sign stays a minus sign
    literal = cell.literal or _reads_otherwise(type(record), spec, cell, names)
    return join_cell(Cell(cell.text, literal, origin))


def _reads_otherwise(cls: Any, spec: FieldSpec, cell: Cell, names: KnownNames) -> bool:
    """Whether words would be read as the quantity of the same name ("105" in `insulation`)."""
    if spec.shape != "word" or spec.fact.refers:
        return False
    quantity = targets(cls, spec.file_name, "")[0].quantity
    if quantity is None:
        return False
    try:
        read_value(quantity, cell, names)
    except CellError:
        return False
    return True


def _used(records: Iterable[Any], always: tuple[str, ...]) -> dict[str, None]:
    """File names of the fields any record uses, in the order they are declared."""
    every: dict[str, None] = {}
    used = set(always)
    for record in sorted(records, key=lambda r: type(r).__name__):
        for spec in field_specs(type(record)):
            every.setdefault(spec.file_name)
            if getattr(record, spec.name) != spec.default or record.origin(spec.name):
                used.add(spec.file_name)
    return {name: None for name in every if name in used} if every else dict.fromkeys(always)


def _table(
    table: str,
    records: Iterable[Any],
    names: KnownNames,
    called: dict[str, str] | None = None,
    leave_out: tuple[str, ...] = (),
) -> Rows:
    records = list(records)
    columns = [name for name in _used(records, _ALWAYS[table]) if name not in leave_out]
    rows = [[(called or {}).get(name, name) for name in columns]]
    for record in records:
        specs = {spec.file_name: spec for spec in field_specs(type(record))}
        rows.append([_cell(specs[name], record, names) for name in columns])
    return rows


def _equipment(equipment: dict[str, Any], names: KnownNames) -> Rows:
    columns = [n for n in _used(equipment.values(), _ALWAYS["equipment"]) if n != "designation"]
    rows = [["designation", "kind", *columns]]
    for item, record in equipment.items():
        specs = {spec.file_name: spec for spec in field_specs(type(record))}
        origin = record.origin("designation") or ""
        name = names.name_of("equipment", item)
        # a name that only links rows is the one that may begin with its mark
        literal = bool(record.designation) and name.startswith("?")
        cells = [_cell(specs[n], record, names) if n in specs else "" for n in columns]
        rows.append([join_cell(Cell(name, literal, origin)), record.KIND, *cells])
    return rows


def _runs(runs: list[Run], names: KnownNames) -> Rows:
    columns = [n for n in _used(runs, _ALWAYS["runs"]) if n not in ("designation", "from", "to")]
    ends = [spec for spec in field_specs(Run) if spec.shape == "record"]
    inner = [s for s in field_specs(ends[0].item) if s.name not in ("equipment", "terminal", "stud_number")]
    extra = [
        (end, spec)
        for end in ends
        for spec in inner
        if any(getattr(getattr(run, end.name), spec.name) != spec.default for run in runs)
    ]
    rows = [["designation", "from", "to", *columns, *(f"{end.file_name}_{spec.name}" for end, spec in extra)]]
    specs = {spec.file_name: spec for spec in field_specs(Run)}
    for run in runs:
        cells = [_cell(specs["designation"], run, names)]
        for end in ends:
            at = getattr(run, end.name)
            text = write_end(at, names.name_of("equipment", at.equipment))
            cells.append(join_cell(Cell(text, origin=run.origin(end.name) or "")))
        cells.extend(_cell(specs[name], run, names) for name in columns)
        cells.extend(_cell(spec, getattr(run, end.name), names, _NOBODY) for end, spec in extra)
        rows.append(cells)
    return rows


_NOBODY = Record()  # says of no field where its value comes from


def _states(conditions: Iterable[Condition], names: KnownNames) -> Rows:
    rows = [list(STATE_COLUMNS)]
    for condition in conditions:
        for setting in condition.settings:
            rows.append([condition.name, names.name_of("equipment", setting.equipment), setting.position, "", ""])
        for item in condition.running:
            rows.append([condition.name, names.name_of("equipment", item), "", "yes", ""])
        for duty in condition.duties:
            hours = plain_number(duty.hours_a_day)
            rows.append([condition.name, names.name_of("equipment", duty.equipment), "", "", hours])
    return [rows[0], *([join_cell(Cell(text)) for text in row] for row in rows[1:])]


def _lone(snapshot: Snapshot, names: KnownNames) -> Rows:
    rows = [["field", "value"]]
    for table in LONE:
        record = snapshot.lone[table]
        for spec in field_specs(type(record)):
            if getattr(record, spec.name) != spec.default or record.origin(spec.name):
                rows.append([spec.file_name, _cell(spec, record, names)])
    return rows


def list_losses(snapshot: Snapshot) -> tuple[str, ...]:
    """Sentences about what the lists of this installation do not hold, or would not give back as it is."""
    told = []
    for table, what in (
        ("sheets", _("the sheets and what stands where on them")),
        ("revisions", _("the revisions")),
        ("waivers", _("the waivers")),
        ("deficiencies", _("the deficiencies")),
        ("surveys", _("the surveys")),
        ("photographs", _("the photographs")),
        ("inspections", _("what was inspected")),
        ("instruments", _("the instruments")),
        ("readings", _("what was measured")),
    ):
        if snapshot.tables[table]:
            told.append(_("Lists do not hold {what}.").format(what=what))
    strange = [r for r in snapshot.equipment.values() if isinstance(r, Foreign)]
    if strange:
        told.append(_("Lists do not hold equipment of an unknown kind, or its runs."))
    counted = Counter(r.designation for r in snapshot.equipment.values() if r.designation)
    for name in sorted(name for name, count in counted.items() if count > 1):
        told.append(_("{name} is the designation of several pieces: the lists cannot be read again.").format(name=name))
    for table in ("places", "enclosures", "conditions"):
        alike = Counter(plain(r.name) for r in snapshot.tables[table].values())
        for name in sorted(name for name, count in alike.items() if count > 1 or not name):
            told.append(_("Several things are called {name!r}: the lists cannot be read again.").format(name=name))
    return tuple(told)
