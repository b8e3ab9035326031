"""One value as a person types it into a page of the window, read as a list's cell is, and shown back to them."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from typing import Any

from engine.edits import SetFields
from engine.equipment.base import Equipment
from engine.files.lists.cells import CellError, split_cell
from engine.files.lists.columns import nearest
from engine.files.lists.names import KnownNames, plain
from engine.files.lists.values import read_value, write_value
from engine.installation.model import Snapshot
from engine.record import FieldSpec, field_specs
from engine.units import UNITS, UnitError, read, show, show_size
from engine.words import N_, _

__all__ = ["PeoplesNames", "bare_unit", "edit_text", "field_named", "field_title", "read_typed", "shown", "typed_edit"]

_NOUNS = {
    "equipment": N_("equipment"),
    "runs": N_("run"),
    "places": N_("place"),
    "enclosures": N_("enclosure"),
    "conditions": N_("operating condition"),
    "sheets": N_("sheet"),
}


class PeoplesNames(KnownNames):
    """Names of a snapshot both ways: what a record is called, and which record is called so."""

    def __init__(self, snapshot: Snapshot) -> None:
        super().__init__(snapshot)
        self._names["runs"] = {item: run.designation or item for item, run in snapshot.runs.items()}
        self._names["sheets"] = {item: str(sheet.number) for item, sheet in snapshot.sheets.items()}
        self._ids: dict[str, dict[str, list[str]]] = {}

    def name_of(self, table: str, item: str) -> str:
        """What `item` is called; itself, where there is nothing of that id."""
        return self._names.get(table, {}).get(item, item)

    def id_of(self, table: str, name: str) -> str:
        """The id of what is called `name`. Raises `CellError` where nothing is, or several are."""
        known = self._called(table)
        found = known.get(name, []) or known.get(plain(name), [])
        if len(found) == 1:
            return found[0]
        noun = _(_NOUNS.get(table, table))
        if found:
            raise CellError(_("several are called {name!r}").format(name=name))
        raise CellError(
            _("there is no {noun} called {name!r}{nearest}").format(
                noun=noun, name=name, nearest=nearest(name, list(self._names.get(table, {}).values()))
            )
        )

    def _called(self, table: str) -> dict[str, list[str]]:
        if table not in self._ids:
            known: dict[str, list[str]] = {}
            for item, name in self._names.get(table, {}).items():
                for key in {name, plain(name)}:
                    known.setdefault(key, []).append(item)
            self._ids[table] = known
        return self._ids[table]


def bare_unit(spec: FieldSpec, system: str) -> str:
    """The unit a number without one is taken in: the stored one, in the US system feet for m and inches for mm."""
    if spec.shape != "number":
        return ""
    if system == "US" and spec.fact.unit in ("m", "mm"):
        return "ft" if spec.fact.unit == "m" else "in"
    return spec.fact.unit


def read_typed(spec: FieldSpec, text: str, names: PeoplesNames, system: str = "metric") -> tuple[Any, str]:
    """The value written in `text`, and where it comes from where a mark like ~measured says so.

    Raises `CellError`; its message says what is wrong with the text alone.
    """
    cell = split_cell(text)
    unit = bare_unit(spec, system) if spec.shape == "number" else ""
    return read_value(spec, cell, names, unit), cell.origin


def edit_text(spec: FieldSpec, value: Any, names: PeoplesNames, system: str = "metric") -> str:
    """A value as it may be typed: "10 ft", "35 mm2"; `read_typed` gives the very same value back. Unknown is ""."""
    if value is None or value == ():
        return ""
    if spec.shape != "number":
        return write_value(spec, value, names).text
    if spec.fact.unit not in UNITS:
        return write_value(spec, value, names).text
    text = show(value, spec.fact.unit, system)
    try:
        if read(text, spec.fact.unit, bare_unit(spec, system)) == value:
            return text
    except UnitError:
        pass
    return f"{write_value(spec, value, names).text} {spec.fact.unit}".rstrip()


def shown(spec: FieldSpec, value: Any, names: PeoplesNames, system: str = "metric") -> str:
    """A value for people, in their units; "" for what is not recorded."""
    if value is None or value == "" or value == ():
        return ""
    if spec.shape == "number" and spec.fact.unit in UNITS:
        return show(value, spec.fact.unit, system)
    if spec.shape == "yesno":
        return _("yes") if value else _("no")
    if spec.shape == "choice":
        return _(str(value))
    if spec.fact.unit == "size":
        return show_size(value)
    return write_value(spec, value, names).text


def field_title(spec: FieldSpec) -> str:
    """A field's short name for people: its help without the remark after a colon or semicolon."""
    return _(spec.fact.help).partition(":")[0].partition(";")[0] or spec.file_name.replace("_", " ")


@functools.cache
def _by_name(cls: Any) -> Mapping[str, FieldSpec]:
    return {name: spec for spec in field_specs(cls) for name in (spec.file_name, spec.name)}


def field_named(cls: Any, name: str) -> FieldSpec | None:
    """The field of a record class by its name, or by the one it has in files."""
    return _by_name(cls).get(name)


def typed_edit(
    snapshot: Snapshot,
    table: str,
    item: str,
    spec: FieldSpec,
    text: str,
    names: PeoplesNames,
    draft: Any = None,
) -> SetFields | None:
    """The edit that puts what a person typed into a field; `None` where it is what stands there already.

    A mark like ~measured is kept with the value; a changed value without one loses the old one's mark, which spoke of
    the old value. `draft`: the record as edits not yet done leave it, where several fields are filled at once. Raises
    `CellError` with a sentence that names the thing, the field and what was typed.
    """
    record = draft
    if draft is None:
        record = snapshot.lone[table] if table in snapshot.lone else snapshot.tables[table][item]
    called = snapshot.name(item) if table in snapshot.tables else ""
    try:
        value, origin = read_typed(spec, text, names, snapshot.settings.units)
        if spec.name == "in_position" and isinstance(record, Equipment) and value not in ("", *record.positions()):
            has = ", ".join(record.positions()) or _("none")
            raise CellError(_("there is no position {wanted!r}; there are: {has}").format(wanted=value, has=has))
    except CellError as fault:
        where = ", ".join(part for part in (called, field_title(spec)) if part)
        raise CellError(f"{where}: {fault}") from None
    before = dict(record.origins)
    changed = value != getattr(record, spec.name)
    after = {name: came for name, came in before.items() if name != spec.name or not changed}
    if origin:
        after[spec.name] = origin
    if not changed and after == before:
        return None
    values: list[tuple[str, Any]] = [(spec.name, value)]
    if after != before:
        values.append(("origins", tuple(sorted(after.items()))))
    told = shown(spec, value, names, snapshot.settings.units) or _("not recorded")
    short = told if len(told) <= 40 else f"{told[:39]}…"
    words = _("{field} of {name}: {value}") if called else _("{field}: {value}")
    words = words.format(field=field_title(spec), name=called, value=short)
    return SetFields(table, item, tuple(values), words[:1].upper() + words[1:])
