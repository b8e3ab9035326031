"""What a person types into a field and what stands in it: the same reading as in lists, the drawing's own units.

No Qt: the particulars page and the table page lean on it alike.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, NamedTuple

import msgspec

from engine.files.lists.cells import Cell, CellError, split_cell
from engine.files.lists.values import read_value, write_value
from engine.installation.model import LONE, TABLES, Snapshot
from engine.naming import US_UNITS, capital, label_of, title_of, unit_of
from engine.record import FieldSpec
from engine.units import UNITS, show, show_size, spelled
from engine.words import _

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

_POINTS, _POINTED = "points_at", ("equipment", "runs")  # a field that names a thing of either table
_EXACT = 12  # figures shown in an entry: all that a person ever wrote


class Typed(NamedTuple):
    """A value that was typed, and where it comes from, when that was typed too ("250 A ~nameplate")."""

    value: Any
    origin: str = ""


def describe(spec: FieldSpec) -> str:
    """Help, unit and range of a field in one or two sentences."""
    parts = [capital(_(spec.fact.help)) + "."] if spec.fact.help else []
    if spec.fact.unit == "size":
        parts.append(_("A conductor size such as 2/0 AWG or 35 mm2."))
    elif spec.shape in ("number", "whole"):
        known = UNITS.get(spec.fact.unit)
        limits = _limits(spec)
        if known is not None and known.sign:
            parts.append(_("{what} such as {example}").format(what=capital(_(known.help)), example=known.example))
            parts[-1] += f"; {limits}." if limits else "."
        elif limits:
            parts.append(f"{capital(limits)}.")
    if spec.optional or "" in spec.literals:
        parts.append(_("Leave it empty where it is not known."))
    return " ".join(parts)


def _limits(spec: FieldSpec) -> str:
    fact = spec.fact
    sign = UNITS[fact.unit].sign if fact.unit in UNITS else ""
    low, high, above = (
        None if v is None else spelled(f"{v:g} {sign}".rstrip()) for v in (fact.low, fact.high, fact.above)
    )
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


# -- values ------------------------------------------------------------------------------------------------------
class Reading:
    """Reads and shows values as one drawing has them: its units for lengths, its names of things."""

    def __init__(self, snapshot: Snapshot, folder: Path | None = None) -> None:
        self.snapshot = snapshot
        self.folder = folder  # where the drawing is kept; `None`: not saved yet, or of no matter
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
        return unit_of(spec, self.system)

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
        if spec.name == _POINTS:
            return next((self.name_of(t, value) for t in _POINTED if value in self.snapshot.tables[t]), str(value))
        if spec.shape == "word" and spec.fact.refers:
            return self.name_of(spec.fact.refers, value)
        return str(value)

    def value(self, spec: FieldSpec, text: str) -> Typed:
        """What a text says. Raises `CellError` with what was found and what expected."""
        if spec.name == _POINTS and text.strip():
            return Typed(self._pointed(text.strip()))
        free = spec.shape == "word" and spec.fact.unit != "size" and not spec.fact.refers
        cell = Cell(text.strip(), literal=True) if free else split_cell(text)
        return Typed(read_value(spec, cell, self, self._bare(spec)), cell.origin)

    def _pointed(self, name: str) -> str:
        """The equipment or run of a name. Raises `CellError` where that is nothing or several."""
        found = [(t, item) for t in _POINTED for item, called in self.names(t) if called == name]
        if len(found) == 1:
            return found[0][1]
        for table in _POINTED:
            try:
                return self.id_of(table, name)
            except CellError:
                if table == _POINTED[-1]:
                    raise
        return ""

    def _bare(self, spec: FieldSpec) -> str:
        return US_UNITS.get(spec.fact.unit, "") if self.system == "US" else ""

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
