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

A **variant** draws a kind otherwise by what it is: a load as a lamp. Its file has another name than its kind::

    kind = "load"                        # the kind it stands for
    name = "Lamp"
    when.service = ["lighting"]          # it is taken where these fields of the record say so; left out: by name only;
                                         # "recorded" in place of a list: they are not empty
    strokes = [ ... ]                    # in place of the kind's; positions it does not draw are the kind's
    adds = [ ... ]                       # or: on top of the kind's strokes, in each standard

It has the kind's ports, so that no run moves. `[ieee]` as above; with `adds`, an `adds` of its own there if it differs.

Folder `marks` holds the small signs that other symbols and the drawing use: direct current, alternating current, the
reference arrow. Wrong files raise `SymbolError`, which names the file and the key.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache, lru_cache
from pathlib import Path as FilePath

from engine.picture import Primitive
from engine.words import _
from symbols.drawn import MARKS, Port, Shape, drawn
from symbols.reading import IEC, IEEE, RECORDED, STANDARDS, Side, Standard, Symbol, SymbolError, read, shown_name
from symbols.strokes import STEP, StrokeFault

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
    "variant_for",
    "variants",
]

ROOT = FilePath(__file__).parent
_KIND = re.compile(r'^kind = "([^"]+)"', re.MULTILINE)


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
    return tuple(name for name, kind in _kinds().items() if kind == name)


def variants(kind: str = "") -> tuple[str, ...]:
    """Every symbol that draws a kind otherwise, by what it is, sorted; of one kind or of all."""
    return tuple(name for name, of in _kinds().items() if of != name and kind in ("", of))


@cache
def _kinds() -> dict[str, str]:
    """The kind of every symbol by name, looked up in its file: to read them all would be felt when a drawing opens."""
    found = {}
    for name, file in _files().items():
        if file.parent.name != MARKS:
            said = _KIND.search(file.read_text("utf-8"))
            found[name] = said.group(1) if said else name
    return found


def variant_for(kind: str, fact: Callable[[str], object]) -> str:
    """The name of the symbol that suits what is recorded: `fact` gives the value of a field. The kind's own if none.

    The one with most conditions that all hold; of equals the first by name.
    """
    fields = _fields(kind)
    if not fields:
        return kind
    values = tuple(fact(field) for field in fields)
    return _variant_for(kind, values, tuple(map(type, values)))


@cache
def _fields(kind: str) -> tuple[str, ...]:
    """Fields that choose among the symbols of a kind."""
    return tuple(dict.fromkeys(field for name in _choosing(kind) for field in symbol(name).when))


@lru_cache(maxsize=4096)
def _variant_for(kind: str, values: tuple[object, ...], _types: tuple[type, ...]) -> str:
    """The types keep yes and 1 apart."""
    facts = dict(zip(_fields(kind), values, strict=True))
    found, most = kind, 0
    for name in _choosing(kind):
        when = symbol(name).when
        if len(when) > most and all(_holds(facts[field], wanted) for field, wanted in when.items()):
            found, most = name, len(when)
    return found


def _holds(value: object, values: tuple[object, ...]) -> bool:
    if values == (RECORDED,):
        return value not in (None, "", (), False)
    return any(value == each and isinstance(value, bool) is isinstance(each, bool) for each in values)


@cache
def _choosing(kind: str) -> tuple[str, ...]:
    """Variants of a kind that are chosen by what is recorded."""
    return tuple(name for name in variants(kind) if symbol(name).when)


def marks() -> tuple[str, ...]:
    """Every small sign that is no kind of equipment, sorted."""
    return tuple(name for name, file in _files().items() if file.parent.name == MARKS)


@cache
def symbol(name: str) -> Symbol:
    """The file of a kind, of a variant or of a mark, read once."""
    file = _files().get(name)
    if file is None:
        raise SymbolError(_("there is no symbol for {name!r}").format(name=name))
    found = read(file, symbol)
    check(found)
    return found


def check(of: Symbol) -> None:
    """Draw all that a symbol can show, so that a wrong stroke is told when the file is read. Raises `SymbolError`."""
    for standard in STANDARDS:
        for position in of.positions() or ("",):
            drawn(of, standard, _sign, position)


# -- drawing --------------------------------------------------------------------------------------------------------
def shape(
    kind: str | Symbol,
    standard: Standard = IEC,
    position: str = "",
    *,
    terminals: tuple[str, ...] = (),
    length: int | None = None,
    pitch: int | None = None,
    rotation: int = 0,
    mirrored: bool = False,
) -> Shape:
    """The symbol of a kind, or a variant by its name, or one that was read elsewhere.

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
    kind: str | Symbol,
    standard: Standard,
    position: str,
    terminals: tuple[str, ...],
    length: int | None,
    pitch: int | None,
    rotation: int,
    mirrored: bool,
) -> Shape:
    name = kind if isinstance(kind, str) else kind.slug
    if rotation % 90:
        raise SymbolError(_("{kind}: expected a quarter turn, found {found} degrees").format(kind=name, found=rotation))
    if standard not in STANDARDS:
        raise SymbolError(
            _("{kind}: expected one of {known}, found {found!r}").format(
                kind=name, known=", ".join(STANDARDS), found=standard
            )
        )
    of = symbol(kind) if isinstance(kind, str) else kind
    return drawn(of, standard, _sign, position, terminals, length, pitch, rotation, mirrored)


def _sign(name: str) -> tuple[Primitive, ...]:
    if name not in marks():
        raise StrokeFault(
            _("mark: expected one of {known}, found {found!r}").format(known=", ".join(marks()), found=name)
        )
    return mark(name).primitives
