"""Finds, reads and draws symbols: one TOML file each, `symbols/<family>/<kind>.toml`.

A file holds::

    kind = "fuse"                        # the file's own name; its folder is its family
    name = "Fuse"                        # for people
    clause = "IEC 60617: ..."            # the published shape the strokes follow
    strokes = [ { line = [0, -2, 0, 2] }, ... ]     # see symbols.strokes; grid steps of 2.5 mm, x right, y down
    ports.in = [0, 2, "bottom"]          # named as the kind's terminals; whole steps; the side a run leaves by

    rest = "open"                        # switches: the position drawn when nobody says which
    position.open.strokes = [ ... ]      # drawn in that position, below the other strokes
    position.closed.strokes = [ ... ]

    stretches = true                     # a bus bar: from x "left" = 0 to x "right" = its length
    shown = 8                            # that length when nobody says

    [ways]                               # symbols with a varying number of like terminals (ch1, ch2, ...)
    prefix = "ch"                        # terminals so named, followed by digits
    shown = 4                            # how many when nobody says
    pitch = 4                            # steps from one to the next, even, so that they stay on the grid
    port = [0, -2, "top"]                # of each, counted from its own x
    number = [0.8, -1.4]                 # where its number stands (left out: no number)
    strokes = [ ... ]                    # of each; elsewhere "first" and "last" are the x of the outer ones,
                                         # "left" and "right" lie `margin` steps beyond

    [ieee]                               # what IEEE 315 draws otherwise; ports never differ, so no run moves
    clause = "IEEE 315: ..."
    strokes = [ ... ]                    # left out: as above; `position` and `ways.strokes` likewise

Folder `marks` holds the small signs that other symbols and the drawing use: direct current, alternating current, the
reference arrow. Wrong files raise `SymbolError`, which names the file and the key.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path as FilePath
from types import MappingProxyType
from typing import Any, NamedTuple, cast

from engine.picture import Box, Path, Primitive, Segment, Text, path_box, transformed
from engine.words import _
from symbols.reading import IEC, IEEE, SIDES, STANDARDS, Side, Standard, Symbol, SymbolError, read, shown_name
from symbols.strokes import STEP, Piece, Span, StrokeFault, draw, turn

__all__ = [
    "IEC",
    "IEEE",
    "STANDARDS",
    "STEP",
    "Port",
    "Shape",
    "Side",
    "Standard",
    "Symbol",
    "SymbolError",
    "bus",
    "check",
    "mark",
    "marks",
    "names",
    "shape",
    "symbol",
]

ROOT = FilePath(__file__).parent
MARKS = "marks"


class Port(NamedTuple):
    """Where a run meets a symbol: whole grid steps from its origin, and the side the run leaves by."""

    name: str
    x: int
    y: int
    side: Side


class Shape(NamedTuple):
    """A symbol ready to be moved to its place: primitives and box in mm about its origin, ports in grid steps.

    `box` holds the strokes of every position, so that nothing on the sheet moves when a switch does. Of a symbol that
    `stretches`, the one port may be met anywhere along its length.
    """

    kind: str
    clause: str
    primitives: tuple[Primitive, ...]
    ports: Mapping[str, Port]
    box: Box
    stretches: bool = False


# -- finding --------------------------------------------------------------------------------------------------------
@cache
def _files() -> dict[str, FilePath]:
    found: dict[str, FilePath] = {}
    for file in sorted(ROOT.glob("*/*.toml"), key=lambda f: f.stem):
        if file.stem in found:
            raise SymbolError(
                _("{file}: there is a second one of this name, {other}").format(
                    file=shown_name(file), other=shown_name(found[file.stem])
                )
            )
        found[file.stem] = file
    return found


def names() -> tuple[str, ...]:
    """Every kind of equipment that has a symbol, sorted."""
    return tuple(name for name, file in _files().items() if file.parent.name != MARKS)


def marks() -> tuple[str, ...]:
    """Every small sign that is no kind of equipment, sorted."""
    return tuple(name for name, file in _files().items() if file.parent.name == MARKS)


@cache
def symbol(name: str) -> Symbol:
    """The file of a kind or of a mark, read once."""
    file = _files().get(name)
    if file is None:
        raise SymbolError(_("there is no symbol for {name!r}").format(name=name))
    found = read(file)
    check(found)
    return found


def check(of: Symbol) -> None:
    """Draw all that a symbol can show, so that a wrong stroke is told when the file is read. Raises `SymbolError`."""
    for standard in STANDARDS:
        for position in of.positions() or ("",):
            _drawn(of, standard, position)


# -- drawing --------------------------------------------------------------------------------------------------------
def shape(
    kind: str,
    standard: Standard = IEC,
    position: str = "",
    *,
    terminals: tuple[str, ...] = (),
    length: int | None = None,
    pitch: int | None = None,
    rotation: int = 0,
    mirrored: bool = False,
) -> Shape:
    """The symbol of a kind.

    `position`: the one a switch is drawn in ("": at rest), ignored where the symbol is always the same. `terminals`:
    those the piece has; they matter to a switching module or diode isolator only, whose box stretches to its ways.
    `length`: grid steps a bus is long. `pitch`: grid steps between ways. `mirrored`, then `rotation` clockwise, turn
    strokes and ports but leave letters and signs upright. Raises `SymbolError`.
    """
    return _shape(kind, standard, position, terminals, length, pitch, rotation % 360, mirrored)


def bus(length: int, standard: Standard = IEC, rotation: int = 0) -> Shape:
    """A bus bar so many grid steps long, from its origin to the right, or down when turned by 90."""
    return shape("bus_bar", standard, length=length, rotation=rotation)


def mark(name: str, standard: Standard = IEC, rotation: int = 0) -> Shape:
    """A small sign: a reference arrow, a current sign."""
    return shape(name, standard, rotation=rotation)


@cache
def _shape(
    kind: str,
    standard: Standard,
    position: str,
    terminals: tuple[str, ...],
    length: int | None,
    pitch: int | None,
    rotation: int,
    mirrored: bool,
) -> Shape:
    if rotation % 90:
        raise SymbolError(_("{kind}: expected a quarter turn, found {found} degrees").format(kind=kind, found=rotation))
    if standard not in STANDARDS:
        raise SymbolError(
            _("{kind}: expected one of {known}, found {found!r}").format(
                kind=kind, known=", ".join(STANDARDS), found=standard
            )
        )
    return _drawn(symbol(kind), standard, position, terminals, length, pitch, rotation, mirrored)


def _drawn(
    of: Symbol,
    standard: Standard,
    position: str = "",
    terminals: tuple[str, ...] = (),
    length: int | None = None,
    pitch: int | None = None,
    rotation: int = 0,
    mirrored: bool = False,
) -> Shape:
    face = of.faces[standard]
    position = position or of.rest
    if face.positions and position not in face.positions:
        raise SymbolError(
            _("{file}: position: expected one of {known}, found {found!r}").format(
                file=shown_name(of.file), known=", ".join(face.positions), found=position
            )
        )
    span, at = _extent(of, terminals, length, pitch)
    table = "ieee." if standard == IEEE else ""
    common = _pieces(of, f"{table}strokes", face.strokes, span)
    for name, x in at.items():
        common += [_moved(piece, x) for piece in _pieces(of, f"{table}ways.strokes", face.ways, None)]
        if of.ways is not None and of.ways.number is not None:
            figure = {"text": name.removeprefix(of.ways.prefix), "at": list(of.ways.number)}
            common.append(_moved(draw(figure, None, _sign), x))
    moving = {
        name: _pieces(of, f"{table}position.{name}.strokes", strokes, span) for name, strokes in face.positions.items()
    }
    primitives = _turned([*moving.get(position, []), *common], rotation, mirrored)
    every = _turned([*common, *(p for pieces in moving.values() for p in pieces)], rotation, mirrored)
    if not any(isinstance(p, Path) for p in every):
        raise SymbolError(
            _("{file}: {key}: expected a stroke beside the letters").format(
                file=shown_name(of.file), key=f"{table}strokes"
            )
        )
    ports = {}
    for name, (px, y, side) in of.ports.items():
        ports[name] = _port(name, _whole(px, span), y, side, rotation, mirrored)
    if of.ways is not None:
        dx, y, side = of.ways.port
        for name, x in at.items():
            ports[name] = _port(name, round(x) + dx, y, side, rotation, mirrored)
    return Shape(of.kind, face.clause, primitives, MappingProxyType(ports), _box(every), of.stretches)


def _extent(
    of: Symbol, terminals: tuple[str, ...], length: int | None, pitch: int | None
) -> tuple[Span | None, dict[str, float]]:
    """Where "left" and "right" are, and the x of every way."""
    if of.stretches:
        right = max(1, of.shown if length is None else length)
        return Span(0, right, 0, right), {}
    if of.ways is None:
        return None, {}
    ways = of.ways
    step = ways.pitch if pitch is None else pitch
    if step < 2 or step % 2:
        raise SymbolError(
            _("{file}: pitch: expected an even number of grid steps, found {found}").format(
                file=shown_name(of.file), found=step
            )
        )
    have = [t for t in terminals if re.fullmatch(re.escape(ways.prefix) + r"\d+", t)]
    if not have and not terminals:
        have = [f"{ways.prefix}{n}" for n in range(1, ways.shown + 1)]
    first = -step * (len(have) - 1) / 2 if have else 0
    at = {name: first + step * n for n, name in enumerate(have)}
    reach = abs(first) + ways.margin
    return Span(-reach, reach, first, -first), at


def _whole(x: int | str, span: Span | None) -> int:
    if isinstance(x, str):
        assert span is not None  # `read` lets words pass only where there is a span
        return round(span.left if x == "left" else span.right)
    return x


def _sign(name: str) -> tuple[Primitive, ...]:
    if name not in marks():
        raise StrokeFault(
            _("mark: expected one of {known}, found {found!r}").format(known=", ".join(marks()), found=name)
        )
    return mark(name).primitives


def _no_sign(name: str) -> tuple[Primitive, ...]:
    raise StrokeFault(_("a mark holds no other mark, found {found!r}").format(found=name))


def _pieces(of: Symbol, key: str, strokes: Iterable[dict[str, Any]], span: Span | None) -> list[Piece]:
    sign = _no_sign if of.family == MARKS else _sign
    made = []
    for number, stroke in enumerate(strokes, 1):
        try:
            made.append(draw(stroke, span, sign))
        except StrokeFault as fault:
            raise SymbolError(
                _("{file}: {key}, number {number}: {why}").format(
                    file=shown_name(of.file), key=key, number=number, why=fault
                )
            ) from None
    return made


def _moved(piece: Piece, x: float) -> Piece:
    if piece.upright is not None:
        return piece._replace(upright=(piece.upright[0] + x * STEP, piece.upright[1]))
    return Piece(tuple(transformed(piece.primitives, x * STEP)))


def _turned(pieces: Iterable[Piece], rotation: int, mirrored: bool) -> tuple[Primitive, ...]:
    made: list[Primitive] = []
    for piece in pieces:
        if piece.upright is None:
            made += transformed(piece.primitives, rotation=rotation, mirrored=mirrored)
        else:
            standing = piece.on_end if piece.on_end and rotation % 180 else piece.primitives
            made += transformed(standing, *turn(*piece.upright, rotation, mirrored))
    return tuple(_rounded(p) for p in made)


def _rounded(p: Primitive) -> Primitive:
    """Numbers as a person would write them: no noise in the sixteenth place."""
    if isinstance(p, Text):
        return p._replace(x=_short(p.x), y=_short(p.y))
    return p._replace(segments=tuple(cast(Segment, (s[0], *(_short(float(v)) for v in s[1:]))) for s in p.segments))


def _short(value: float) -> float:
    return round(value, 4) + 0.0


def _port(name: str, x: int, y: int, side: Side, rotation: int, mirrored: bool) -> Port:
    px, py = turn(x, y, rotation, mirrored)
    if mirrored and side in ("left", "right"):
        side = "right" if side == "left" else "left"
    return Port(name, round(px), round(py), SIDES[(SIDES.index(side) + rotation // 90) % 4])


def _box(primitives: Iterable[Primitive]) -> Box:
    boxes = [path_box(p) for p in primitives if isinstance(p, Path)]
    return Box(
        min(b.left for b in boxes), min(b.top for b in boxes), max(b.right for b in boxes), max(b.bottom for b in boxes)
    )
