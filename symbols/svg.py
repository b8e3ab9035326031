"""A symbol drawn as SVG, limited to shapes that are safe and that a sheet can show.

Read are `path` (M L H V C A Z), `line`, `polyline`, `polygon`, `rect`, `circle`, `ellipse`, plain `text`, and `g` with
translate, scale and rotate. Strokes and fills are black, white or none; a width becomes the nearest of the sheet's. An
element with the id `port-NAME` is a port: the middle of a circle, or a path that is one point (M x y). A `g` with the
id `position-NAME` is drawn in that position of a switch. What a symbol stands for says `data-kind` on the `svg`
element, its name the `title`; or a TOML file beside it does, which may also give the ports in units of the SVG::

    kind = "load"
    name = "Lamp of the yard"
    svg = "lamp.svg"
    ports.in = [5, 10]

A unit of the SVG is 1 mm unless `width` says otherwise in mm, cm, in or pt. The symbol is moved so that its ports lie
where those of the kind lie; they must all fit. Nothing is fetched, no entity resolved, no script, style sheet, picture
or use of another element read: each is a fault. Every fault is a `SymbolError` that names file, line and element.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path as FilePath
from typing import Any

from engine.words import _
from symbols._svg_reading import Drawn, parse
from symbols.reading import IEC, IEEE, Face, Symbol, SymbolError
from symbols.strokes import STEP

__all__ = ["SLACK_MM", "read_svg", "symbol_of"]

SLACK_MM = 0.2  # a port may lie beside its place


def read_svg(file: FilePath, of: Callable[[str], Symbol]) -> Symbol:
    """An SVG that says itself what it stands for. Raises `SymbolError`."""
    try:
        data = file.read_bytes()
    except OSError as fault:
        raise SymbolError(f"{file.name}: {fault.strerror}") from None
    drawn = parse(data, file.name)
    if not drawn.kind:
        raise SymbolError(
            _('{file}: expected data-kind="..." on the svg element, or a TOML file beside it that names it').format(
                file=file.name
            )
        )
    return symbol_of(drawn, file, drawn.kind, drawn.title or file.stem, "", of)


def symbol_of(
    drawn: Drawn, file: FilePath, kind: str, name: str, clause: str, of: Callable[[str], Symbol], svg: str = ""
) -> Symbol:
    """What was read as a symbol of a kind; `svg`: its file where that is not `file`. Raises `SymbolError`."""
    shown = svg or file.name
    try:
        general = of(kind)
    except SymbolError:
        general = None
    if general is None or general.slug != general.kind or general.family == "marks":
        raise SymbolError(_("{file}: there is no kind of equipment {kind!r}").format(file=file.name, kind=kind))
    if general.stretches or general.ways is not None:
        raise SymbolError(
            _("{file}: the symbol of {kind!r} stretches, none of your own can stand for it").format(
                file=file.name, kind=kind
            )
        )
    dx, dy = _moved(drawn, general, shown)
    usual = general.faces[IEC].positions
    if set(drawn.positions) != set(usual):
        raise SymbolError(
            _("{file}: expected the positions {known}, found {found}").format(
                file=shown, known=", ".join(usual) or _("none"), found=", ".join(drawn.positions) or _("none")
            )
        )
    if not drawn.common and not all(drawn.positions.values() or [()]):
        raise SymbolError(_("{file}: nothing is drawn in it").format(file=shown))
    common = tuple(_placed(stroke, dx, dy) for stroke in drawn.common)
    positions = {name: tuple(_placed(s, dx, dy) for s in drawn.positions[name]) for name in usual}
    face = Face(clause, common, (), positions)
    return general._replace(slug=file.stem, name=name, file=file, faces={IEC: face, IEEE: face}, is_own=True)


def _moved(drawn: Drawn, general: Symbol, shown: str) -> tuple[float, float]:
    """How far the drawing is moved, mm, so that its ports are where the kind has them."""
    for name in drawn.ports:
        if name not in general.ports:
            raise SymbolError(
                _("{file}: port-{port}: the kind {kind!r} has no such terminal; it has {known}").format(
                    file=shown, port=name, kind=general.kind, known=", ".join(general.ports)
                )
            )
    for name in general.ports:
        if name not in drawn.ports:
            raise SymbolError(
                _("{file}: the port of terminal {port} is missing: an element with the id port-{port}").format(
                    file=shown, port=name
                )
            )
    move: tuple[float, float] | None = None
    first = ""
    for name, (px, py, _side) in general.ports.items():
        there = (float(px) * STEP, float(py) * STEP)
        here = drawn.ports[name]
        if move is None:
            move, first = (there[0] - here[0], there[1] - here[1]), name
            continue
        off = (here[0] + move[0] - there[0], here[1] + move[1] - there[1])
        if max(abs(off[0]), abs(off[1])) > SLACK_MM:
            raise SymbolError(
                _(
                    "{file}: port-{port} lies {x:+.2f} mm across and {y:+.2f} mm down from where the kind has it, "
                    "seen from port-{first}"
                ).format(file=shown, port=name, x=off[0], y=off[1], first=first)
            )
    return move or (0.0, 0.0)


def _placed(stroke: dict[str, Any], dx: float, dy: float) -> dict[str, Any]:
    """A stroke in mm as one in grid steps, moved."""

    def step(value: float, by: float) -> float:
        return round((value + by) / STEP, 4)

    if "at" in stroke:
        x, y = stroke["at"]
        return {**stroke, "at": [step(x, dx), step(y, dy)]}
    segments = [
        [letter, *(step(value, dy if n % 2 else dx) for n, value in enumerate(v))] for letter, *v in stroke["segments"]
    ]
    return {**stroke, "segments": segments}
