"""What can be shown in the table, and the columns of each choice: facts come from the records' own fields."""

from __future__ import annotations

import functools
import textwrap
from collections.abc import Sequence
from typing import Any, NamedTuple

from app.window.entries import describe, label_of
from engine.equipment import kind_named
from engine.equipment.base import Equipment
from engine.installation.model import TABLES, Snapshot
from engine.installation.records import Run
from engine.record import FieldSpec, field_specs
from engine.units import UNITS
from engine.words import N_, _

__all__ = ["Choice", "Column", "asked_of", "choices", "columns_of", "heading", "kind_title", "specs_of"]

LINE = 20  # letters in a line of a heading


class Column(NamedTuple):
    """A column: its key, what stands over it, and the field it shows in each table (none: it is worked out)."""

    key: str
    title: str
    help: str
    unit: str = ""
    fields: tuple[tuple[str, str], ...] = ()  # (table, field)


class Choice(NamedTuple):
    """What is shown: tables, and one kind of equipment where it is named."""

    key: str
    title: str
    tables: tuple[str, ...]
    kind: str = ""


_ALL = Choice("all", N_("Equipment and runs"), ("equipment", "runs"))
_PLAIN = (
    _ALL,
    Choice("equipment", N_("Equipment"), ("equipment",)),
    Choice("runs", N_("Runs"), ("runs",)),
)
_OTHERS = (
    Choice("places", N_("Places"), ("places",)),
    Choice("enclosures", N_("Panels and enclosures"), ("enclosures",)),
    Choice("conditions", N_("Operating conditions"), ("conditions",)),
    Choice("interlocks", N_("Interlocks"), ("interlocks",)),
)

_WORKED_OUT = {
    "kind": (N_("kind"), N_("what it is; of a run, what it carries")),
    "ends": (N_("ends"), N_("where a run begins and ends; of equipment, the terminals in use")),
    "sheets": (N_("sheets"), N_("numbers of the sheets that show it")),
    "findings": (N_("findings"), N_("how many findings speak of it, and the worst signal word")),
    "gaps": (N_("not judged"), N_("how many questions could not be judged for it")),
    "ratings": (N_("ratings"), N_("the ratings printed beside its symbol; of a run, its size and length")),
    "used": (N_("used by"), N_("how much equipment and how many runs name it")),
}
_FIRST = ("designation", "kind", "label", "ends", "place", "sheets", "status", "findings", "gaps")
_SAME_COLUMN = {("equipment", "place"): "place", ("runs", "places"): "place", ("runs", "function"): "kind"}
# what the check needs of every run
_ASKED_OF_RUNS = ("size", "length_m", "insulation_c", "conductor", "bundle", "sheath", "places")


def kind_title(kind: str) -> str:
    """The name of a kind of equipment for people."""
    cls = kind_named(kind)
    return _(cls.NAME) if cls is not None and cls.NAME else kind


def choices(snapshot: Snapshot) -> list[Choice]:
    """What can be chosen in a drawing: the tables, and every kind that is in it."""
    kinds = sorted({r.KIND for r in snapshot.equipment.values() if r.KIND}, key=lambda k: kind_title(k).casefold())
    named = [Choice(f"kind:{kind}", kind_title(kind), ("equipment",), kind) for kind in kinds]
    return [
        *(c._replace(title=_(c.title)) for c in _PLAIN),
        *(c._replace(title=_("Only: {kind}").format(kind=c.title)) for c in named),
        *(c._replace(title=_(c.title)) for c in _OTHERS),
    ]


@functools.cache
def specs_of(cls: Any) -> dict[str, FieldSpec]:
    """Fields of a record class by name."""
    return {spec.name: spec for spec in field_specs(cls)}


@functools.cache
def asked_of(cls: Any) -> tuple[str, ...]:
    """Fields without which a thing is not fully described: quantities of its own kind; of a run, what it may carry."""
    if issubclass(cls, Run):
        return _ASKED_OF_RUNS
    if not issubclass(cls, Equipment):
        return tuple(s.name for s in field_specs(cls) if s.optional)
    base = specs_of(Equipment)
    return tuple(s.name for s in field_specs(cls) if s.name not in base and s.optional and s.fact.unit)


def heading(column: Column) -> str:
    """What stands over a column, broken into short lines, its unit in brackets."""
    title = column.title[:1].upper() + column.title[1:]
    line = max(LINE, len(title) // 3 + 4)  # three lines at most, else all columns stand under a high empty head
    lines = textwrap.wrap(title, line, break_long_words=False) or [title]
    if column.unit:
        unit = f"[{column.unit}]"
        if len(lines[-1]) + len(unit) < line:
            lines[-1] = f"{lines[-1]} {unit}"
        else:
            lines.append(unit)
    return "\n".join(lines)


def columns_of(choice: Choice, system: str) -> tuple[Column, ...]:
    """The columns of a choice, those that everything has first."""
    if choice.tables[0] not in ("equipment", "runs"):
        return _of_other(choice.tables[0], system)
    found: dict[str, Column] = {}
    for key in _FIRST:
        if key in _WORKED_OUT:
            title, told = _WORKED_OUT[key]
            found[key] = Column(key, _(title), _(told))
        else:
            found[key] = Column(key, "", "")
    if choice.key in ("all", "equipment"):
        found["ratings"] = Column("ratings", *(_(text) for text in _WORKED_OUT["ratings"]))
    cls = kind_named(choice.kind) if choice.kind else None
    for table in choice.tables:
        for spec in _ordered(table, cls):
            _add(found, table, cls or TABLES[table][0], spec, system)
    if not choice.kind:
        return tuple(found.values())
    # what is filled in for one kind stands together, right after what tells one from the other
    named = ("designation", "label", "place")
    own = [key for key, column in found.items() if any(f not in specs_of(Equipment) for _t, f in column.fields)]
    rest = [key for key in found if key not in named and key not in own and key != "kind"]
    return tuple(found[key] for key in (*named, *own, *rest))


def _ordered(table: str, cls: Any) -> Sequence[FieldSpec]:
    """Fields of a table; those of the kind's own first, where one kind is shown."""
    specs = field_specs(TABLES[table][0])
    if cls is None:
        return specs
    base = specs_of(Equipment)
    return [*(s for s in field_specs(cls) if s.name not in base), *specs]


def _of_other(table: str, system: str) -> tuple[Column, ...]:
    found: dict[str, Column] = {}
    cls = TABLES[table][0]
    for spec in field_specs(cls):
        _add(found, table, cls, spec, system)
        if table in ("places", "enclosures"):
            found.setdefault("used", Column("used", *(_(text) for text in _WORKED_OUT["used"])))
    return tuple(found.values())


def _add(found: dict[str, Column], table: str, cls: Any, spec: FieldSpec, system: str) -> None:
    if spec.shape in ("record", "other"):
        return
    key = _SAME_COLUMN.get((table, spec.name), spec.name)
    column = found.get(key)
    if column is not None and column.fields and column.unit != _sign(spec, system):
        column, key = None, f"{table}.{spec.name}"
    title, told = label_of(cls, spec), describe(spec)
    if column is None:
        found[key] = Column(key, title, told, _sign(spec, system), ((table, spec.name),))
    else:
        title, told = (column.title, column.help) if column.title else (_short(key, title), told)
        found[key] = column._replace(title=title, help=told, fields=(*column.fields, (table, spec.name)))


def _short(key: str, title: str) -> str:
    return {
        "designation": _("designation"),
        "label": _("label"),
        "place": _("place"),
        "status": _("status"),
    }.get(key, title)


def _sign(spec: FieldSpec, system: str) -> str:
    if spec.shape != "number" or not spec.fact.unit:
        return ""
    if system == "US" and spec.fact.unit in ("m", "mm"):
        return "ft" if spec.fact.unit == "m" else "in"
    return UNITS[spec.fact.unit].sign if spec.fact.unit in UNITS else ""
