"""The display list: what a sheet is, as a few frozen primitives in millimetres, x right, y down.

Screen, PDF, SVG and DXF replay the same list. Two primitives suffice: `Path` and `Text`. Cap, join, width and dash are
explicit on every path; there is one font, without kerning or ligatures, measured here from the font's own table.
"""

from __future__ import annotations

import functools
import math
import unicodedata
from collections.abc import Iterable, Iterator
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Literal, NamedTuple, TypeAlias

if TYPE_CHECKING:
    from engine.meaning import Meaning

__all__ = [
    "CAP_HEIGHT",
    "DASHES",
    "INKS",
    "Box",
    "Ink",
    "Path",
    "Picture",
    "Primitive",
    "Segment",
    "Text",
    "Under",
    "arc",
    "around",
    "circle",
    "cut_text",
    "font_file",
    "line",
    "missing_box",
    "missing_characters",
    "path_box",
    "polygon",
    "polyline",
    "rectangle",
    "text_box",
    "text_pieces",
    "text_width",
    "transformed",
    "wrap_text",
]

CAP_HEIGHT = 0.688  # height of a capital, in em, of the one font (its OS/2 table)

Ink = Literal["black", "grey", "light", "red", "blue", "white"]
# colours only from here: red for findings and deficiencies, grey for what recedes
INKS: dict[Ink, tuple[int, int, int]] = {
    "black": (0, 0, 0),
    "grey": (110, 110, 110),
    "light": (200, 200, 200),
    "red": (170, 20, 20),
    "blue": (20, 60, 150),
    "white": (255, 255, 255),
}
Dash = Literal["solid", "dashed", "dotted", "chain"]
DASHES: dict[Dash, tuple[float, ...]] = {  # mm on, mm off
    "solid": (),
    "dashed": (3.0, 1.5),
    "dotted": (0.6, 1.2),
    "chain": (6.0, 1.5, 0.8, 1.5),
}
# ("M", x, y) move, ("L", x, y) line, ("C", x1, y1, x2, y2, x, y) cubic curve, ("Z",) close
Segment: TypeAlias = tuple[Literal["M", "L", "C", "Z"], *tuple[float, ...]]


class Box(NamedTuple):
    """An upright rectangle."""

    left: float
    top: float
    right: float
    bottom: float

    def grown(self, by: float) -> Box:
        """The box with a margin all round."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def meets(self, other: Box) -> bool:
        """Whether the two share an area (touching edges do not count)."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )


def around(boxes: Iterable[Box]) -> Box:
    """The smallest box that holds them all. Raises `ValueError` where there is none."""
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return Box(min(lefts), min(tops), max(rights), max(bottoms))


class Path(NamedTuple):
    """Strokes and areas."""

    segments: tuple[Segment, ...]
    width: float = 0.35  # mm; 0: no stroke
    ink: Ink = "black"
    fill: Ink | None = None
    dash: Dash = "solid"
    cap: Literal["butt", "round", "square"] = "butt"
    join: Literal["miter", "round", "bevel"] = "miter"
    owner: str = ""  # id of what it shows, "" for the sheet itself


class Text(NamedTuple):
    """One line of type. `height` is the height of a capital in mm; (x, y) is on the base line at `anchor`."""

    x: float
    y: float
    text: str
    height: float = 2.5
    anchor: Literal["start", "middle", "end"] = "start"
    bold: bool = False
    ink: Ink = "black"
    rotation: Literal[0, 90] = 0  # 90: reads from the right of the sheet, upward
    owner: str = ""
    link: str = ""  # anchor name on another page it leads to


Primitive: TypeAlias = Path | Text


class Under(NamedTuple):
    """A picture under everything drawn, or a photograph on a page: a JPEG `width` by `height` mm large.

    Its upper left corner is at (`left`, `top`), it is turned clockwise about it, so many percent opaque, `grey` or not.
    """

    jpeg: bytes
    width: float
    height: float
    left: float
    top: float
    turned_deg: float = 0.0
    strength_percent: float = 35.0
    grey: bool = False


class Picture(NamedTuple):
    """A sheet of `width` by `height` mm. `anchors` are places a link may lead to: (name, x, y).

    `mirrored`: left and right exchanged, letters too, for film that is printed on its back. `trim`: the box it is cut
    to, and `bleed` mm beyond it that may be printed on. `clip`: primitives are seen inside it alone; `around`, what
    stands beyond it, is seen everywhere. `meaning`: what the primitives stand for, where it is known. `section`: the
    part of a document it belongs to; pages of one section that follow each other stand under it in a list of contents.
    `headings`: what begins on the page, (text, y), as a list of contents names it; none where it only goes on, `None`:
    its title stands for it. `under`: what is to be traced, `photographs` lie on it; both in PDF (and PNG) alone.
    """

    width: float
    height: float
    primitives: tuple[Primitive, ...] = ()
    title: str = ""
    anchors: tuple[tuple[str, float, float], ...] = ()
    mirrored: bool = False
    trim: Box | None = None
    bleed: float = 0.0
    clip: Box | None = None
    around: tuple[Primitive, ...] = ()
    meaning: Meaning | None = None
    section: str = ""
    headings: tuple[tuple[str, float], ...] | None = None
    under: Under | None = None
    photographs: tuple[Under, ...] = ()

    def dump(self) -> str:
        """The list as text, one primitive a line: what tests guard."""
        out = [f"picture {self.width:g} x {self.height:g} {self.title}"]
        for p in (*self.primitives, *self.around):
            if isinstance(p, Text):
                out.append(
                    f"text {p.x:.2f},{p.y:.2f} {p.height:g} {p.anchor}{' bold' if p.bold else ''} {p.ink} "
                    f"{p.rotation} [{p.owner}] {p.text!r}"
                )
            else:
                d = " ".join(s[0] + ",".join(f"{v:.2f}" for v in s[1:]) for s in p.segments)
                out.append(f"path {p.width:g} {p.ink} {p.fill or '-'} {p.dash} [{p.owner}] {d}")
        return "\n".join(out) + "\n"


# -- making paths ---------------------------------------------------------------------------------------------------
def line(x1: float, y1: float, x2: float, y2: float, width: float = 0.35, ink: Ink = "black", **rest: object) -> Path:
    """A straight stroke."""
    return Path((("M", x1, y1), ("L", x2, y2)), width, ink, **rest)  # type: ignore[arg-type]  # passes Path's own names


def polyline(points: Iterable[tuple[float, float]], width: float = 0.35, ink: Ink = "black", **rest: object) -> Path:
    """Strokes through points."""
    made: list[Segment] = [("L" if i else "M", x, y) for i, (x, y) in enumerate(points)]
    return Path(tuple(made), width, ink, **rest)  # type: ignore[arg-type]  # as above


def polygon(points: Iterable[tuple[float, float]], width: float = 0.35, ink: Ink = "black", **rest: object) -> Path:
    """A closed shape through points."""
    made: list[Segment] = [("L" if i else "M", x, y) for i, (x, y) in enumerate(points)]
    return Path((*made, ("Z",)), width, ink, **rest)  # type: ignore[arg-type]  # as above


def rectangle(
    left: float, top: float, right: float, bottom: float, width: float = 0.35, ink: Ink = "black", **rest: object
) -> Path:
    """An upright rectangle."""
    return polygon(((left, top), (right, top), (right, bottom), (left, bottom)), width, ink, **rest)


_ROUND = 4.0 * (math.sqrt(2.0) - 1.0) / 3.0  # control length of a quarter circle, within 0.03 % of a true one


def circle(x: float, y: float, radius: float, width: float = 0.35, ink: Ink = "black", **rest: object) -> Path:
    """A circle as four cubic curves."""
    k = _ROUND * radius
    r = radius
    made: tuple[Segment, ...] = (
        ("M", x + r, y),
        ("C", x + r, y + k, x + k, y + r, x, y + r),
        ("C", x - k, y + r, x - r, y + k, x - r, y),
        ("C", x - r, y - k, x - k, y - r, x, y - r),
        ("C", x + k, y - r, x + r, y - k, x + r, y),
        ("Z",),
    )
    return Path(made, width, ink, **rest)  # type: ignore[arg-type]  # as above


def arc(
    x: float,
    y: float,
    radius: float,
    start: float,
    end: float,
    width: float = 0.35,
    ink: Ink = "black",
    **rest: object,
) -> Path:
    """Part of a circle as cubic curves, from `start` to `end` in degrees, clockwise, 0 to the right."""
    pieces = max(1, math.ceil(abs(end - start) / 90 - 1e-9))
    step = math.radians(end - start) / pieces
    k = 4.0 / 3.0 * math.tan(step / 4) * radius
    angle = math.radians(start)
    made: list[Segment] = [("M", x + radius * math.cos(angle), y + radius * math.sin(angle))]
    for _n in range(pieces):
        c1, s1 = math.cos(angle), math.sin(angle)
        angle += step
        c2, s2 = math.cos(angle), math.sin(angle)
        ax, ay, bx, by = x + radius * c1, y + radius * s1, x + radius * c2, y + radius * s2
        made.append(("C", ax - k * s1, ay + k * c1, bx + k * s2, by - k * c2, bx, by))
    return Path(tuple(made), width, ink, **rest)  # type: ignore[arg-type]  # as above


def path_box(path: Path) -> Box:
    """The box the strokes of a path cover, half the stroke's width added all round; mitred tips are not counted."""
    xs: list[float] = []
    ys: list[float] = []
    for s in path.segments:
        numbers = s[1:]
        if s[0] == "C":
            for values, start, ends in ((xs, xs[-1], numbers[0::2]), (ys, ys[-1], numbers[1::2])):
                values.extend(_turning_values(start, *ends))
        xs.extend(numbers[-2:-1])
        ys.extend(numbers[-1:])
    return Box(min(xs), min(ys), max(xs), max(ys)).grown(path.width / 2)


def _turning_values(p0: float, p1: float, p2: float, p3: float) -> Iterator[float]:
    """Where a cubic curve turns back, along one axis."""
    a, b, c = -p0 + 3 * p1 - 3 * p2 + p3, 2 * (p0 - 2 * p1 + p2), p1 - p0  # derivative over 3: a t2 + b t + c
    if abs(a) < 1e-12:
        roots = [] if abs(b) < 1e-12 else [-c / b]
    elif b * b < 4 * a * c:
        roots = []
    else:
        root = math.sqrt(b * b - 4 * a * c)
        roots = [(-b - root) / (2 * a), (-b + root) / (2 * a)]
    for t in roots:
        if 0 < t < 1:
            u = 1 - t
            yield u * u * u * p0 + 3 * u * u * t * p1 + 3 * u * t * t * p2 + t * t * t * p3


def transformed(
    primitives: Iterable[Primitive],
    dx: float = 0.0,
    dy: float = 0.0,
    rotation: int = 0,
    mirrored: bool = False,
    owner: str | None = None,
) -> Iterator[Primitive]:
    """Primitives mirrored left to right, rotated clockwise by a quarter-turn multiple about (0, 0), then moved.

    Type is moved with them but stays upright.
    """
    cos, sin = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}[rotation % 360]

    def at(x: float, y: float) -> tuple[float, float]:
        if mirrored:
            x = -x
        return x * cos - y * sin + dx, x * sin + y * cos + dy

    for p in primitives:
        if isinstance(p, Text):
            x, y = at(p.x, p.y)
            p = p._replace(x=x, y=y)
        else:
            made: list[Segment] = []
            for s in p.segments:
                flat: list[float] = []
                for i in range(1, len(s), 2):
                    flat.extend(at(s[i], s[i + 1]))  # type: ignore[arg-type]  # numbers after the letter
                made.append((s[0], *flat))
            p = p._replace(segments=tuple(made))
        yield p if owner is None else p._replace(owner=owner)


# -- the one font ---------------------------------------------------------------------------------------------------
def font_file(bold: bool = False) -> FilePath:
    """The TrueType file of the one font."""
    import fontpkg_fira_sans_condensed as package

    assert package.__file__ is not None
    name = "FiraSansCondensed-SemiBold.ttf" if bold else "FiraSansCondensed-Regular.ttf"
    return FilePath(package.__file__).parent / "files" / name


_BOX_EM = 0.6  # width of the box drawn for a character the font lacks


@functools.cache
def _advances(bold: bool) -> dict[str, float]:
    """Advance of every character that can be drawn, in em, read from the font's own tables.

    Control and format characters are left out even where the font maps them: they would be drawn as nothing.
    """
    from fontTools.ttLib import TTFont

    with TTFont(font_file(bold), lazy=True) as font:
        per_em: int = font["head"].unitsPerEm
        widths = font["hmtx"].metrics
        return {
            chr(code): widths[glyph][0] / per_em
            for code, glyph in font.getBestCmap().items()
            if unicodedata.category(chr(code)) not in _UNSEEN
        }


_UNSEEN = ("Cc", "Cf", "Cs", "Zl", "Zp")


@functools.lru_cache(maxsize=1 << 14)
def text_pieces(text: str) -> tuple[tuple[str, bool], ...]:
    """The text as every surface draws it, in order: `(piece, True)` as type, `(character, False)` as a box.

    Accents are joined to their letters (NFC), spaces the font lacks become plain ones. What is drawn as a box is
    `missing_box` wide. Right-to-left letters come in the order they are stored.
    """
    have = _advances(False)
    pieces: list[tuple[str, bool]] = []
    plain = ""
    for c in text if text.isascii() else unicodedata.normalize("NFC", text):
        if c in have:
            plain += c
        elif unicodedata.category(c) == "Zs":
            plain += " "
        else:
            if plain:
                pieces.append((plain, True))
                plain = ""
            pieces.append((c, False))
    if plain:
        pieces.append((plain, True))
    return tuple(pieces)


def missing_characters(text: str) -> str:
    """Characters of `text` the font lacks, each once, in order."""
    return "".join(dict.fromkeys(piece for piece, drawn in text_pieces(text) if not drawn))


@functools.lru_cache(maxsize=1 << 14)
def _width_em(text: str, bold: bool) -> float:
    have = _advances(bold)
    return sum(sum(have[c] for c in piece) if drawn else _BOX_EM for piece, drawn in text_pieces(text))


def text_width(text: str, height: float = 2.5, bold: bool = False) -> float:
    """Width of a line of type in mm; `height` is that of a capital. A missing character counts as its box."""
    return _width_em(text, bold) * height / CAP_HEIGHT


def missing_box(x: float, y: float, height: float, ink: Ink = "black", owner: str = "") -> Path:
    """The box drawn for a missing character whose advance begins at (x, y) on the base line."""
    gap, wide = 0.08 * height, _BOX_EM * height / CAP_HEIGHT
    return rectangle(x + gap, y - height, x + wide - gap, y, height / 14, ink, owner=owner)


def wrap_text(text: str, width: float, height: float = 2.5, bold: bool = False) -> tuple[str, ...]:
    """Lines of `text` at most `width` mm wide, broken at spaces, inside a word only where it is wider than a line.

    A line break in the text stays one; an empty text is one empty line. A single character is never broken, so a
    column narrower than a character overflows.
    """
    lines: list[str] = []
    for paragraph in text.replace("\r\n", "\n").replace("\r", "\n").split("\n"):
        line = ""
        for word in paragraph.split(" "):
            longer = f"{line} {word}" if line else word
            if text_width(longer, height, bold) <= width:
                line = longer
                continue
            if line:
                lines.append(line)
            line = word
            while (fits := _fitting(line, width, height, bold)) < len(line):
                lines.append(line[:fits])
                line = line[fits:]
        lines.append(line)
    return tuple(lines)


def cut_text(text: str, width: float, height: float = 2.5, bold: bool = False) -> str:
    """`text`, or as much of its beginning as fits into `width` mm with a "…" that shows it was cut."""
    if text_width(text, height, bold) <= width:
        return text
    return text[: _fitting(text, width - text_width("…", height, bold), height, bold)].rstrip() + "…"


def _fitting(text: str, width: float, height: float, bold: bool) -> int:
    """How many characters from the beginning fit, at least one."""
    have = _advances(bold)
    left = width * CAP_HEIGHT / height + 1e-9
    for count, c in enumerate(text):
        for part in c if c.isascii() else unicodedata.normalize("NFC", c):  # a few are always written as two
            left -= have[part] if part in have else have[" "] if unicodedata.category(part) == "Zs" else _BOX_EM
        if left < 0:
            return max(count, 1)
    return len(text)


def text_box(text: Text) -> Box:
    """The box a line of type covers, descenders included."""
    width = text_width(text.text, text.height, text.bold)
    start = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor]
    up, down = text.height * 1.05, text.height * 0.35
    if text.rotation == 90:
        return Box(text.x - up, text.y - start - width, text.x + down, text.y - start)
    return Box(text.x + start, text.y - up, text.x + start + width, text.y + down)
