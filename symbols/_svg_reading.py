"""The elements of an SVG as strokes in mm: what is not safe, or what a sheet cannot show, is refused."""

from __future__ import annotations

import re
from typing import Any, NamedTuple
from xml.parsers.expat import errors

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import ParseError, XMLParser

from engine.picture import CAP_HEIGHT, missing_characters, text_width
from engine.toml_text import InShort
from engine.words import _
from symbols._svg_geometry import LARGEST, Matrix, SvgFault, circle_path, number, numbers, path_of, transform_of
from symbols.reading import MOST_BYTES, SymbolError
from symbols.strokes import WEIGHTS

__all__ = ["Drawn", "parse"]


MOST_ELEMENTS = 1_000
MOST_SEGMENTS = 10_000
DEEPEST = 24
LONGEST_TEXT = 12
_SVG = "http://www.w3.org/2000/svg"
_UNITS_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72}
_HEIGHTS_MM = (2.5, 3.5, 5.0)  # of capitals on sheets
_SHAPES = {"path", "line", "polyline", "polygon", "rect", "circle", "ellipse"}
_SKIPPED = {"desc", "metadata", "namedview", "defs"}  # they draw nothing; what defs holds cannot be used
_STYLES = {"fill", "stroke", "stroke-width", "font-size", "text-anchor", "display", "visibility"}
_PLAIN = {  # what would change the look, and the values that do not
    "stroke-dasharray": ("none",),
    "opacity": ("1", "1.0"),
    "fill-opacity": ("1", "1.0"),
    "stroke-opacity": ("1", "1.0"),
    "clip-path": ("none",),
    "mask": ("none",),
    "filter": ("none",),
    "marker": ("none",),
    "marker-start": ("none",),
    "marker-mid": ("none",),
    "marker-end": ("none",),
}
_INKS = {"black": "black", "#000": "black", "#000000": "black", "currentcolor": "black", "white": "white"}
_INKS |= {"#fff": "white", "#ffffff": "white", "none": "none", "transparent": "none"}
_INKS |= {"rgb(0,0,0)": "black", "rgb(255,255,255)": "white"}
_USUAL = {"fill": "black", "stroke": "none", "stroke-width": "1", "font-size": "16", "text-anchor": "start"}


class Drawn(NamedTuple):
    """What an SVG holds, in mm: strokes always drawn, those of positions, ports by terminal."""

    kind: str
    title: str
    common: list[dict[str, Any]]
    positions: dict[str, list[dict[str, Any]]]
    ports: dict[str, tuple[float, float]]
    mm_per_unit: float


class _Level(NamedTuple):
    """An element that is open."""

    name: str
    style: dict[str, str]
    matrix: Matrix
    position: str
    skipped: bool


def parse(data: bytes, shown: str) -> Drawn:
    """An SVG file. Raises `SymbolError`, and nothing else."""
    if len(data) > MOST_BYTES:
        raise SymbolError(
            _("{file}: {size} bytes are more than the {most} a symbol may have").format(
                file=shown, size=len(data), most=MOST_BYTES
            )
        )
    return _Reader(shown).read(data)


class _Reader:
    """What `XMLParser` tells of an SVG, element by element: no tree is made."""

    def __init__(self, shown: str) -> None:
        self.shown = shown
        self.open: list[_Level] = []
        self.drawn = Drawn("", "", [], {}, {}, 1.0)
        self.count = self.segments = 0
        self.words: list[str] = []
        self.said: tuple[dict[str, str], _Level] | None = None  # of the text that is open

    def read(self, data: bytes) -> Drawn:
        """The whole file. Raises `SymbolError`."""
        self.parser = XMLParser(target=self, forbid_dtd=True)
        try:
            self.parser.feed(data)
            self.parser.close()
        except SymbolError:
            raise
        except DefusedXmlException:
            raise self._fault(_("a document type is not read: it could define entities")) from None
        except ParseError as fault:
            raise SymbolError(
                _("{file}: line {line}: this is no well-formed XML ({why})").format(
                    file=self.shown, line=fault.position[0], why=errors.messages.get(fault.code, "")
                )
            ) from None
        except (LookupError, ValueError) as fault:  # an encoding that Python does not know
            raise SymbolError(
                _("{file}: this is no well-formed XML ({why})").format(file=self.shown, why=fault)
            ) from None
        return self.drawn

    def _fault(self, why: object, name: str = "", identity: str = "") -> SymbolError:
        element = f'<{InShort(name)} id="{InShort(identity)}">' if identity else f"<{InShort(name)}>"
        return SymbolError(
            _("{file}: line {line}: {element}: {why}").format(
                file=self.shown, line=self.parser.parser.CurrentLineNumber, element=element if name else "XML", why=why
            )
        )

    # -- what the parser tells ------------------------------------------------------------------------------------
    def pi(self, target: str, _data: str | None = None) -> None:
        """A processing instruction: none is obeyed."""
        raise self._fault(_("a processing instruction is not read: {found}").format(found=target[:40]))

    def start(self, full: str, given: dict[str, str]) -> None:
        """An element opens."""
        space, _gap, name = full.removeprefix("{").rpartition("}")
        identity = given.get("id", "")
        self.count += 1
        try:
            if self.count > MOST_ELEMENTS:
                raise SvgFault(_("more than {most} elements").format(most=MOST_ELEMENTS))
            if len(self.open) >= DEEPEST:
                raise SvgFault(_("elements stand in more than {most} others").format(most=DEEPEST))
            for key, value in given.items():
                _safe(key.rpartition("}")[2], value)
            self._element(space, name, {key: value for key, value in given.items() if "}" not in key})
        except SvgFault as fault:
            raise self._fault(fault, name, identity) from None

    def end(self, _full: str) -> None:
        """An element closes: a text or a title is whole."""
        level = self.open.pop()
        if level.name == "text" and self.said is not None:
            given, outer = self.said
            self.said = None
            try:
                self._text(given, outer, "".join(self.words))
            except SvgFault as fault:
                raise self._fault(fault, "text", given.get("id", "")) from None
        elif level.name == "title" and len(self.open) == 1:
            self.drawn = self.drawn._replace(title=_plain_words(self.words)[:60])

    def data(self, text: str) -> None:
        """Words, where they are of a text or a title."""
        if self.open and self.open[-1].name in ("text", "title"):
            self.words.append(text)

    # -- elements -------------------------------------------------------------------------------------------------
    def _element(self, space: str, name: str, given: dict[str, str]) -> None:
        if not self.open:
            if name != "svg" or space not in ("", _SVG):
                raise SvgFault(_("expected <svg>"))
            self.open.append(_Level("svg", {**_USUAL, **_style(given)}, self._root(given), "", False))
            return
        outer = self.open[-1]
        if name in ("script", "style", "image", "use", "foreignObject", "a", "animate", "set", "iframe"):
            raise SvgFault(_("it is not read in a symbol"))
        if outer.skipped or (name in _SKIPPED and name != "title"):
            self.open.append(outer._replace(name=name, skipped=True))
            return
        if outer.name in ("text", "title"):
            raise SvgFault(_("text holds plain words only"))
        if outer.name not in ("svg", "g"):
            raise SvgFault(_("it stands in <{outer}>, which holds no element").format(outer=outer.name))
        if space not in ("", _SVG):
            raise SvgFault(_("it is no element of SVG"))
        if name == "title":
            self.words = []
            self.open.append(outer._replace(name=name))
            return
        if name not in _SHAPES | {"g", "text"}:
            raise SvgFault(_("it is not read in a symbol"))
        level = _Level(
            name,
            {**outer.style, **_style(given)},
            outer.matrix.then(transform_of(given.get("transform", ""))),
            outer.position,
            False,
        )
        identity = given.get("id", "")
        if name == "g" and identity.startswith("position-"):
            if level.position:
                raise SvgFault(_("a position stands in another one"))
            level = level._replace(position=identity.removeprefix("position-"))
            if not re.fullmatch(r"[A-Za-z0-9]{1,12}", level.position):
                raise SvgFault(_("a position is named by letters and digits"))
            self.drawn.positions.setdefault(level.position, [])
        self.open.append(level)
        if identity.startswith("port-"):
            self._port(identity.removeprefix("port-"), name, given, level)
        elif name == "text":
            self.words = []
            self.said = (given, level)
        elif name != "g":
            self._shape(name, given, level)

    def _root(self, given: dict[str, str]) -> Matrix:
        """Its units in mm."""
        self.drawn = self.drawn._replace(kind=given.get("data-kind", ""))
        scale = 1.0
        found = re.fullmatch(r"\s*([0-9.]+)\s*(mm|cm|in|pt)\s*", given.get("width", ""))
        if found is not None:
            width = number("width", found.group(1)) * _UNITS_MM[found.group(2)]
            scale = _UNITS_MM[found.group(2)]
            if "viewBox" not in given:  # CSS: a unit is then a 96th of an inch, which no symbol is drawn in
                raise SvgFault(_("width in {unit} needs a viewBox").format(unit=found.group(2)))
            box = numbers("viewBox", given["viewBox"])
            if len(box) != 4 or box[2] <= 0 or box[3] <= 0:
                raise SvgFault(_("viewBox: expected four numbers, width and height above 0"))
            scale = width / box[2]
            if not 1e-4 < scale < 1e4:
                raise SvgFault(_("width: a unit of {scale:g} mm").format(scale=scale))
        self.drawn = self.drawn._replace(mm_per_unit=scale)
        return Matrix(a=scale, d=scale)

    def _port(self, name: str, element: str, given: dict[str, str], level: _Level) -> None:
        if name in self.drawn.ports:
            raise SvgFault(_("there are two ports {name}").format(name=name[:40]))
        if element in ("circle", "ellipse"):
            at = (_value(given, "cx"), _value(given, "cy"))
        else:
            segments = path_of(given.get("d", "")) if element == "path" else []
            if len(segments) != 1:
                raise SvgFault(_("a port is a circle, or a path that is one point: M x y"))
            at = (segments[0][1], segments[0][2])
        self.drawn.ports[name] = level.matrix.at(*at)

    def _shape(self, name: str, given: dict[str, str], level: _Level) -> None:
        segments = _segments(name, given)
        style = level.style
        fill, stroke = _ink("fill", style["fill"]), _ink("stroke", style["stroke"])
        if name == "line":
            fill = "none"
        if fill == stroke == "none" or _hidden(style) or not segments:
            return
        if stroke == "white":
            raise SvgFault(_("stroke: expected black or none, found {found!r}").format(found="white"))
        self.segments += len(segments)
        if self.segments > MOST_SEGMENTS:
            raise SvgFault(_("more than {most} lines and curves in all").format(most=MOST_SEGMENTS))
        placed = []
        for letter, *v in segments:
            points = [level.matrix.at(x, y) for x, y in zip(v[0::2], v[1::2], strict=True)]
            placed.append([letter, *(c for point in points for c in point)])
        if any(abs(value) > LARGEST for _letter, *v in placed for value in v):
            raise SvgFault(_("it leads beyond {most:g}").format(most=LARGEST))
        made: dict[str, Any] = {"segments": placed}
        if stroke == "none":
            made["weight"] = "none"
        else:
            width = number("stroke-width", style["stroke-width"].removesuffix("px")) * level.matrix.scale
            made["weight"] = min((w for w in WEIGHTS if w != "none"), key=lambda weight: abs(WEIGHTS[weight] - width))
        if fill != "none":
            made["fill"] = fill
        self._add(made, level)

    def _text(self, given: dict[str, str], level: _Level, words: str) -> None:
        said = " ".join(words.split())
        if not said or _hidden(level.style):
            return
        if len(said) > LONGEST_TEXT:
            raise SvgFault(_("{count} characters; {most} are the most").format(count=len(said), most=LONGEST_TEXT))
        lacking = missing_characters(said)
        if lacking:
            raise SvgFault(_("the font of sheets has no {characters}").format(characters=lacking))
        if not level.matrix.is_upright:
            raise SvgFault(_("letters stand upright: neither turned nor mirrored nor stretched"))
        size = number("font-size", re.sub(r"(px|mm)$", "", level.style["font-size"])) * level.matrix.scale
        if not 0.85 * _HEIGHTS_MM[0] <= size * CAP_HEIGHT <= 1.2 * _HEIGHTS_MM[-1]:
            raise SvgFault(
                _(
                    "capitals {found:.1f} mm high; expected {least:g} to {most:g} mm: a font-size from {size:.1f} mm"
                ).format(
                    found=size * CAP_HEIGHT,
                    least=_HEIGHTS_MM[0],
                    most=_HEIGHTS_MM[-1],
                    size=_HEIGHTS_MM[0] / CAP_HEIGHT,
                )
            )
        height = min(_HEIGHTS_MM, key=lambda h: abs(h - size * CAP_HEIGHT))
        x, y = level.matrix.at(_value(given, "x"), _value(given, "y"))
        wide = text_width(said, height)
        anchor = level.style["text-anchor"].strip()
        x += {"start": wide / 2, "middle": 0.0, "end": -wide / 2}.get(anchor, wide / 2)
        if abs(x) > LARGEST or abs(y) > LARGEST:
            raise SvgFault(_("it leads beyond {most:g}").format(most=LARGEST))
        self._add({"text": said, "at": [x, y - height / 2], "height": height}, level)

    def _add(self, stroke: dict[str, Any], level: _Level) -> None:
        (self.drawn.positions[level.position] if level.position else self.drawn.common).append(stroke)


def _plain_words(words: list[str]) -> str:
    """What can be shown of them."""
    return "".join(c for c in " ".join("".join(words).split()) if c.isprintable())


# -- attributes -------------------------------------------------------------------------------------------------------
def _safe(key: str, value: str) -> None:
    if key.lower().startswith("on") or key.lower() in ("href", "src"):
        raise SvgFault(_("attribute {key} is not read in a symbol").format(key=key[:40]))
    if "url(" in value.lower().replace(" ", "") or "javascript:" in value.lower():
        raise SvgFault(_("{key} leads to something else").format(key=key[:40]))


def _style(given: dict[str, str]) -> dict[str, str]:
    """What attributes and the `style` attribute say of the look, the latter first as in CSS."""
    said = {key: value.strip() for key, value in given.items() if key in _STYLES or key in _PLAIN}
    for each in given.get("style", "").split(";"):
        key, _colon, value = each.partition(":")
        said[key.strip().lower()] = value.strip()
    for key, value in said.items():
        if key in _PLAIN and value not in _PLAIN[key]:
            raise SvgFault(_("{key}: a sheet cannot show {found!r}").format(key=key, found=value[:40]))
    return {key: value for key, value in said.items() if key in _STYLES and value not in ("", "inherit")}


def _ink(key: str, value: str) -> str:
    found = _INKS.get(value.lower().replace(" ", ""))
    if found is None:
        raise SvgFault(_("{key}: expected black, white or none, found {found!r}").format(key=key, found=value[:40]))
    return found


def _hidden(style: dict[str, str]) -> bool:
    return style.get("display") == "none" or style.get("visibility") in ("hidden", "collapse")


def _value(given: dict[str, str], key: str) -> float:
    return number(key, given.get(key, "0"))


def _radius(given: dict[str, str], key: str) -> float:
    value = _value(given, key)
    if value <= 0:
        raise SvgFault(_("{key}: expected more than 0, found {found:g}").format(key=key, found=value))
    return value


def _segments(name: str, given: dict[str, str]) -> list[list[Any]]:
    """A shape as moves, lines, curves and closings."""
    match name:
        case "path":
            return path_of(given.get("d", ""))
        case "line":
            return [["M", _value(given, "x1"), _value(given, "y1")], ["L", _value(given, "x2"), _value(given, "y2")]]
        case "circle":
            r = _radius(given, "r")
            return circle_path(_value(given, "cx"), _value(given, "cy"), r, r)
        case "ellipse":
            return circle_path(_value(given, "cx"), _value(given, "cy"), _radius(given, "rx"), _radius(given, "ry"))
        case "rect":
            if any(_value(given, key) for key in ("rx", "ry")):
                raise SvgFault(_("rounded corners are not read"))
            x, y, w, h = _value(given, "x"), _value(given, "y"), _radius(given, "width"), _radius(given, "height")
            return [["M", x, y], ["L", x + w, y], ["L", x + w, y + h], ["L", x, y + h], ["Z"]]
    points = numbers("points", given.get("points", ""))
    if len(points) < 4 or len(points) % 2:
        raise SvgFault(_("points: expected pairs of numbers, two or more"))
    made: list[list[Any]] = [
        ["L" if n else "M", x, y] for n, (x, y) in enumerate(zip(points[0::2], points[1::2], strict=True))
    ]
    return [*made, ["Z"]] if name == "polygon" else made
