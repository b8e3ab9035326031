"""What every stored record is: frozen, typed, each field annotated with unit, range and help.

A field reads::

    rating_a: Annotated[float | None, Fact(N_("rated current"), "A", low=0)] = None

and everything else is derived from it: the file's schema, what a list column accepts, the particulars page, the
help. An unknown value is `None` (numbers, yes/no) or `""` (words) and stays so.

A record also carries where a value comes from (`origins`). It and each part within it carry what this version of the
program does not know but must not lose (`unknown`, pairs of name and JSON text, written back on save).
"""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable
from types import NoneType, UnionType
from typing import Annotated, Any, ClassVar, Literal, Union, get_args, get_origin

import msgspec

from engine.conductor_sizes import read_size
from engine.unit_table import UnitError
from engine.words import N_, _, in_words

__all__ = [
    "BEYOND",
    "FARTHEST",
    "ORIGINS",
    "REFUSED",
    "Fact",
    "FieldFault",
    "FieldSpec",
    "Origin",
    "Part",
    "Record",
    "convert_field",
    "field_specs",
    "from_builtins",
    "is_deep",
    "kept_text",
    "out_of_range",
    "to_builtins",
]

Origin = Literal["measured", "nameplate", "typed", "assumed"]
ORIGINS: tuple[Origin, ...] = ("measured", "nameplate", "typed", "assumed")
FARTHEST = 100_000  # grid steps of 2.5 mm from the corner of a sheet; the largest is 475 steps wide
BEYOND = 1e15  # no figure of a boat is so large, in whatever unit; what is would be beyond the arithmetic too
_LONGEST = 40  # letters of a value that a fault quotes
_DEEPEST = 50  # lists and objects in one another, of what is not known


class Fact(msgspec.Struct, frozen=True):
    """What is known about a field: help in one phrase, the unit it is stored in, its range.

    `low` and `high` are in the range, `above` is not: a rating of 0 A is no rating, and would be the best of devices.
    `unit` is one of `engine.units.UNITS` ("A", "V", "m", "ohm", "degC", ...), "size" for a conductor size, or "" for a
    plain word or number. `refers` names the table an id in this field points to.
    """

    help: str = ""
    unit: str = ""
    low: float | None = None
    high: float | None = None
    above: float | None = None
    refers: str = ""


class Part(msgspec.Struct, frozen=True, kw_only=True):
    """Anything that stands in a record: an end of a run, a channel of a module."""

    unknown: Annotated[tuple[tuple[str, str], ...], Fact(N_("members of the file this version does not know"))] = ()


class Record(Part, frozen=True, kw_only=True):
    """Anything the drawing file stores."""

    origins: Annotated[tuple[tuple[str, Origin], ...], Fact(N_("where a value comes from"))] = ()

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
    choices: tuple[str, ...] = ()  # of a Literal, or of each word of "words"
    shape: Literal["number", "whole", "word", "yesno", "choice", "words", "records", "record", "other"] = "other"
    optional: bool = False
    item: Any = None  # the struct type of "records" and "record"
    literals: frozenset[Any] = frozenset()  # of a Literal, the values themselves


class FieldFault(msgspec.Struct, frozen=True):
    """A value that a field refuses, and why."""

    path: str
    why: str


def field_specs(cls: Any) -> tuple[FieldSpec, ...]:
    """Every stored field of a record class in declaration order, `origins` and `unknown` left out."""
    return _field_specs(cls)


@functools.cache
def _field_specs(cls: Any) -> tuple[FieldSpec, ...]:
    hints: dict[str, Any] = {}
    for base in reversed(cls.__mro__):
        hints.update(_own_hints(base))
    struct: Any = cls
    renamed = getattr(cls, "FILE_NAMES", {})
    names, defaults = struct.__struct_fields__, struct.__struct_defaults__
    defaults = (*(msgspec.NODEFAULT for _each in range(len(names) - len(defaults))), *defaults)
    return tuple(
        _spec(name, hints[name], default, renamed.get(name, name))
        for name, default in zip(names, defaults, strict=True)
        if name not in ("origins", "unknown")
    )


@functools.cache
def _own_hints(cls: type) -> dict[str, Any]:
    """Annotations a class itself adds. Evaluated once a class: a kind shares those of `Equipment` with all others."""
    names = vars(sys.modules[cls.__module__])
    # the text is that of our own source file, as `typing.get_type_hints` would evaluate it
    return {
        name: eval(hint, names) if isinstance(hint, str) else hint  # noqa: S307
        for name, hint in vars(cls).get("__annotations__", {}).items()
        if not (isinstance(hint, str) and hint.startswith("ClassVar"))
    }


@functools.lru_cache(maxsize=4096)
def _spec(name: str, hint: Any, default: Any, file_name: str) -> FieldSpec:
    fact = Fact()
    if get_origin(hint) is Annotated:
        base, *extras = get_args(hint)
        fact = next((e for e in extras if isinstance(e, Fact)), fact)
        hint = base
    shape, optional, literals, item = _shape(hint)
    return FieldSpec(
        name=name,
        file_name=file_name,
        type=hint,
        fact=fact,
        default=default,
        choices=tuple(str(value) for value in literals),
        shape=shape,
        optional=optional,
        item=item,
        literals=frozenset(literals),
    )


def _shape(hint: Any) -> tuple[Any, bool, tuple[Any, ...], Any]:
    optional = False
    if get_origin(hint) in (Union, UnionType):
        rest = [a for a in get_args(hint) if a is not NoneType]
        optional = len(rest) < len(get_args(hint))
        if len(rest) == 1:
            hint = rest[0]
    plain = {bool: "yesno", float: "number", int: "whole", str: "word"}.get(hint)
    if plain:
        return plain, optional, (), None
    if get_origin(hint) is Literal:
        return "choice", optional, get_args(hint), None
    if get_origin(hint) is tuple:
        inner = get_args(hint)[0]
        if inner is str:
            return "words", optional, (), None
        if get_origin(inner) is Literal:
            return "words", optional, get_args(inner), None
        if isinstance(inner, type) and issubclass(inner, msgspec.Struct):
            return "records", optional, (), inner
    if isinstance(hint, type) and issubclass(hint, msgspec.Struct):
        return "record", optional, (), hint
    return "other", optional, (), None


# -- out ---------------------------------------------------------------------------------------------------------
Members = dict[str, Any]
PutBack = Callable[[Members, tuple[tuple[str, str], ...]], None]


def decoded(members: Members, unknown: tuple[tuple[str, str], ...]) -> None:
    """Puts what is unknown back among the members of a record or part, as plain values."""
    for name, text in unknown:
        members.setdefault(name, msgspec.json.decode(text))


def to_builtins(record: msgspec.Struct, put_back: PutBack = decoded) -> Members:
    """A record as plain JSON values: defaults left out, unknown members put back by `put_back`, keys unsorted."""
    out: Members = {}
    for spec in field_specs(type(record)):
        value = getattr(record, spec.name)
        if value == spec.default:
            continue
        out[spec.file_name] = _plain(value, put_back)
    if isinstance(record, Record) and record.origins:
        out["origins"] = dict(record.origins)
    if isinstance(record, Part) and record.unknown:
        put_back(out, record.unknown)
    return out


def _plain(value: Any, put_back: PutBack) -> Any:
    if isinstance(value, msgspec.Struct):
        return to_builtins(value, put_back)
    if isinstance(value, tuple):
        return [_plain(v, put_back) for v in value]
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return int(value)  # 250, not 250.0: one way to write a number, whichever type a caller used
    return value


# -- in ----------------------------------------------------------------------------------------------------------
def from_builtins(cls: Any, data: Any, path: str, faults: list[FieldFault]) -> Any:
    """A record or part of class `cls` from plain JSON values, or `None` when nothing can be made of it.

    Every field is converted on its own, so that all faults of a file come together, each with its path. A field that
    is refused keeps its default. Members the class does not know go to `unknown`.
    """
    if not isinstance(data, dict):
        faults.append(FieldFault(path, _("expected an object, found {found}").format(found=_found(data))))
        return None
    known, needed = _by_file_name(cls)
    values: dict[str, Any] = {}
    unknown = []
    for name in sorted(data):
        spec = known.get(name)
        if spec is not None:
            value = convert_field(spec, data[name], f"{path}.{name}", faults)
            if value is not REFUSED:
                values[spec.name] = value
        elif name == "origins" and issubclass(cls, Record):
            values["origins"] = _origins(data[name], f"{path}.origins", faults)
        else:
            unknown.append((name, kept_text(data[name], f"{path}.{_clipped(name)}", faults)))
    if unknown:
        values["unknown"] = tuple(unknown)
    for spec in needed:
        if spec.file_name not in data:
            faults.append(FieldFault(f"{path}.{spec.file_name}", _("is missing")))
    return cls(**values) if all(spec.name in values for spec in needed) else None


def kept_text(value: Any, path: str, faults: list[FieldFault]) -> str:
    """What this version does not know, as the JSON text that is written back."""
    text = msgspec.json.encode(value, order="sorted").decode()
    if len(text) > _DEEPEST and text.count("[") + text.count("{") > _DEEPEST and is_deep(value):
        faults.append(FieldFault(path, _("it is nested too deeply to be a drawing")))
    return text


def is_deep(value: Any) -> bool:
    """Whether lists and objects lie so deep in one another that who reads or writes them may run out of stack."""
    level = [value]
    for _depth in range(_DEEPEST):
        level = [
            inner
            for each in level
            if isinstance(each, (dict, list))
            for inner in (each.values() if isinstance(each, dict) else each)
        ]
    return bool(level)


@functools.cache
def _by_file_name(cls: Any) -> tuple[dict[str, FieldSpec], tuple[FieldSpec, ...]]:
    specs = field_specs(cls)
    return {spec.file_name: spec for spec in specs}, tuple(s for s in specs if s.default is msgspec.NODEFAULT)


REFUSED: Any = object()  # what `convert_field` gives for a value the field refuses


def convert_field(spec: FieldSpec, value: Any, path: str, faults: list[FieldFault]) -> Any:
    """`value` as the field holds it, or `REFUSED` with a fault added. Lists become tuples, objects become structs."""
    # what a file nearly always holds is taken at once: this runs for every field of every record of a drawing
    kind = type(value)
    if kind is float or (kind is int and spec.shape == "number"):
        if spec.shape == "number":
            fact = spec.fact
            fits = (fact.low is None or value >= fact.low) and (fact.high is None or value <= fact.high)
            fits = fits and (fact.above is None or value > fact.above)
            return float(value) if fits and -BEYOND < value < BEYOND else _in_range(spec, value, path, faults)
    elif kind is str:
        if not (value.isascii() or _is_whole(value)):
            faults.append(FieldFault(path, _("it holds half of a character (a lone surrogate)")))
            return REFUSED
        if spec.shape == "word":
            return value if spec.fact.unit != "size" else _in_range(spec, value, path, faults)
        if spec.shape == "choice" and value in spec.literals:
            return value
    elif (kind is bool and spec.shape == "yesno") or (value is None and spec.optional):
        return value
    if spec.shape == "records" and kind in (list, tuple):
        made = [_struct(spec.item, v, f"{path}[{i}]", faults) for i, v in enumerate(value)]
        return tuple(m for m in made if m is not None)
    if spec.shape == "record":
        made_one = _struct(spec.item, value, path, faults)
        return REFUSED if made_one is None else made_one
    try:
        converted = msgspec.convert(value, spec.type)
    except msgspec.ValidationError:
        faults.append(FieldFault(path, _expected(spec, value)))
        return REFUSED
    return _in_range(spec, converted, path, faults)


def _is_whole(text: str) -> bool:
    """Whether a text can be written: half of a pair of surrogates, as a broken clipboard has it, is no character."""
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True


def _struct(cls: Any, value: Any, path: str, faults: list[FieldFault]) -> Any:
    return value if isinstance(value, cls) else from_builtins(cls, value, path, faults)


def _in_range(spec: FieldSpec, value: Any, path: str, faults: list[FieldFault]) -> Any:
    why = out_of_range(spec, value)
    if not why:
        return value
    faults.append(FieldFault(path, why))
    return REFUSED


def out_of_range(spec: FieldSpec, value: Any) -> str:
    """Why a number does not fit the field's range, or a text is no conductor size as files store it; else ""."""
    fact = spec.fact
    if fact.unit == "size" and isinstance(value, str):
        return _not_a_size(value) if value else ""
    if not isinstance(value, (int, float)) or isinstance(value, bool):
        return ""
    unit = f" {fact.unit}" if fact.unit else ""
    if not -BEYOND < value < BEYOND:
        return _("expected a number, found {found}").format(found=_short_number(value))
    if fact.low is not None and value < fact.low:
        return _("expected {limit} or more, found {found}").format(
            limit=f"{fact.low:g}{unit}", found=f"{_short_number(value)}{unit}"
        )
    if fact.above is not None and value <= fact.above:
        return _("expected more than {limit}, found {found}; where it is not known, leave it empty").format(
            limit=f"{fact.above:g}{unit}", found=f"{_short_number(value)}{unit}"
        )
    if fact.high is not None and value > fact.high:
        return _("expected {limit} or less, found {found}").format(
            limit=f"{fact.high:g}{unit}", found=f"{_short_number(value)}{unit}"
        )
    return ""


def _short_number(value: float) -> str:
    if value != value:
        return str(value)
    return f"{value:.10g}" if abs(value) < BEYOND else _("a number beyond all use")


@in_words
@functools.lru_cache(maxsize=1024)
def _not_a_size(size: str) -> str:
    try:
        canonical = read_size(size)
    except UnitError as fault:
        return str(fault)
    if canonical == size:
        return ""
    return _("expected the size written {canonical!r}, found {size!r}").format(canonical=canonical, size=_clipped(size))


def _origins(data: Any, path: str, faults: list[FieldFault]) -> tuple[tuple[str, Origin], ...]:
    if not isinstance(data, dict):
        faults.append(FieldFault(path, _("expected an object, found {found}").format(found=_found(data))))
        return ()
    out: list[tuple[str, Origin]] = []
    for name in sorted(data):
        if data[name] in ORIGINS:
            out.append((name, data[name]))
        else:
            faults.append(FieldFault(f"{path}.{_clipped(name)}", _one_of(ORIGINS, data[name])))
    return tuple(out)


# -- words -------------------------------------------------------------------------------------------------------
def _one_of(choices: tuple[str, ...], value: Any) -> str:
    named = ", ".join(c or _("nothing") for c in choices)
    return _("expected one of {choices}, found {found}").format(choices=named, found=_found(value))


def _expected(spec: FieldSpec, value: Any) -> str:
    if spec.shape == "choice":
        return _one_of(spec.choices, value)
    unit = f" ({spec.fact.unit})" if spec.fact.unit and spec.shape == "number" else ""
    what = {
        "number": _("a number"),
        "whole": _("a whole number"),
        "word": _("a text"),
        "yesno": _("true or false"),
        "words": _("a list of {choices}").format(choices=", ".join(spec.choices) or _("texts")),
        "records": _("a list"),
    }.get(spec.shape, _("something else"))
    what = _("{what}{unit} or null").format(what=what, unit=unit) if spec.optional else f"{what}{unit}"
    return _("expected {what}, found {found}").format(what=what, found=_found(value))


def _found(value: Any) -> str:
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return repr(_clipped(value))
    if isinstance(value, (int, float)):
        return _short_number(value)
    return _("a list") if isinstance(value, (list, tuple)) else _("an object")


def _clipped(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"
