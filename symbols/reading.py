"""A symbol file, read and checked; the layout of the file is told in `symbols.catalogue`."""

from __future__ import annotations

import tomllib
from pathlib import Path as FilePath
from typing import Any, Literal, NamedTuple, TypeAlias

from engine.words import _

__all__ = [
    "IEC",
    "IEEE",
    "SIDES",
    "STANDARDS",
    "Face",
    "Side",
    "Standard",
    "Symbol",
    "SymbolError",
    "Ways",
    "read",
    "shown_name",
]

Standard: TypeAlias = Literal["IEC 60617", "IEEE 315"]
Side: TypeAlias = Literal["top", "right", "bottom", "left"]
Strokes: TypeAlias = tuple[dict[str, Any], ...]
IEC: Standard = "IEC 60617"
IEEE: Standard = "IEEE 315"
STANDARDS: tuple[Standard, ...] = (IEC, IEEE)
SIDES: tuple[Side, ...] = ("top", "right", "bottom", "left")  # clockwise


class SymbolError(ValueError):
    """A symbol that is missing or wrong; the message names the file and the key."""


class Ways(NamedTuple):
    """Like terminals in a varying number."""

    prefix: str
    shown: int
    pitch: int
    margin: int
    port: tuple[int, int, Side]
    number: tuple[float, float] | None


class Face(NamedTuple):
    """What one standard draws."""

    clause: str
    strokes: Strokes
    ways: Strokes
    positions: dict[str, Strokes]


class Symbol(NamedTuple):
    """A symbol file, checked. Strokes are as the file has them."""

    kind: str
    name: str
    family: str
    file: FilePath
    ports: dict[str, tuple[int | str, int, Side]]  # x may be "left" or "right" where there is an extent
    faces: dict[Standard, Face]
    rest: str
    stretches: bool
    shown: int
    ways: Ways | None

    def positions(self) -> tuple[str, ...]:
        """The positions whose strokes differ, `()` for what is always drawn alike."""
        return tuple(self.faces[IEC].positions)


def shown_name(file: FilePath) -> str:
    """A symbol file as messages name it."""
    return f"symbols/{file.parent.name}/{file.name}"


class _Table:
    """A table of the file: every key is asked for once, and what nobody asked for is refused."""

    def __init__(self, data: Any, where: str, file: FilePath):
        self.where, self.file = where, file
        if not isinstance(data, dict):
            raise self.fault("", _("a table"), data)
        self.rest = dict(data)

    def fault(self, key: str, expected: str, found: Any) -> SymbolError:
        place = ".".join(p for p in (self.where, key) if p)
        return SymbolError(
            _("{file}: {key}: expected {expected}, found {found!r}").format(
                file=shown_name(self.file), key=place, expected=expected, found=found
            )
        )

    def word(self, key: str, default: str | None = None) -> str:
        value = self.rest.pop(key, default)
        if not isinstance(value, str) or (not value and default is None):
            raise self.fault(key, _("a text"), value)
        return value

    def whole(self, key: str, default: int | None = None, low: int = 0) -> int:
        value = self.rest.pop(key, default)
        if isinstance(value, bool) or not isinstance(value, int) or value < low:
            raise self.fault(key, _("a whole number from {low}").format(low=low), value)
        return value

    def strokes(self, default: Strokes | None = None) -> Strokes:
        if default is not None and "strokes" not in self.rest:
            return default
        value = self.rest.pop("strokes", None)
        if not isinstance(value, list) or not value:
            raise self.fault("strokes", _("a list of strokes"), value)
        return tuple(value)

    def table(self, key: str) -> _Table:
        return _Table(self.rest.pop(key), f"{self.where}.{key}".lstrip("."), self.file)

    def tables(self, key: str) -> dict[str, _Table]:
        if key not in self.rest:
            return {}
        inner = self.table(key)
        return {name: inner.table(name) for name in list(inner.rest)}

    def end(self) -> None:
        if self.rest:
            raise self.fault("", _("known keys"), ", ".join(self.rest))


def read(file: FilePath) -> Symbol:
    """One symbol file. Raises `SymbolError` with the first thing that is wrong."""
    try:
        data = tomllib.loads(file.read_text("utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise SymbolError(f"{shown_name(file)}: {fault}") from fault
    top = _Table(data, "", file)
    kind = top.word("kind")
    if kind != file.stem:
        raise top.fault("kind", repr(file.stem), kind)
    name = top.word("name")
    stretches = top.rest.pop("stretches", False)
    if not isinstance(stretches, bool):
        raise top.fault("stretches", _("true or false"), stretches)
    shown = top.whole("shown", low=1) if stretches else 0
    ways, way_strokes = (None, ()) if "ways" not in top.rest else _ways(top.table("ways"))
    spans = stretches or ways is not None
    ports = {}
    if "ports" in top.rest:
        inner = top.table("ports")
        ports = {key: _port(inner, key, value, spans) for key, value in inner.rest.items()}
    rest = top.word("rest", "")
    iec = Face(
        _clause(top, IEC),
        top.strokes(),
        way_strokes,
        {position: _only_strokes(table) for position, table in top.tables("position").items()},
    )
    if (rest or None) not in (iec.positions or (None,)):
        raise top.fault("rest", _("one of {known}").format(known=", ".join(iec.positions) or _("none")), rest)
    if "ieee" not in top.rest:
        raise top.fault("ieee", _("a table"), None)
    ieee = _other_face(top.table("ieee"), iec)
    top.end()
    return Symbol(kind, name, file.parent.name, file, ports, {IEC: iec, IEEE: ieee}, rest, stretches, shown, ways)


def _other_face(table: _Table, iec: Face) -> Face:
    """What the file says IEEE 315 draws; what it does not say is as in IEC 60617."""
    positions = {position: _only_strokes(t) for position, t in table.tables("position").items()}
    if positions and set(positions) != set(iec.positions):
        raise table.fault("position", ", ".join(iec.positions), ", ".join(positions))
    ways = iec.ways
    if "ways" in table.rest and iec.ways:
        ways = _only_strokes(table.table("ways"))
    face = Face(_clause(table, IEEE), table.strokes(iec.strokes), ways, positions or iec.positions)
    table.end()
    return face


def _clause(table: _Table, standard: Standard) -> str:
    clause = table.word("clause")
    if not clause.startswith(standard) or ":" not in clause:
        raise table.fault("clause", repr(f"{standard}...: ..."), clause)
    return clause


def _only_strokes(table: _Table) -> Strokes:
    strokes = table.strokes()
    table.end()
    return strokes


def _ways(table: _Table) -> tuple[Ways, Strokes]:
    pitch = table.whole("pitch", low=2)
    if pitch % 2:
        raise table.fault("pitch", _("an even number"), pitch)
    x, y, side = _port(table, "port", table.rest.pop("port", None), False)
    number = table.rest.pop("number", None)
    if number is not None and not (
        isinstance(number, list) and len(number) == 2 and all(type(n) in (int, float) for n in number)
    ):
        raise table.fault("number", _("two numbers"), number)
    ways = Ways(
        table.word("prefix"),
        table.whole("shown", low=1),
        pitch,
        table.whole("margin", 2),
        (int(x), y, side),
        None if number is None else (float(number[0]), float(number[1])),
    )
    strokes = table.strokes()
    table.end()
    return ways, strokes


def _port(table: _Table, key: str, value: Any, spans: bool) -> tuple[int | str, int, Side]:
    expected = _("[x, y, side] in whole grid steps, side one of {sides}").format(sides=", ".join(SIDES))
    if not isinstance(value, list) or len(value) != 3:
        raise table.fault(key, expected, value)
    x, y, side = value
    if type(y) is not int or side not in SIDES or not (type(x) is int or (spans and x in ("left", "right"))):
        raise table.fault(key, expected, value)
    return x, y, side
