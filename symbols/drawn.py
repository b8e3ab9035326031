"""Draws a symbol that was read: its strokes and ports, in a standard, a position, turned and mirrored."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple, TypeAlias, cast

from engine.picture import Box, Path, Primitive, Segment, Text, around, path_box, transformed
from engine.words import _
from symbols.reading import IEEE, SIDES, Side, Standard, Symbol, SymbolError
from symbols.strokes import STEP, Piece, Span, StrokeFault, draw, turn

__all__ = ["MARKS", "Port", "Shape", "drawn"]

MARKS = "marks"
Signs: TypeAlias = Callable[[str], tuple[Primitive, ...]]


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


def drawn(
    of: Symbol,
    standard: Standard,
    signs: Signs,
    position: str = "",
    terminals: tuple[str, ...] = (),
    length: int | None = None,
    pitch: int | None = None,
    rotation: int = 0,
    mirrored: bool = False,
) -> Shape:
    """The shape of a symbol as `catalogue.shape` tells; `signs` gives a mark's strokes. Raises `SymbolError`."""
    face = of.faces[standard]
    position = position or of.rest
    if face.positions and position not in face.positions:
        raise SymbolError(
            _("{file}: position: expected one of {known}, found {found!r}").format(
                file=of.told, known=", ".join(face.positions), found=position
            )
        )
    span, at = _extent(of, terminals, length, pitch)
    table = "ieee." if standard == IEEE else ""
    common = _pieces(of, f"{table}strokes", face.strokes, span, signs)
    for name, x in at.items():
        common += [_moved(piece, x) for piece in _pieces(of, f"{table}ways.strokes", face.ways, None, signs)]
        if of.ways is not None and of.ways.number is not None:
            figure = {"text": name.removeprefix(of.ways.prefix), "at": list(of.ways.number)}
            common.append(_moved(draw(figure, None, signs), x))
    moving = {
        name: _pieces(of, f"{table}position.{name}.strokes", strokes, span, signs)
        for name, strokes in face.positions.items()
    }
    primitives = _turned([*moving.get(position, []), *common], rotation, mirrored)
    every = _turned([*common, *(p for pieces in moving.values() for p in pieces)], rotation, mirrored)
    if not any(isinstance(p, Path) for p in every):
        raise SymbolError(
            _("{file}: {key}: expected a stroke beside the letters").format(file=of.told, key=f"{table}strokes")
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
            _("{file}: pitch: expected an even number of grid steps, found {found}").format(file=of.told, found=step)
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


def _no_sign(name: str) -> tuple[Primitive, ...]:
    raise StrokeFault(_("a mark holds no other mark, found {found!r}").format(found=name))


def _pieces(of: Symbol, key: str, strokes: Iterable[dict[str, Any]], span: Span | None, signs: Signs) -> list[Piece]:
    sign = _no_sign if of.family == MARKS else signs
    made = []
    for number, stroke in enumerate(strokes, 1):
        try:
            made.append(draw(stroke, span, sign))
        except StrokeFault as fault:
            raise SymbolError(
                _("{file}: {key}, number {number}: {why}").format(file=of.told, key=key, number=number, why=fault)
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
    return around(boxes)
