"""What was understood as records and edits: new equipment with its values, or fields set on what is chosen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import msgspec

from engine.edits import EditError, SetFields, Several
from engine.edits.designations import is_borne
from engine.equipment import kind_named
from engine.equipment.base import Equipment
from engine.installation import Run, Snapshot
from engine.naming import inside, label_of, title_of
from engine.phrases.reading import Given
from engine.phrases.telling import value_in_words
from engine.record import FieldSpec, Record, field_specs
from engine.words import _, ngettext

__all__ = ["UNSOURCED", "has_origin", "record_with", "run_with", "set_edit"]

# what a thing is called and where it stands nobody measures or reads off a plate
UNSOURCED = {
    *("designation", "label", "name", "place", "enclosure", "position", "status", "marking", "old_marking", "note"),
    *("order", "number", "size", "in_position", "used_as_switch", "places", "from_end", "to_end", "legend", "held"),
    *("settings", "duties", "duty", "function", "phases", "neutral", "earth", "quantity", "sheet", "exempt"),
}
SOURCED_TABLES = ("equipment", "runs", "vessel", "places", "enclosures")


def has_origin(table: str, spec: FieldSpec) -> bool:
    """Whether it makes sense to ask where a value of this field comes from."""
    if table not in SOURCED_TABLES or spec.fact.refers:
        return False
    return spec.fact.unit == "size" or spec.name not in UNSOURCED


def record_with(kind: str, given: Sequence[Given], origin: str, snapshot: Snapshot) -> Equipment:
    """New equipment with these values, each with where it comes from: as said, else `origin`.

    Raises `EditError` where there is no such kind, or where its designation is borne already.
    """
    cls: Any = kind_named(kind)
    if cls is None:
        raise EditError(_("There is no kind of equipment “{kind}”.").format(kind=kind))
    made: Equipment = _filled(cls(), "equipment", given, origin)
    if made.designation and is_borne(snapshot, made.designation):
        raise EditError(_("{name} is there already; leave the designation out.").format(name=made.designation))
    return made


def run_with(run: Run, given: Sequence[Given], origin: str) -> Run:
    """A run with these values."""
    made: Run = _filled(run, "runs", given, origin)
    return made


def _filled(record: Any, table: str, given: Sequence[Given], origin: str) -> Any:
    values = _values(record, table, given, origin)
    return msgspec.structs.replace(record, **values)


def _values(record: Any, table: str, given: Sequence[Given], origin: str) -> dict[str, Any]:
    specs: Mapping[str, FieldSpec] = {s.name: s for s in field_specs(type(record))}
    values: dict[str, Any] = {g.field: g.value for g in given}
    origins = dict(record.origins)
    for each in given:
        origins.pop(each.field, None)
        said = each.origin or origin
        if said and has_origin(table, specs[each.field]):
            origins[each.field] = said
    values["origins"] = tuple(sorted(origins.items()))
    return values


def set_edit(snapshot: Snapshot, items: Sequence[str], given: Sequence[Given], origin: str) -> Several:
    """One edit that sets these values on every one of the chosen equipment and runs.

    Raises `EditError` where a designation would be borne twice.
    """
    names = [(("equipment" if i in snapshot.equipment else "runs"), i) for i in items]
    names = [(table, i) for table, i in names if i in snapshot.tables[table]]
    wanted = next((g.value for g in given if g.field == "designation"), "")
    if wanted:
        own = {getattr(snapshot.tables[table][i], "designation", "") for table, i in names}
        if len(names) > 1 or (is_borne(snapshot, wanted) and wanted not in own):
            raise EditError(_("{name} can be borne by one thing only.").format(name=wanted))
    edits = []
    words = _words(snapshot, names, given)
    for table, item in names:
        record: Record = snapshot.tables[table][item]
        edits.append(SetFields(table, item, tuple(_values(record, table, given, origin).items()), words))
    return Several(tuple(edits), words)


def _words(snapshot: Snapshot, names: Sequence[tuple[str, str]], given: Sequence[Given]) -> str:
    (table, item), more = names[0], len(names) - 1
    record: Any = snapshot.tables[table][item]
    name = title_of(snapshot, table, item)
    if more:
        name = ngettext("{first} and {more} more", "{first} and {more} more", more).format(first=name, more=more)
    specs = {s.name: s for s in field_specs(type(record))}
    parts = [
        _("{label} to {value}").format(
            label=inside(label_of(type(record), specs[g.field])),
            value=value_in_words(specs[g.field], g.value, snapshot),
        )
        for g in given
    ]
    return _("Set {values} of {name}").format(values=", ".join(parts), name=name)
