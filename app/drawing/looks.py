"""What a piece looks like on the sheet: its symbol, or a plain box for a kind no symbol is known for. Grid steps."""

from __future__ import annotations

from functools import cache, lru_cache, partial
from typing import Any, Literal, NamedTuple, cast

from app.own_symbols import own_symbols
from engine.equipment.base import Equipment
from engine.picture import Box, Primitive, Text, rectangle
from symbols import catalogue
from symbols.catalogue import STEP, Port, Shape, Side, Standard, Symbol

__all__ = ["BACK", "STEP", "Look", "chosen", "is_found", "known_names", "look", "may_turn", "opposite"]

BACK: dict[Side, Side] = {"top": "bottom", "bottom": "top", "left": "right", "right": "left"}


class Look(NamedTuple):
    """A symbol turned as it will stand. `box` in grid steps about the origin, strokes included."""

    shape: Shape
    ports: dict[str, Port]
    box: Box
    stretches: bool


def opposite(side: Side) -> Side:
    """The side across."""
    return BACK[side]


def look(
    record: Equipment,
    standard: str,
    rotation: int = 0,
    mirrored: bool = False,
    length: int | None = None,
    symbol: str = "",
) -> Look:
    """The symbol of a record in its drawn position; `length` is that of a bus or of a module's row of ways.

    `symbol`: the name of the one it is drawn with; "": that which suits what is recorded of it.
    """
    return _look(
        record.KIND,
        chosen(record, symbol),
        cast(Standard, standard),
        record.drawn_position(),
        _terminals(type(record)) if record.KIND and not record.TERMINALS_VARY else _named(record),
        length,
        rotation % 360,
        mirrored,
    )


def chosen(record: Equipment, symbol: str = "") -> Symbol | None:
    """The symbol a record is drawn with, `None` for a kind that has none.

    That of the name `symbol` where it stands for this kind: of the program's, or one of the yard's own that is found
    here; else the one that suits what is recorded.
    """
    if record.KIND not in _known():
        return None
    if symbol:
        if symbol in known_names(record.KIND):
            return catalogue.symbol(symbol)
        own = own_symbols().symbols.get(symbol)
        if own is not None and own.kind == record.KIND:
            return own
    return catalogue.symbol(catalogue.variant_for(record.KIND, partial(getattr, record)))


def is_found(record: Equipment, symbol: str) -> bool:
    """Whether a symbol of this name can be drawn for a record here; "" always can."""
    if not symbol or symbol in known_names(record.KIND):
        return True
    own = own_symbols().symbols.get(symbol)
    return own is not None and own.kind == record.KIND


@cache
def known_names(kind: str) -> frozenset[str]:
    """Names of the program's own symbols for a kind: its own and its variants."""
    return frozenset((kind, *catalogue.variants(kind))) if kind in _known() else frozenset()


def _named(record: Equipment) -> tuple[str, ...]:
    return tuple(t.name for t in record.terminals())


@cache
def _terminals(kind: type[Equipment]) -> tuple[str, ...]:
    """Terminals of a kind that has the same whatever its fields say."""
    return _named(kind())


@cache
def _known() -> frozenset[str]:
    return frozenset(catalogue.names())


@lru_cache(maxsize=4096)
def _look(
    kind: str,
    of: Symbol | None,
    standard: Standard,
    position: str,
    terminals: tuple[str, ...],
    length: int | None,
    rotation: int,
    mirrored: bool,
) -> Look:
    if of is None:
        made = _plain(kind, terminals)
    else:
        rest: dict[str, Any] = {"terminals": terminals, "rotation": rotation, "mirrored": mirrored}
        if of.stretches:
            rest["length"] = length
        elif of.ways is not None and length is not None:
            rest["pitch"] = max(2, length - length % 2)
        made = catalogue.shape(of, standard, position if position in of.positions() else "", **rest)
    ports = dict(made.ports)
    for name in terminals:  # a terminal the symbol does not show still has a place
        if name not in ports:
            first = next(iter(ports.values()), Port(name, 0, 0, "bottom"))
            ports[name] = first._replace(name=name)
    b = made.box
    return Look(made, ports, Box(b.left / STEP, b.top / STEP, b.right / STEP, b.bottom / STEP), made.stretches)


def _plain(kind: str, terminals: tuple[str, ...]) -> Shape:
    """A box with a question mark: equipment of a kind this version does not know."""
    count = max(1, (len(terminals) + 1) // 2)
    half = 2 + 2 * (count // 2)
    ports: dict[str, Port] = {}
    for n, name in enumerate(terminals):
        side: Side = "top" if n % 2 else "bottom"
        ports[name] = Port(name, 2 * (n // 2) - 2 * (count // 2), -2 if n % 2 else 2, side)
    strokes: tuple[Primitive, ...] = (
        rectangle(-half * STEP, -2 * STEP, half * STEP, 2 * STEP),
        Text(0, 1.75, "?", 3.5, "middle"),
    )
    edge = 0.35 / 2
    box = Box(-half * STEP - edge, -2 * STEP - edge, half * STEP + edge, 2 * STEP + edge)
    return Shape(kind, "", strokes, ports, box, False)


def may_turn(record: Equipment) -> tuple[Literal[0, 90, 180, 270], ...]:
    """The turns a symbol may stand in: an earth hangs down, a bus lies, a battery stands."""
    if record.ROLE == "bus" or record.KIND not in _known():
        return (0,)
    if record.ROLE == "earth" and all(p.side == "top" for p in catalogue.shape(record.KIND).ports.values()):
        return (0,)
    if catalogue.symbol(record.KIND).ways is not None or record.ROLE == "source":
        return (0, 180)
    return (0, 180, 270, 90)
