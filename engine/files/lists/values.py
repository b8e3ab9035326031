"""Values of fields as text, in and out. Units may stand in the cell or come from the heading.

Yes and no are words; *unknown* is always allowed where a value may be unknown. Words of a list ("L1 N") stand apart by
spaces, commas or semicolons. Records in one cell stand between semicolons:

* breaking capacity: ``20 kA at 32 V DC; 10 kA at 58 V DC``
* places a run passes: ``Engine room 2 m; Bilge 1,5 m (unsheathed 0.3 m)``
* devices of an interlock: ``Q1:closed; S1:1,2``
* all others: the first field bare, the quantity that belongs to it after it, then ``name=value``:
  ``1: 20 A label=Nav lights; 2: 10 A``, ``At anchor 4 h``. Double quotes hold together what would be misread.
"""

from __future__ import annotations

import re
from typing import Any, Protocol

import msgspec

from engine.equipment.base import Breaking
from engine.files.lists.cells import Cell, CellError, quoted, split_items, unquoted
from engine.installation.records import Held, Passage
from engine.record import FieldFault, FieldSpec, convert_field, field_specs
from engine.units import UNITS, UnitError, read, read_size, suffix_kind, unit_named
from engine.words import _

__all__ = ["Names", "plain_number", "read_value", "write_value"]

_UNKNOWN = ("unknown", "not known", "?")
_LONGEST_QUANTITY = (
    200  # characters; what is longer is none, and to try at every gap of a long cell would take for ever
)
_TEXTS = ("word", "words", "records")  # here "unknown" may be a word like any other
_YES = ("yes", "true", "y", "1")
_NO = ("no", "false", "n", "0")


class Names(Protocol):
    """What people call places, equipment and the like, and their ids. Raises `CellError` for what is not there."""

    def id_of(self, table: str, name: str) -> str:
        """The id of what is called `name`."""

    def name_of(self, table: str, item: str) -> str:
        """What `item` is called."""


# -- in ----------------------------------------------------------------------------------------------------------
def read_value(spec: FieldSpec, cell: Cell, names: Names, heading_unit: str = "") -> Any:
    """The value of a field written in a cell. Raises `CellError`."""
    text = cell.text
    if not text or (text.lower() in _UNKNOWN and spec.shape not in _TEXTS and text not in spec.choices):
        return _nothing(spec, text)
    faults: list[FieldFault] = []
    value = convert_field(spec, _read(spec, text, names, heading_unit), "", faults)
    if faults:
        raise CellError("; ".join(f"{f.path.lstrip('.')}: {f.why}" if f.path else f.why for f in faults))
    return value


def _nothing(spec: FieldSpec, text: str) -> Any:
    if spec.optional:
        return None
    if spec.shape in ("words", "records"):
        return ()
    if spec.shape == "word" or "" in spec.literals:
        return ""
    if spec.shape == "yesno" or spec.default is not msgspec.NODEFAULT:
        raise CellError(_("a value is needed here, found {text!r}").format(text=text))
    raise CellError(_("is missing"))


def _read(spec: FieldSpec, text: str, names: Names, heading_unit: str) -> Any:
    if spec.shape == "number":
        return _quantity(spec, text, heading_unit)
    if spec.shape == "whole":
        if not re.fullmatch(r"[+-]?[0-9]{1,15}", text):
            raise CellError(_("expected a whole number, found {text!r}").format(text=text))
        return int(text)
    if spec.shape == "yesno":
        return _yes_or_no(text)
    if spec.shape == "choice":
        return _choice(spec, text)
    if spec.shape == "words":
        return _words(spec, text, names)
    if spec.shape == "records":
        return tuple(_record(spec.item, item, names, heading_unit) for item in split_items(text))
    if spec.fact.unit == "size":
        return _size(text, heading_unit)
    return names.id_of(spec.fact.refers, text) if spec.fact.refers else text


def _quantity(spec: FieldSpec, text: str, heading_unit: str) -> float:
    try:
        value = read(text, spec.fact.unit, heading_unit)
    except UnitError as fault:
        raise CellError(str(fault)) from None
    said = suffix_kind(text)
    meant = {"dc", "ac", "bare"} & set(spec.name.split("_"))
    if said and meant and said.lower() not in meant:
        raise CellError(
            _("{text!r} says {said}, which {field} does not take").format(text=text, said=said, field=spec.file_name)
        )
    return value


def _yes_or_no(text: str) -> bool:
    low = text.lower()
    if low in (*_YES, _("yes")):
        return True
    if low in (*_NO, _("no")):
        return False
    raise CellError(_("expected yes, no or unknown, found {text!r}").format(text=text))


def _choice(spec: FieldSpec, text: str) -> str:
    if text in spec.choices:
        return text
    plain = " ".join(text.replace("_", " ").split()).casefold()
    alike = [c for c in spec.choices if c.casefold() == plain]
    if len(alike) == 1:
        return alike[0]
    raise CellError(
        _("expected one of {choices}, found {text!r}").format(
            choices=", ".join(c or _("unknown") for c in spec.choices), text=text
        )
    )


def _words(spec: FieldSpec, text: str, names: Names) -> tuple[str, ...]:
    words = [unquoted(item) for item in split_items(text, "; ,\t\n\r")]
    if spec.fact.refers:
        return tuple(names.id_of(spec.fact.refers, word) for word in words)
    for word in words:
        if spec.choices and word not in spec.choices:
            raise CellError(
                _("expected some of {choices}, found {text!r}").format(choices=" ".join(spec.choices), text=word)
            )
    return tuple(words)


def _size(text: str, heading_unit: str) -> str:
    series = heading_unit.strip().upper()
    if series != "AWG":
        series = "mm2" if unit_named(heading_unit, "mm2") else ""
    try:
        return read_size(text, series)
    except UnitError as fault:
        raise CellError(str(fault)) from None


# -- records in ---------------------------------------------------------------------------------------------------
def _record(cls: Any, item: str, names: Names, heading_unit: str) -> Any:
    specs = {spec.name: spec for spec in field_specs(cls)}
    if cls is Breaking:
        parts = _breaking(item)
    elif cls is Held:
        parts = _held(item)
    else:
        parts = _named_parts(tuple(specs.values()), item)
    values = {}
    for name, text in parts.items():
        unit = heading_unit if specs[name].shape == "number" and unit_named(heading_unit, specs[name].fact.unit) else ""
        try:
            values[name] = read_value(specs[name], Cell(text, literal=True), names, unit)
        except CellError as fault:
            raise CellError(_("{name} in {item!r}: {fault}").format(name=name, item=item, fault=fault)) from None
    missing = [name for name, spec in specs.items() if spec.default is msgspec.NODEFAULT and name not in values]
    if missing:
        raise CellError(_("{names} is missing in {item!r}").format(names=", ".join(missing), item=item))
    return cls(**values)


def _breaking(item: str) -> dict[str, str]:
    amps, at, volts = item.partition(" at ")
    if not at:
        raise CellError(_("expected something like 20 kA at 32 V DC, found {item!r}").format(item=item))
    kind = suffix_kind(volts) or suffix_kind(amps)
    if not kind:
        raise CellError(_("{item!r} does not say whether it is DC or AC").format(item=item))
    return {"amps": amps, "volts": volts, "kind": kind}


def _held(item: str) -> dict[str, str]:
    found = re.fullmatch(r'("(?:[^"]|"")*+"|[^:"]++)(?::(.*))?', item, re.DOTALL)
    if not found:
        raise CellError(_("expected something like Q1:closed, found {item!r}").format(item=item))
    parts = {"equipment": unquoted(found[1].strip())}
    if found[2] is not None:
        parts["positions"] = found[2]
    return parts


_PASSAGE_END = re.compile(r"\(\s*(?:unsheathed|without sheath)\s+([^()]*)\)$", re.IGNORECASE)


def _named_parts(specs: tuple[FieldSpec, ...], item: str) -> dict[str, str]:
    parts: dict[str, str] = {}
    found = _PASSAGE_END.search(item)
    if found and any(spec.name == "unsheathed_m" for spec in specs):
        parts["unsheathed_m"] = found[1].strip()
        item = item[: found.start()].strip()
    by_name = {name: spec for spec in specs for name in _names_of(spec)}
    starts = [m for m in re.finditer(r'"(?:[^"]|"")*+"|(?:^|(?<=\s))([A-Za-z_]++)=', item) if m[1] in by_name]
    ends = [m.start() for m in starts[1:]] + [len(item)]
    for start, end in zip(starts, ends, strict=False):  # no name: no end either
        name = by_name[start[1]].name
        if name in parts:
            raise CellError(_("{name} is given twice in {item!r}").format(name=name, item=item))
        text = item[start.end() : end].strip()
        parts[name] = text if by_name[start[1]].shape == "words" else unquoted(text)
    bare = item[: starts[0].start()].strip() if starts else item
    for name, text in _bare_parts(specs, bare).items() if bare else ():
        if name in parts:
            raise CellError(_("{name} is given twice in {item!r}").format(name=name, item=item))
        parts[name] = text
    return parts


def _names_of(spec: FieldSpec) -> tuple[str, ...]:
    return (spec.name, *((spec.name.rpartition("_")[0],) if spec.fact.unit and "_" in spec.name else ()))


def _bare_parts(specs: tuple[FieldSpec, ...], bare: str) -> dict[str, str]:
    """The first field and, after it, the quantity that belongs to it."""
    first = specs[0].name
    quantity = _quantity_of(specs)
    held = re.fullmatch(r'("(?:[^"]|"")*+")\s*+:?\s*+(.*)', bare, re.DOTALL)
    if held and not held[2]:
        return {first: unquoted(held[1])}
    if quantity is None:
        return {first: unquoted(bare)}
    if held:
        return {first: unquoted(held[1]), quantity.name: held[2]}
    for found in re.finditer(r"\s*+:\s*+|\s++", bare):
        rest = bare[found.end() :]
        if found.start() and len(rest) <= _LONGEST_QUANTITY and _is_quantity(rest, quantity, ":" in found[0]):
            return {first: bare[: found.start()], quantity.name: rest}
    return {first: bare}


def _quantity_of(specs: tuple[FieldSpec, ...]) -> FieldSpec | None:
    return next((spec for spec in specs[1:] if spec.shape == "number" and spec.fact.unit), None)


def _is_quantity(text: str, spec: FieldSpec, after_colon: bool) -> bool:
    """Whether a text is a quantity. Without a colon before it, it needs its unit: "Locker 2" is the name of a place."""
    try:
        read(text, spec.fact.unit)
    except UnitError:
        return False
    return after_colon or not re.fullmatch(r"[\d.,+\-eE ]+", text)


# -- out ---------------------------------------------------------------------------------------------------------
def plain_number(value: float) -> str:
    """A number as lists write it: exact, `250` rather than `250.0`."""
    return str(int(value)) if value == int(value) and abs(value) < 1e15 else repr(float(value))


def write_value(spec: FieldSpec, value: Any, names: Names) -> Cell:
    """A cell that `read_value` reads as `value`."""
    if value is None:
        return Cell(_UNKNOWN[0])
    if spec.shape == "number":
        return Cell(plain_number(value))
    if spec.shape == "whole":
        return Cell(str(value))
    if spec.shape == "yesno":
        return Cell("yes" if value else "no")
    if spec.shape == "words":
        words = [names.name_of(spec.fact.refers, w) for w in value] if spec.fact.refers else value
        text = " ".join(w if re.fullmatch(r'[^\s;,"=]+', w) else quoted(w) for w in words)
    elif spec.shape == "records":
        text = "; ".join(_write_record(each, names) for each in value)
    else:
        text = names.name_of(spec.fact.refers, value) if spec.fact.refers and value else value
    return Cell(text, literal=not text)


def _write_record(record: Any, names: Names) -> str:
    specs = field_specs(type(record))
    if isinstance(record, Breaking):
        return f"{plain_number(record.amps)} A at {plain_number(record.volts)} V {record.kind}"
    if isinstance(record, Held):
        device = names.name_of("equipment", record.equipment)
        device = device if re.fullmatch(r'[^\s;:"](?:[^;:"]*[^\s;:"])?', device) else quoted(device)
        return f"{device}:{_inside(specs[1], record.positions, names)}"
    first = write_value(specs[0], getattr(record, specs[0].name), names).text
    quantity = _quantity_of(specs)
    amount = None if quantity is None else getattr(record, quantity.name)
    written = "" if amount is None or quantity is None else _inside(quantity, amount, names)
    bare = _joined(specs, first, written)
    rest = []
    for spec in specs[1:]:
        value = getattr(record, spec.name)
        if spec is quantity or value == spec.default:
            continue
        if isinstance(record, Passage):
            rest.append(f"(unsheathed {_inside(spec, value, names)})")
        else:
            rest.append(f"{spec.name}={_inside(spec, value, names)}")
    return " ".join([bare, *rest])


def _joined(specs: tuple[FieldSpec, ...], first: str, amount: str) -> str:
    """The first field and its quantity, quoted where they would be read back as something else."""
    gap = " " if specs[0].shape == "word" else ": "
    plain = f"{first}{gap}{amount}" if amount else first
    wanted = {specs[0].name: first}
    quantity = _quantity_of(specs)
    if amount and quantity is not None:
        wanted[quantity.name] = amount
    try:
        same = split_items(plain) == [plain] and _named_parts(specs, plain) == wanted
    except CellError:
        same = False
    if same and not _PASSAGE_END.search(plain):
        return plain
    return f"{quoted(first)}{gap}{amount}" if amount else quoted(first)


def _inside(spec: FieldSpec, value: Any, names: Names) -> str:
    """A value inside a record: with its unit, in quotes where it needs them."""
    text = write_value(spec, value, names).text
    if spec.shape == "number" and spec.fact.unit in UNITS and value is not None:
        return f"{text} {spec.fact.unit}".strip()
    if spec.shape == "words" or re.fullmatch(r'[^\s;"=](?:[^;"=]*[^\s;"=])?', text):
        return text
    return quoted(text)
