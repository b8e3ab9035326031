"""A run as a row of cells: which columns there are, and what stands in them of a run that is recorded."""

from __future__ import annotations

from typing import Any

from engine.files.lists.cells import Cell, CellError, join_cell
from engine.files.lists.names import KnownNames
from engine.files.lists.values import write_value
from engine.installation.model import Snapshot
from engine.installation.records import End, Run
from engine.naming import title_of
from engine.record import FieldSpec, field_specs
from engine.units import number, show
from engine.words import N_, _

__all__ = ["COLUMNS", "FIELDS", "SPECS", "end_text", "row_of"]

# columns of the list in their order: (key, heading, what to type)
COLUMNS: tuple[tuple[str, str, str], ...] = (
    ("from", N_("From"), N_("a designation, or what it is: F7 class t 200; words that name nothing: an open end")),
    ("from_seen", N_("Seen there"), N_("whether this end was seen: yes or no; empty where nobody says")),
    ("to", N_("To"), N_("a designation, or what it is; empty: an open end, still to be traced")),
    ("to_seen", N_("Seen there (to)"), N_("whether the far end was seen: yes or no; empty where nobody says")),
    ("function", N_("Carries"), N_("dc pair, dc positive, dc negative, ac, earth, bonding or signal; + and - will do")),
    ("size", N_("Size"), N_("conductor size: 6 AWG, 16 mm2")),
    ("length_m", N_("Length"), N_("one way, with its unit: 4 m, 12 ft")),
    ("places", N_("Places"), N_("places it passes, between semicolons, each with the length in it if known")),
    ("marker", N_("Marking"), N_("what is written on the cable aboard where it begins")),
    ("label", N_("What for"), N_("what it is for")),
    ("note", N_("Note"), N_("note")),
    ("origin", N_("Values from"), N_("where the values of this row come from: measured, nameplate, typed or assumed")),
)
FIELDS = ("size", "length_m", "places", "label", "note")
SOURCED = ("size", "length_m")  # of which it is asked where they come from
SPECS: dict[str, FieldSpec] = {spec.name: spec for spec in field_specs(Run)}


def row_of(snapshot: Snapshot, run: str) -> dict[str, str]:
    """The cells of a run, as `row_edit` reads them."""
    record = snapshot.runs[run]
    names = KnownNames(snapshot) if record.places else None
    made = {
        "from": end_text(snapshot, record.from_end),
        "from_seen": _yes_no(record.from_end.seen),
        "to": end_text(snapshot, record.to_end),
        "to_seen": _yes_no(record.to_end.seen),
        "function": _(record.function),
        "marker": join_cell(Cell(record.from_end.marker)) if record.from_end.marker else "",
        "origin": _(_row_origin(record)),
    }
    for field in FIELDS:
        value = getattr(record, field)
        said = record.origin(field) or ""
        text = _shown(snapshot, field, value, names)
        made[field] = f"{text} ~{said}" if text and said and said != _row_origin(record) else text
    return made


def _row_origin(record: Run) -> str:
    """What all its values come from; "" where nobody said or they come from here and there."""
    said = {record.origin(name) or "" for name in SOURCED if getattr(record, name) not in (None, "")}
    return said.pop() if len(said) == 1 else ""


def _shown(snapshot: Snapshot, field: str, value: Any, names: KnownNames | None) -> str:
    if value in (None, "", ()):
        return ""
    if field == "length_m":
        metres = f"{number(value, 6)} m"
        return metres if snapshot.settings.units != "US" else show(value, "m", "US", 6)
    if names is not None and field == "places":
        return write_value(SPECS[field], value, names).text
    if field == "size":
        return write_value(SPECS[field], value, _NoNames()).text
    return join_cell(Cell(str(value)))


class _NoNames:
    def id_of(self, table: str, name: str) -> str:
        raise CellError(f"{table}: {name}")

    def name_of(self, table: str, item: str) -> str:
        raise CellError(f"{table}: {item}")


def _yes_no(value: bool | None) -> str:
    return "" if value is None else _("yes") if value else _("no")


def end_text(snapshot: Snapshot, end: End) -> str:
    """An end as it is typed: *F1.out*; of an open end the words that were noted of it."""
    record: Any = snapshot.equipment[end.equipment]
    if record.KIND == "open_end":
        return str(record.leads_to or record.label or record.designation)
    return f"{title_of(snapshot, 'equipment', end.equipment)}.{end.terminal}"
