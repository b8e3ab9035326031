"""What every stored record is: frozen, typed, each field annotated with unit, range and help.

A field reads::

    rating_a: Annotated[float | None, Fact(N_("rated current"), "A", low=0)] = None

and everything else is derived from it: the file's schema, what a list column accepts, the particulars page, the
help. An unknown value is `None` (numbers, yes/no) or `""` (words) and stays so.

A record also carries where a value comes from (`origins`) and what this version of the program does not know but must
not lose (`unknown`, pairs of name and JSON text, written back on save).
"""

from __future__ import annotations

import functools
import typing
from types import NoneType, UnionType
from typing import Annotated, Any, ClassVar, Literal, Union, get_args, get_origin

import msgspec

from engine.words import N_

__all__ = [
    "ORIGINS",
    "Fact",
    "FieldFault",
    "FieldSpec",
    "Origin",
    "Record",
    "field_specs",
    "from_builtins",
    "to_builtins",
]

Origin = Literal["measured", "nameplate", "typed", "assumed"]
ORIGINS: tuple[Origin, ...] = ("measured", "nameplate", "typed", "assumed")


class Fact(msgspec.Struct, frozen=True):
    """What is known about a field: help in one phrase, the unit it is stored in, its inclusive range.

    `unit` is one of `engine.units.UNITS` ("A", "V", "m", "ohm", "degC", ...), "size" for a conductor size, or "" for a
    plain word or number. `refers` names the table an id in this field points to.
    """

    help: str = ""
    unit: str = ""
    low: float | None = None
    high: float | None = None
    refers: str = ""


class Record(msgspec.Struct, frozen=True, kw_only=True):
    """Anything the drawing file stores."""

    origins: Annotated[tuple[tuple[str, Origin], ...], Fact(N_("where a value comes from"))] = ()
    unknown: Annotated[tuple[tuple[str, str], ...], Fact(N_("members of the file this version does not know"))] = ()

    # names in the file where Python's own words stand in the way
    FILE_NAMES: ClassVar[dict[str, str]] = {}

    def origin(self, field: str) -> Origin | None:
        """Where the value of `field` comes from, `None` when nobody said."""
        return dict(self.origins).get(field)


class FieldSpec(msgspec.Struct, frozen=True):
    """One field of a record, as pages, lists and the file see it."""

    name: str
    file_name: str
    type: Any  # the bare annotation, `Annotated` taken off
    fact: Fact
    default: Any
    choices: tuple[str, ...] = ()  # of a Literal
    shape: Literal["number", "whole", "word", "yesno", "choice", "words", "records", "record", "other"] = "other"
    optional: bool = False
    item: Any = None  # the struct type of "records" and "record"


class FieldFault(msgspec.Struct, frozen=True):
    """A value that a field refuses, and why."""

    path: str
    why: str


@functools.cache
def field_specs(cls: type) -> tuple[FieldSpec, ...]:
    """Every stored field of a record class in declaration order, `origins` and `unknown` left out."""
    hints = typing.get_type_hints(cls, include_extras=True)
    renamed = getattr(cls, "FILE_NAMES", {})
    specs = []
    for info in msgspec.structs.fields(cls):
        if info.name in ("origins", "unknown"):
            continue
        hint = hints[info.name]
        fact = Fact()
        if get_origin(hint) is Annotated:
            base, *extras = get_args(hint)
            fact = next((e for e in extras if isinstance(e, Fact)), fact)
            hint = base
        default = info.default_factory() if info.default_factory is not msgspec.NODEFAULT else info.default
        shape, optional, choices, item = _shape(hint)
        specs.append(
            FieldSpec(
                name=info.name,
                file_name=renamed.get(info.name, info.name),
                type=hint,
                fact=fact,
                default=default,
                choices=choices,
                shape=shape,
                optional=optional,
                item=item,
            )
        )
    return tuple(specs)


def _shape(hint: Any) -> tuple[Any, bool, tuple[str, ...], Any]:
    optional = False
    if get_origin(hint) in (Union, UnionType):
        rest = [a for a in get_args(hint) if a is not NoneType]
        optional = len(rest) < len(get_args(hint))
        if len(rest) == 1:
            hint = rest[0]
    if hint is bool:
        return "yesno", optional, (), None
    if hint is float:
        return "number", optional, (), None
    if hint is int:
        return "whole", optional, (), None
    if hint is str:
        return "word", optional, (), None
    if get_origin(hint) is Literal:
        return "choice", optional, tuple(str(a) for a in get_args(hint)), None
    if get_origin(hint) is tuple:
        inner = get_args(hint)[0]
        if inner is str:
            return "words", optional, (), None
        if isinstance(inner, type) and issubclass(inner, msgspec.Struct):
            return "records", optional, (), inner
    if isinstance(hint, type) and issubclass(hint, msgspec.Struct):
        return "record", optional, (), hint
    return "other", optional, (), None


def to_builtins(record: msgspec.Struct) -> dict[str, Any]:
    """A record as plain JSON values: defaults left out, unknown members put back, keys unsorted."""
    out: dict[str, Any] = {}
    for spec in field_specs(type(record)):
        value = getattr(record, spec.name)
        if value == spec.default:
            continue
        out[spec.file_name] = _plain(value)
    if isinstance(record, Record):
        if record.origins:
            out["origins"] = dict(record.origins)
        for name, text in record.unknown:
            out.setdefault(name, msgspec.json.decode(text))
    return out


def _plain(value: Any) -> Any:
    if isinstance(value, msgspec.Struct):
        return to_builtins(value)
    if isinstance(value, tuple):
        return [_plain(v) for v in value]
    return value


def from_builtins(cls: type[Any], data: Any, path: str, faults: list[FieldFault]) -> Any:
    """A record of class `cls` from plain JSON values, or `None` when nothing can be made of it.

    Every field is converted on its own, so that all faults of a file come together, each with its path. A field that
    is refused keeps its default. Members the class does not know go to `unknown`.
    """
    if not isinstance(data, dict):
        faults.append(FieldFault(path, f"expected an object, found {_named(data)}"))
        return None
    values: dict[str, Any] = {}
    known = {}
    for spec in field_specs(cls):
        known[spec.file_name] = spec
    missing = [
        s.file_name for s in known.values() if s.default is msgspec.NODEFAULT and s.file_name not in data
    ]
    for name in missing:
        faults.append(FieldFault(f"{path}.{name}", "is missing"))
    unknown = []
    for name in sorted(data):
        if name == "origins" and issubclass(cls, Record):
            values["origins"] = _origins(data[name], f"{path}.origins", faults)
        elif name in known:
            spec = known[name]
            value = _convert(spec, data[name], f"{path}.{name}", faults)
            if value is not _REFUSED:
                values[spec.name] = value
        else:
            unknown.append((name, msgspec.json.encode(data[name], order="deterministic").decode()))
    if unknown and issubclass(cls, Record):
        values["unknown"] = tuple(unknown)
    elif unknown:
        faults.extend(FieldFault(f"{path}.{name}", "is not known here") for name, _text in unknown)
    if missing or any(s.default is msgspec.NODEFAULT and s.name not in values for s in known.values()):
        return None
    return cls(**values)


_REFUSED: Any = object()


def _convert(spec: FieldSpec, value: Any, path: str, faults: list[FieldFault]) -> Any:
    if spec.shape == "records":
        if not isinstance(value, list):
            faults.append(FieldFault(path, f"expected a list, found {_named(value)}"))
            return _REFUSED
        made = [from_builtins(spec.item, v, f"{path}[{i}]", faults) for i, v in enumerate(value)]
        return tuple(m for m in made if m is not None)
    if spec.shape == "record":
        if value is None and spec.optional:
            return None
        made_one = from_builtins(spec.item, value, path, faults)
        return _REFUSED if made_one is None else made_one
    try:
        converted = msgspec.convert(value, spec.type)
    except msgspec.ValidationError as fault:
        faults.append(FieldFault(path, str(fault)))
        return _REFUSED
    why = out_of_range(spec, converted)
    if why:
        faults.append(FieldFault(path, why))
        return _REFUSED
    return converted


def out_of_range(spec: FieldSpec, value: Any) -> str:
    """Why a number does not fit the field's range, or ""."""
    if not isinstance(value, (int, float)) or isinstance(value, bool):
        return ""
    unit = f" {spec.fact.unit}" if spec.fact.unit else ""
    if value != value or value in (float("inf"), float("-inf")):
        return f"expected a number, found {value}"
    if spec.fact.low is not None and value < spec.fact.low:
        return f"expected {spec.fact.low:g}{unit} or more, found {value:g}{unit}"
    if spec.fact.high is not None and value > spec.fact.high:
        return f"expected {spec.fact.high:g}{unit} or less, found {value:g}{unit}"
    return ""


def _origins(data: Any, path: str, faults: list[FieldFault]) -> tuple[tuple[str, Origin], ...]:
    if not isinstance(data, dict):
        faults.append(FieldFault(path, f"expected an object, found {_named(data)}"))
        return ()
    out: list[tuple[str, Origin]] = []
    for name in sorted(data):
        if data[name] in ORIGINS:
            out.append((name, data[name]))
        else:
            faults.append(FieldFault(f"{path}.{name}", f"expected one of {', '.join(ORIGINS)}, found {data[name]!r}"))
    return tuple(out)


def _named(value: Any) -> str:
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true or false"
    return {dict: "an object", list: "a list", str: "a text", int: "a number", float: "a number"}.get(
        type(value), type(value).__name__
    )
