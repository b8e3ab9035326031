"""Pictures as DXF of release 2010 (AC1024), one file a sheet.

One file a sheet, as with SVG and PNG: a yard takes one sheet into its own drawing, and nobody has to know an offset.
Everything stands in model space at true size in millimetres with its lower left corner at (0, 0), frame and cautions
too, since many programs read nothing else; the one layout is the sheet of paper, with a window on it at 1:1.

Layers go by meaning. Every symbol is a block with the attributes DESIGNATION and LABEL; these are not shown, as the
label on the sheet, in words, stands where it had room. The font is named, not enclosed: DXF cannot hold one. Dates and
identifiers are fixed ones, so that the same picture gives the same bytes.
"""

from __future__ import annotations

import contextlib
import io
import re
from collections.abc import Iterator
from typing import Any, NamedTuple

from app.paper.dxf_strokes import LINETYPES, STYLES, At, add_path, add_text, shown_text
from engine.meaning import Meaning, Symbol, Thing
from engine.picture import DASHES, Path, Picture, Primitive, Text, font_file
from engine.words import _

__all__ = ["LAYERS", "dxf_bytes"]

_FAMILIES = {"dc": "-DC", "ac": "-AC", "earth": "-EARTH", "signal": "-SIGNAL", "": ""}
LAYERS = (
    "FRAME",  # with title block and cautions
    *(f"EQUIPMENT{_FAMILIES[family]}" for family in ("dc", "ac", "earth", "")),  # without family: of several, of none
    *(f"RUNS{_FAMILIES[family]}" for family in ("dc", "ac", "earth", "signal")),
    "TEXT",
    "NOTES",  # in the margin
    "FINDINGS",  # their flags in the drawing
    "DEFICIENCIES",  # their squares in the drawing
    "REVISIONS",  # clouds about what has changed
    "OTHER",
)
_WINDOW = "WINDOW"  # the edge of the layout's window: never plotted
_ATTRIBUTES = ("DESIGNATION", "LABEL")


def dxf_bytes(picture: Picture) -> bytes:
    """A picture as DXF. A clip does not hold here: everything is drawn."""
    with _fixed():
        from ezdxf.filemanagement import new

        document = new("R2010", setup=False, units=4)
        _Sheet(document, picture).draw()
        for name in sorted(document.entitydb.dxf_types_in_use()):  # else in the order of a set
            document.classes.add_class(name)
        out = io.StringIO()
        document.write(out)
        return out.getvalue().encode(document.output_encoding, "dxfreplace")


@contextlib.contextmanager
def _fixed() -> Iterator[None]:
    """No date of today and no fresh identifiers while this lasts."""
    from ezdxf import options  # type: ignore[attr-defined]  # public, though not named so

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


class _Group(NamedTuple):
    """Strokes that are one symbol."""

    symbol: Symbol
    strokes: tuple[Primitive, ...]
    shape: str  # what it looks like about its origin


class _Sheet:
    def __init__(self, document: Any, picture: Picture) -> None:
        self.document, self.picture = document, picture
        self.meaning = picture.meaning or Meaning()
        self.things: dict[str, Thing] = {thing.id: thing for thing in self.meaning.things}

    def draw(self) -> None:
        self._tables()
        space = self.document.modelspace()
        parts = list(_grouped(self.picture.primitives, self.meaning))
        blocks = self._blocks([part for part in parts if isinstance(part, _Group)])
        drawn = 0
        for part in parts:
            if isinstance(part, _Group):
                self._insert(space, part, blocks[part.symbol.name, part.shape])
                drawn += len(part.strokes)
                continue
            self._add(space, part, self._at, "FRAME" if drawn < self.meaning.frame else self._layer(part))
            drawn += 1
        for part in self.picture.around:
            self._add(space, part, self._at, "FRAME")
        self._paper(space)

    # -- tables -----------------------------------------------------------------------------------------------------
    def _tables(self) -> None:
        document = self.document
        for dash, name in LINETYPES.items():
            lengths = DASHES[dash]  # type: ignore[index]  # a `Dash`
            if lengths:
                signed = [length if n % 2 == 0 else -length for n, length in enumerate(lengths)]
                document.linetypes.add(name, [sum(lengths), *signed], description=dash)
        for bold, name in STYLES.items():
            style = document.styles.add(name, font=font_file(bold).name)
            style.set_extended_font_data("Fira Sans Condensed SemiBold" if bold else "Fira Sans Condensed")
        for name in LAYERS:
            document.layers.add(name, color=7)
        document.layers.add(_WINDOW, color=8).dxf.plot = 0
        header = document.header
        header["$MEASUREMENT"] = 1
        header["$LUNITS"], header["$LUPREC"] = 2, 2
        header["$LTSCALE"], header["$CELTSCALE"], header["$PSLTSCALE"] = 1.0, 1.0, 1
        header["$LWDISPLAY"] = 1
        header["$TEXTSTYLE"] = STYLES[False]
        title = shown_text(self.picture.title)
        if title:
            header.custom_vars.append("Title", title)
        document.set_wipeout_variables(frame=0)

    def _layer(self, primitive: Primitive) -> str:
        owner = primitive.owner
        if owner.startswith("flag:-"):
            return "DEFICIENCIES"
        if owner.startswith("flag:"):
            return "FINDINGS"
        if owner.startswith("note:"):
            return "NOTES"
        if owner == "revision":
            return "REVISIONS"
        if isinstance(primitive, Text):
            return "TEXT"
        thing = self.things.get(owner)
        return _layer_of(thing) if thing is not None else "OTHER"

    # -- strokes ----------------------------------------------------------------------------------------------------
    def _at(self, x: float, y: float) -> tuple[float, float]:
        if self.picture.mirrored:
            x = self.picture.width - x
        return round(x, 6), round(self.picture.height - y, 6)

    def _add(self, space: Any, primitive: Primitive, at: At, layer: str) -> None:
        if isinstance(primitive, Path):
            add_path(space, primitive, at, layer)
        elif primitive.text:
            add_text(space, primitive, at, layer, self.picture.mirrored)

    # -- symbols ----------------------------------------------------------------------------------------------------
    def _blocks(self, groups: list[_Group]) -> dict[tuple[str, str], str]:
        """One block for every look of a symbol; returns their names by symbol and look."""
        looks: dict[tuple[str, str], _Group] = {}
        for group in groups:
            looks.setdefault((group.symbol.name, group.shape), group)
        names: dict[tuple[str, str], str] = {}
        taken: dict[str, int] = {}
        for key in sorted(looks):  # by what it looks like: no other sheet and no other order changes a name
            plain = re.sub(r"[^A-Za-z0-9_-]+", "-", key[0]).strip("-") or "symbol"
            taken[plain] = taken.get(plain, 0) + 1
            names[key] = plain if taken[plain] == 1 else f"{plain}-{taken[plain]}"
            self._block(names[key], looks[key])
        return names

    def _block(self, name: str, group: _Group) -> None:
        block = self.document.blocks.new(name)
        mirrored = self.picture.mirrored
        x0, y0 = group.symbol.x, group.symbol.y

        def at(x: float, y: float) -> tuple[float, float]:
            return round(x0 - x if mirrored else x - x0, 6), round(y0 - y, 6)

        for stroke in group.strokes:
            self._add(block, stroke, at, "0")  # on layer 0 it takes the layer of what is inserted
        for tag in _ATTRIBUTES:
            block.add_attdef(tag, (0, 0), "", height=2.5, dxfattribs={"flags": 1, "style": STYLES[False]})

    def _insert(self, space: Any, group: _Group, name: str) -> None:
        thing = self.things.get(group.symbol.owner)
        layer = _layer_of(thing) if thing is not None else "OTHER"
        at = self._at(group.symbol.x, group.symbol.y)
        insert = space.add_blockref(name, at, dxfattribs={"layer": layer})
        if thing is None:
            return
        for tag, text in zip(_ATTRIBUTES, (thing.designation, thing.label), strict=True):
            insert.add_attrib(
                tag,
                shown_text(text),
                at,
                dxfattribs={"layer": layer, "flags": 1, "height": 2.5, "style": STYLES[False]},
            )

    # -- paper ------------------------------------------------------------------------------------------------------
    def _paper(self, space: Any) -> None:
        width, height = self.picture.width, self.picture.height
        document = self.document
        layout = document.layout("Layout1")
        layout.page_setup(size=(width, height), margins=(0, 0, 0, 0), units="mm")
        window = layout.add_viewport(
            center=(width / 2, height / 2),
            size=(width, height),
            view_center_point=(width / 2, height / 2),
            view_height=height,
            status=2,
        )
        window.dxf.layer = _WINDOW
        document.layouts.rename("Layout1", _layout_name(self.picture.title))
        for each in (space, layout):
            each.reset_extents((0, 0, 0), (width, height, 0))
            each.reset_limits((0, 0), (width, height))
        # by hand: what writes the file takes a corner at (0, 0) for none
        document.header["$EXTMIN"], document.header["$EXTMAX"] = (0, 0, 0), (width, height, 0)
        document.set_modelspace_vport(height * 1.05, (width / 2, height / 2))


def _layer_of(thing: Thing) -> str:
    if thing.what == "run":
        return f"RUNS{_FAMILIES[thing.family or 'dc']}"
    return f"EQUIPMENT{_FAMILIES[thing.family if thing.family != 'signal' else '']}"


def _layout_name(title: str) -> str:
    """A title as the name of a layout: some signs may not stand in it, and one name is taken."""
    name = " ".join(re.sub(r'[<>/\\":;?*|,=`\x00-\x1f\ufffd^%]+', " ", shown_text(title)).split())[:60].strip()
    return name if name and name.lower() != "model" else _("Sheet")


def _grouped(primitives: tuple[Primitive, ...], meaning: Meaning) -> Iterator[Primitive | _Group]:
    """The primitives in order, those that are a symbol together."""
    first: dict[object, list[Symbol]] = {}
    for symbol in meaning.symbols:
        if symbol.strokes:
            first.setdefault(_place(symbol.strokes[0]), []).append(symbol)
    n = 0
    while n < len(primitives):
        for symbol in first.get(_place(primitives[n]), ()):
            strokes = primitives[n : n + len(symbol.strokes)]
            if list(map(_place, strokes)) == list(map(_place, symbol.strokes)):
                yield _Group(symbol, strokes, _shape(symbol, strokes))
                n += len(strokes)
                break
        else:
            yield primitives[n]
            n += 1


def _place(primitive: Primitive) -> object:
    """What stays of a primitive when its ink is changed."""
    if isinstance(primitive, Text):
        return primitive.owner, primitive.text, primitive.x, primitive.y
    return primitive.owner, primitive.segments


def _shape(symbol: Symbol, strokes: tuple[Primitive, ...]) -> str:
    """What strokes look like about the symbol's origin; equal for equal looks wherever they stand."""
    told: list[str] = []
    for p in strokes:
        if isinstance(p, Text):
            told.append(f"{p.x - symbol.x:.3f} {p.y - symbol.y:.3f} {p[2:8]}")
            continue
        origin = (symbol.x, symbol.y)
        told.append(f"{p[1:7]}")
        told.extend(
            s[0] + " ".join(f"{value - origin[k % 2] + 0.0:.3f}" for k, value in enumerate(s[1:])) for s in p.segments
        )
    return "\n".join(told).replace("-0.000", "0.000")
