"""Cells as text, in and out: what stands in a cell, what may be typed there, and the edit that typing makes."""

from __future__ import annotations

from typing import Any

from app.window.entries import Reading, Typed, label_of, nothing_of
from app.window.particulars.setting import has_origin, is_recorded
from engine.edits import SetFields
from engine.equipment.base import Equipment
from engine.files.lists.cells import CellError, split_cell
from engine.files.lists.columns import nearest
from engine.files.lists.values import write_value
from engine.installation.model import Snapshot
from engine.naming import inside
from engine.record import FieldSpec
from engine.units import UNITS, UnitError, read, show, show_size
from engine.words import _

__all__ = ["CellReading"]

ORIGIN = "typed"  # where a value comes from that is typed into a cell without saying more


class CellReading(Reading):
    """Reads and shows cells of one state of a drawing."""

    def __init__(self, snapshot: Snapshot) -> None:
        super().__init__(snapshot)
        self._called: dict[tuple[str, str], str] = {}
        self._shown: dict[Any, str] = {}

    def name_of(self, table: str, item: str) -> str:
        """What `item` is called; each is asked once."""
        found = self._called.get((table, item))
        if found is None:
            found = self._called[table, item] = super().name_of(table, item)
        return found

    def id_of(self, table: str, name: str) -> str:
        """The id of what is called `name`. Raises `CellError`, which tells what is called nearly so."""
        try:
            return super().id_of(table, name)
        except CellError as fault:
            every = [called for _item, called in self.names(table)]
            raise CellError(f"{fault}{nearest(name, every) if name not in every else ''}") from None

    def shown(self, spec: FieldSpec, value: Any) -> str:
        """A value as it stands in a cell, with its unit; "" for what is not recorded."""
        if value is None or value == "" or value == ():
            return ""
        key = (spec.fact.unit, spec.shape, value, spec.fact.refers)
        text = self._shown.get(key)
        if text is None:
            text = self._shown[key] = self._show(spec, value)
        return text

    def _show(self, spec: FieldSpec, value: Any) -> str:
        if spec.shape == "number" and spec.fact.unit in UNITS:
            return show(value, spec.fact.unit, self.system)
        if spec.shape == "yesno":
            return _("yes") if value else _("no")
        if spec.shape == "choice":
            return _(str(value))
        if spec.fact.unit == "size":
            return show_size(value)
        return write_value(spec, value, self).text

    def typed(self, spec: FieldSpec, value: Any) -> str:
        """A value as it may be typed: "10 ft", "35 mm2"; read again it is the very same. Unknown is ""."""
        if value is None or value == ():
            return ""
        if spec.shape == "number" and spec.fact.unit in UNITS:
            text = show(value, spec.fact.unit, self.system)
            try:
                if read(text, spec.fact.unit) == value:
                    return text
            except UnitError:
                pass
            return f"{write_value(spec, value, self).text} {spec.fact.unit}".rstrip()
        return write_value(spec, value, self).text

    def edit(
        self, table: str, item: str, record: Any, spec: FieldSpec, text: str, *, copied: bool = False
    ) -> SetFields | None:
        """The edit that puts a text into a field of `record`; `None` where that is what stands there already.

        `copied`: the text comes from a list, where a leading apostrophe only says that text follows.
        Raises `CellError` with a sentence that names the thing, the field and what was typed.
        """
        label, called = label_of(type(record), spec), self.name_of(table, item)
        try:
            cell = split_cell(text)
            if copied and cell.literal and _is_free(spec):
                read_as = Typed(cell.text, cell.origin)
            else:
                read_as = self.value(spec, text)
            value = read_as.value
            if spec.name == "in_position" and isinstance(record, Equipment) and value not in ("", *record.positions()):
                has = ", ".join(record.positions()) or _("none")
                raise CellError(_("there is no position {wanted!r}; there are: {has}").format(wanted=value, has=has))
        except CellError as fault:
            raise CellError(_("{name}, {field}: {why}").format(name=called, field=inside(label), why=fault)) from None
        is_changed = value != getattr(record, spec.name)
        origins: dict[str, str] = dict(record.origins)
        if is_changed or read_as.origin:
            origins.pop(spec.name, None)
            origin = read_as.origin or ORIGIN
            if is_recorded(spec, value) and (read_as.origin or has_origin(table, spec)):
                origins[spec.name] = origin
        after = tuple(sorted(origins.items()))
        if not is_changed and after == tuple(sorted(record.origins)):
            return None
        values: tuple[tuple[str, Any], ...] = ((spec.name, value),)
        if after != record.origins:
            values += (("origins", after),)
        return SetFields(table, item, values, self._words(label, called, spec, value))

    def _words(self, label: str, called: str, spec: FieldSpec, value: Any) -> str:
        label = inside(label)
        if spec.shape in ("records", "record"):
            return _("Change {label} of {name}").format(label=label, name=called)
        if value == nothing_of(spec) and (spec.optional or not value):
            return _("Leave {label} of {name} open").format(label=label, name=called)
        return _("Set {label} of {name} to {value}").format(label=label, name=called, value=self.phrase(spec, value))


def _is_free(spec: FieldSpec) -> bool:
    """Whether a field takes any text."""
    return spec.shape == "word" and spec.fact.unit != "size" and not spec.fact.refers
