"""What a person types into a field and what stands in it: the same reading as in lists, the drawing's own units.

No Qt: the particulars page and the table page lean on it alike.
"""

from __future__ import annotations

import functools
import re
from typing import Any, NamedTuple

import msgspec

from engine.files.lists.cells import Cell, CellError, split_cell
from engine.files.lists.values import read_value, write_value
from engine.installation.model import LONE, TABLES, Snapshot
from engine.record import FieldSpec, field_specs
from engine.units import UNITS, show, show_size
from engine.words import N_, _

__all__ = [
    "CellError",
    "Reading",
    "Typed",
    "describe",
    "label_of",
    "nothing_of",
    "record_class",
    "says_its_unit",
    "title_of",
]

_EXACT = 12  # figures shown in an entry: all that a person ever wrote
_US_UNITS = {"m": "ft", "mm": "in"}

_LONE_NAMES = {"vessel": N_("the vessel"), "title_block": N_("the title block"), "settings": N_("the drawing")}


class Typed(NamedTuple):
    """A value that was typed, and where it comes from, when that was typed too ("250 A ~nameplate")."""

    value: Any
    origin: str = ""


# -- names of fields ---------------------------------------------------------------------------------------------
def label_of(cls: Any, spec: FieldSpec) -> str:
    """What a field is called on a page: the head of its help, with a capital. Two fields of a class never share one."""
    return _labels(cls)[spec.name]


@functools.cache
def _labels(cls: Any) -> dict[str, str]:
    specs = field_specs(cls)
    heads = {spec.name: _head(spec) for spec in specs}
    every = list(heads.values())
    return {
        spec.name: _capital(heads[spec.name])
        if every.count(heads[spec.name]) == 1
        else f"{_capital(heads[spec.name])} ({_plain_name(spec)})"
        for spec in specs
    }


def _head(spec: FieldSpec) -> str:
    head = re.split(r"[:;(]", _(spec.fact.help))[0].strip()
    parts = head.split(", ")
    if not head or (len(parts) > 2 and spec.shape == "choice"):  # the help tells the choices one after another
        return _plain_name(spec)
    return parts[0] if len(parts) > 2 else head


def _plain_name(spec: FieldSpec) -> str:
    return spec.file_name.replace("_", " ")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def describe(spec: FieldSpec) -> str:
    """Help, unit and range of a field in one or two sentences."""
    parts = [_capital(_(spec.fact.help)) + "."] if spec.fact.help else []
    if spec.fact.unit == "size":
        parts.append(_("A conductor size such as 2/0 AWG or 35 mm2."))
    elif spec.shape in ("number", "whole"):
        known = UNITS.get(spec.fact.unit)
        limits = _limits(spec)
        if known is not None and known.sign:
            parts.append(_("{what} such as {example}").format(what=_capital(_(known.help)), example=known.example))
            parts[-1] += f"; {limits}." if limits else "."
        elif limits:
            parts.append(f"{_capital(limits)}.")
    if spec.optional or "" in spec.literals:
        parts.append(_("Leave it empty where it is not known."))
    return " ".join(parts)


def _limits(spec: FieldSpec) -> str:
    fact = spec.fact
    sign = UNITS[fact.unit].sign if fact.unit in UNITS else ""
    low, high, above = (None if v is None else f"{v:g} {sign}".rstrip() for v in (fact.low, fact.high, fact.above))
    if above is not None:
        text = _("more than {low}").format(low=above)
        return text if high is None else _("{text}, {high} or less").format(text=text, high=high)
    if low is not None and high is not None:
        return _("from {low} to {high}").format(low=low, high=high)
    if low is not None:
        return _("{low} or more").format(low=low)
    return _("{high} or less").format(high=high) if high is not None else ""


def nothing_of(spec: FieldSpec) -> Any:
    """The value that says a field is not recorded; its default where it always says something."""
    if spec.optional:
        return None
    if spec.shape in ("words", "records"):
        return ()
    if spec.shape == "word" or "" in spec.literals:
        return ""
    return None if spec.default is msgspec.NODEFAULT else spec.default


# -- names of records --------------------------------------------------------------------------------------------
def title_of(snapshot: Snapshot, table: str, item: str) -> str:
    """What a record is called: its designation, its name, else what it is and its number."""
    if table in LONE:
        return _(_LONE_NAMES[table])
    record = snapshot.tables[table].get(item)
    if record is None:
        return item
    if table == "sheets":
        title = _("sheet {number}").format(number=record.number)
        return f"{title} {record.title}".rstrip()
    for field in ("designation", "name", "index", "rule"):
        if getattr(record, field, ""):
            return str(getattr(record, field))
    if table == "equipment":
        return record.label or f"{_(record.NAME)} {item}".strip()
    if table == "runs":
        ends = (title_of(snapshot, "equipment", end.equipment) for end in (record.from_end, record.to_end))
        return _("run from {start} to {end}").format(start=next(ends), end=next(ends))
    if table == "deficiencies":
        return " ".join((record.grade, record.observation)).strip() or item
    return item


# -- values ------------------------------------------------------------------------------------------------------
class Reading:
    """Reads and shows values as one drawing has them: its units for lengths, its names of things."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self.system = snapshot.settings.units

    # names, as `engine.files.lists.values.Names` asks for them
    def name_of(self, table: str, item: str) -> str:
        """What `item` is called."""
        return title_of(self.snapshot, table, item)

    def id_of(self, table: str, name: str) -> str:
        """The id of what is called `name`. Raises `CellError` where that is nothing or several."""
        wanted = " ".join(name.split()).casefold()
        found = [item for item, called in self.names(table) if " ".join(called.split()).casefold() == wanted]
        exact = [item for item in found if self.name_of(table, item) == name]
        found = exact or found
        if len(found) == 1:
            return found[0]
        if found:
            raise CellError(_("{n} things are called {name!r}").format(n=len(found), name=name))
        raise CellError(_("nothing here is called {name!r}").format(name=name))

    def names(self, table: str) -> list[tuple[str, str]]:
        """`(id, name)` of every record of a table."""
        return [(item, title_of(self.snapshot, table, item)) for item in self.snapshot.tables[table]]

    def unit(self, spec: FieldSpec) -> str:
        """The unit shown behind an entry: the one a bare number is in."""
        if spec.shape != "number" or spec.fact.unit not in UNITS:
            return ""
        if self.system == "US" and spec.fact.unit in _US_UNITS:
            return _US_UNITS[spec.fact.unit]
        return UNITS[spec.fact.unit].sign

    def text(self, spec: FieldSpec, value: Any) -> str:
        """A value as it stands in an entry; "" for one that is not recorded. `value` reads it back."""
        if value is None or value == () or value == "":
            return ""
        if spec.shape == "number" and spec.fact.unit in UNITS:
            told = show(value, spec.fact.unit, self.system, _EXACT)
            unit = self.unit(spec)
            return told[: -len(unit) - 1] if unit and told.endswith(f" {unit}") and told.count(" ") == 1 else told
        if spec.fact.unit == "size":
            return show_size(value)
        if spec.shape == "words":
            return ", ".join(write_value(spec, (word,), self).text for word in value)
        if spec.shape == "yesno":
            return _("yes") if value else _("no")
        if spec.shape == "word" and spec.fact.refers:
            return self.name_of(spec.fact.refers, value)
        return str(value)

    def value(self, spec: FieldSpec, text: str) -> Typed:
        """What a text says. Raises `CellError` with what was found and what expected."""
        free = spec.shape == "word" and spec.fact.unit != "size" and not spec.fact.refers
        cell = Cell(text.strip(), literal=True) if free else split_cell(text)
        return Typed(read_value(spec, cell, self, self._bare(spec)), cell.origin)

    def _bare(self, spec: FieldSpec) -> str:
        return _US_UNITS.get(spec.fact.unit, "") if self.system == "US" else ""

    def phrase(self, spec: FieldSpec, value: Any) -> str:
        """A value for a sentence, with its unit: "200 A", "yes", "not recorded"."""
        if value is None or value == () or value == "":
            return _("not recorded")
        text = self.text(spec, value)
        unit = self.unit(spec)
        if unit and not says_its_unit(text):
            text = f"{text} {unit}"
        return text if len(text) <= 40 else f"{text[:39]}…"


def says_its_unit(text: str) -> bool:
    """Whether a text says its unit itself, so that the one behind the entry would only confuse."""
    return re.search(r"[^\d.,\-+\s]", text) is not None


def record_class(table: str) -> Any:
    """The record class of a table or lone record."""
    return LONE.get(table) or TABLES[table][0]
