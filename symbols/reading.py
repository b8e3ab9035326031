"""A symbol file, read and checked; the layout of the file is told in `symbols.catalogue`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path as FilePath
from typing import Any, Literal, NamedTuple, TypeAlias

from engine.toml_text import InShort, TomlFault, read_toml
from engine.words import _

__all__ = [
    "IEC",
    "IEEE",
    "MOST_BYTES",
    "RECORDED",
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
    "svg_named",
]

Standard: TypeAlias = Literal["IEC 60617", "IEEE 315"]
Side: TypeAlias = Literal["top", "right", "bottom", "left"]
Strokes: TypeAlias = tuple[dict[str, Any], ...]
IEC: Standard = "IEC 60617"
IEEE: Standard = "IEEE 315"
STANDARDS: tuple[Standard, ...] = (IEC, IEEE)
MOST_STROKES = 2_000  # of a symbol in one position
MOST_BYTES = 262_144  # of a file of an own symbol
RECORDED = "recorded"  # a condition: the field is not empty
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
    """A symbol file, checked. Strokes are as the file has them.

    `slug` is the file's own name; where it is not the kind's, the symbol is a variant, taken where the fields in `when`
    have one of the values there.
    """

    slug: str
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
    when: dict[str, tuple[Any, ...]] = {}  # never changed
    is_own: bool = False  # a yard's own

    def __hash__(self) -> int:
        """By its file: strokes are tables."""
        return hash((self.file, self.slug))

    @property
    def told(self) -> str:
        """Its file as messages name it."""
        return self.file.name if self.is_own else shown_name(self.file)

    def positions(self) -> tuple[str, ...]:
        """The positions whose strokes differ, `()` for what is always drawn alike."""
        return tuple(self.faces[IEC].positions)


def shown_name(file: FilePath) -> str:
    """A symbol file as messages name it."""
    return f"symbols/{file.parent.name}/{file.name}"


class _Table:
    """A table of the file: every key is asked for once, and what nobody asked for is refused."""

    def __init__(self, data: Any, where: str, shown: str):
        self.where, self.shown = where, shown
        if not isinstance(data, dict):
            raise self.fault("", _("a table"), data)
        self.rest = dict(data)

    def fault(self, key: str, expected: str, found: Any) -> SymbolError:
        place = ".".join(p for p in (self.where, key) if p)
        return SymbolError(
            _("{file}: {key}: expected {expected}, found {found!r}").format(
                file=self.shown, key=InShort(place), expected=expected, found=InShort(found)
            )
        )

    def word(self, key: str, default: str | None = None) -> str:
        value = self.rest.pop(key, default)
        if not isinstance(value, str) or (not value and default is None) or not value.isprintable():
            raise self.fault(key, _("a text"), value)
        return value

    def whole(self, key: str, default: int | None = None, low: int = 0) -> int:
        value = self.rest.pop(key, default)
        if isinstance(value, bool) or not isinstance(value, int) or value < low:
            raise self.fault(key, _("a whole number from {low}").format(low=low), value)
        return value

    def strokes(self, default: Strokes | None = None, key: str = "strokes") -> Strokes:
        if default is not None and key not in self.rest:
            return default
        value = self.rest.pop(key, None)
        if not isinstance(value, list) or not value:
            raise self.fault(key, _("a list of strokes"), value)
        if len(value) > MOST_STROKES:
            raise self.fault(key, _("{most} strokes at most").format(most=MOST_STROKES), len(value))
        return tuple(value)

    def table(self, key: str) -> _Table:
        return _Table(self.rest.pop(key), f"{self.where}.{key}".lstrip("."), self.shown)

    def tables(self, key: str) -> dict[str, _Table]:
        if key not in self.rest:
            return {}
        inner = self.table(key)
        return {name: inner.table(name) for name in list(inner.rest)}

    def end(self) -> None:
        if self.rest:
            raise self.fault("", _("known keys"), ", ".join(self.rest))


def read(file: FilePath, of: Callable[[str], Symbol] | None = None, *, is_own: bool = False) -> Symbol:
    """One symbol file. `of` gives the symbol of a kind, for variants. Raises `SymbolError` with the first fault.

    `is_own`: a yard's own, which need name no clause and draw no second standard.
    """
    shown = file.name if is_own else shown_name(file)
    try:
        data = read_toml(file, MOST_BYTES)
    except OSError as fault:
        raise SymbolError(f"{shown}: {fault.strerror}") from None
    except TomlFault as fault:
        raise SymbolError(f"{shown}: {fault}") from None
    top = _Table(data, "", shown)
    kind = top.word("kind")
    if kind != file.stem or is_own:
        if of is None:
            raise top.fault("kind", repr(file.stem), kind)
        return _variant(top, file, kind, of, is_own)
    name = top.word("name")
    stretches = top.rest.pop("stretches", False)
    if not isinstance(stretches, bool):
        raise top.fault("stretches", _("true or false"), stretches)
    length = top.whole("shown", low=1) if stretches else 0
    ways, way_strokes = (None, ()) if "ways" not in top.rest else _ways(top.table("ways"))
    ports = _ports(top, stretches or ways is not None)
    rest = top.word("rest", "")
    iec = Face(_clause(top, IEC), top.strokes(), way_strokes, _positions(top))
    if (rest or None) not in (iec.positions or (None,)):
        raise top.fault("rest", _("one of {known}").format(known=", ".join(iec.positions) or _("none")), rest)
    if "ieee" not in top.rest:
        raise top.fault("ieee", _("a table"), None)
    ieee = _other_face(top.table("ieee"), iec)
    top.end()
    faces: dict[Standard, Face] = {IEC: iec, IEEE: ieee}
    return Symbol(kind, kind, name, file.parent.name, file, ports, faces, rest, stretches, length, ways)


def _variant(top: _Table, file: FilePath, kind: str, of: Callable[[str], Symbol], is_own: bool) -> Symbol:
    """A kind drawn otherwise: with its ports and positions."""
    try:
        general = of(kind)
    except SymbolError:
        general = None
    if general is None or general.slug != general.kind or general.family == "marks":
        raise top.fault("kind", _("a kind of equipment"), kind)
    if general.stretches or general.ways is not None:
        raise top.fault("kind", _("a kind whose symbol does not stretch"), kind)
    name = top.word("name")
    if is_own and "svg" in top.rest:
        return _drawn_as_svg(top, file, kind, name, of)
    if "ports" in top.rest:
        ports = _ports(top, False)
        for port, place in general.ports.items():
            if ports.get(port) != place:
                raise top.fault(
                    f"ports.{port}", _("{place}, as the kind has it").format(place=list(place)), ports.get(port)
                )
        for port in ports.keys() - general.ports.keys():
            raise top.fault("ports", ", ".join(general.ports), port)
    when = {} if is_own else _when(top)  # an own symbol is taken where a drawing names it, never by itself
    faces: dict[Standard, Face] = {}
    adds = top.strokes(key="adds") if "adds" in top.rest else ()
    usual = general.faces[IEC]
    clause = "" if is_own and "clause" not in top.rest else _clause(top, IEC, is_own)
    if adds:
        iec = Face(clause, (*usual.strokes, *adds), (), usual.positions)
    else:
        iec = Face(clause, top.strokes(), (), _positions(top) or usual.positions)
    if set(iec.positions) != set(usual.positions):
        raise top.fault("position", ", ".join(usual.positions) or _("none"), ", ".join(iec.positions))
    faces[IEC] = iec
    if "ieee" not in top.rest and not is_own:
        raise top.fault("ieee", _("a table"), None)
    other = general.faces[IEEE]
    table = top.table("ieee") if "ieee" in top.rest else _Table({}, "ieee", top.shown)
    clause = clause if is_own and "clause" not in table.rest else _clause(table, IEEE, is_own)
    if adds:
        added = table.strokes(key="adds") if "adds" in table.rest else adds
        faces[IEEE] = Face(clause, (*other.strokes, *added), (), other.positions)
    else:
        positions = _positions(table) or iec.positions
        if set(positions) != set(iec.positions):
            raise table.fault("position", ", ".join(iec.positions), ", ".join(positions))
        faces[IEEE] = Face(clause, table.strokes(iec.strokes), (), positions)
    table.end()
    top.end()
    return general._replace(
        slug=file.stem,
        name=name,
        family=general.family if is_own else file.parent.name,
        file=file,
        faces=faces,
        when=when,
        is_own=is_own,
    )


def _drawn_as_svg(top: _Table, file: FilePath, kind: str, name: str, of: Callable[[str], Symbol]) -> Symbol:
    """An own symbol whose strokes are in an SVG beside its file."""
    from symbols._svg_reading import parse  # it is seldom wanted
    from symbols.svg import symbol_of

    svg = top.word("svg")
    if svg != FilePath(svg).name or not svg.lower().endswith(".svg") or svg.startswith("."):
        raise top.fault("svg", _("the name of an SVG file in the same folder"), svg)
    clause = top.word("clause", "")
    given = top.table("ports").rest if "ports" in top.rest else {}
    top.end()
    try:
        with (file.parent / svg).open("rb") as stream:
            drawn = parse(stream.read(MOST_BYTES + 1), svg)
    except OSError as fault:
        raise SymbolError(_("{file}: {svg}: {why}").format(file=top.shown, svg=svg, why=fault.strerror)) from None
    for port, at in given.items():
        if not isinstance(at, list) or len(at) != 2 or not all(type(v) in (int, float) and abs(v) < 1e5 for v in at):
            raise top.fault(f"ports.{port}", _("[x, y] in units of the SVG"), at)
        drawn.ports[port] = (at[0] * drawn.mm_per_unit, at[1] * drawn.mm_per_unit)
    return symbol_of(drawn, file, kind, name, clause, of, svg)


def svg_named(file: FilePath) -> str:
    """The SVG that a file of an own symbol names, "" where it names none or cannot be read."""
    try:
        found = read_toml(file, MOST_BYTES).get("svg")
    except (OSError, TomlFault):
        return ""
    return found if isinstance(found, str) else ""


def _when(top: _Table) -> dict[str, tuple[Any, ...]]:
    """Fields of the record and the values that choose the symbol."""
    if "when" not in top.rest:
        return {}
    table = top.table("when")
    for field, values in table.rest.items():
        if values == RECORDED:
            continue
        if not isinstance(values, list) or not values or not all(type(v) in (str, bool, int) for v in values):
            raise table.fault(field, _("a list of values, or {word!r}").format(word=RECORDED), values)
    return {field: (RECORDED,) if values == RECORDED else tuple(values) for field, values in table.rest.items()}


def _ports(top: _Table, spans: bool) -> dict[str, tuple[int | str, int, Side]]:
    if "ports" not in top.rest:
        return {}
    inner = top.table("ports")
    return {key: _port(inner, key, value, spans) for key, value in inner.rest.items()}


def _positions(table: _Table) -> dict[str, Strokes]:
    return {position: _only_strokes(inner) for position, inner in table.tables("position").items()}


def _other_face(table: _Table, iec: Face) -> Face:
    """What the file says IEEE 315 draws; what it does not say is as in IEC 60617."""
    positions = _positions(table)
    if positions and set(positions) != set(iec.positions):
        raise table.fault("position", ", ".join(iec.positions), ", ".join(positions))
    ways = iec.ways
    if "ways" in table.rest and iec.ways:
        ways = _only_strokes(table.table("ways"))
    face = Face(_clause(table, IEEE), table.strokes(iec.strokes), ways, positions or iec.positions)
    table.end()
    return face


def _clause(table: _Table, standard: Standard, is_own: bool = False) -> str:
    clause = table.word("clause")
    if is_own:
        return clause
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
