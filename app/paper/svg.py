"""Pictures as SVG 1.1, one file each, at true size.

Letters are outlines: viewers, cutters and label printers ignore fonts that are embedded, and would set other letters of
other widths. Every line of type is there a second time as text that is not painted, so that it can be found, read
aloud and copied. User units are hundredths of a millimetre: some readers drop the fraction of a font's size. Cap, join
and dash stand on every stroke. Nothing depends on the day.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from urllib.parse import quote
from xml.sax.saxutils import escape, quoteattr

from app.paper.escape import visible
from app.paper.glyphs import PER_EM, advance, outline
from engine.picture import (
    CAP_HEIGHT,
    DASHES,
    INKS,
    Box,
    Path,
    Picture,
    Primitive,
    Text,
    missing_box,
    text_box,
    text_pieces,
    text_width,
)
from engine.words import _

__all__ = ["svg_bytes", "svg_set"]

_UNIT = 100  # of a millimetre
_MITER = 10  # as in the PDF
_UNFIT = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # what XML 1.0, 2.2 does not admit


def svg_set(pictures: Sequence[Picture], names: Sequence[str]) -> Iterator[bytes]:
    """The files of a set, called `names`: links lead from one to another."""
    where: dict[str, str] = {}
    for picture, name in zip(pictures, names, strict=True):
        for anchor, _x, _y in picture.anchors:
            where.setdefault(anchor, name)
    for picture, name in zip(pictures, names, strict=True):
        yield svg_bytes(picture, {anchor: file for anchor, file in where.items() if file != name})


def svg_bytes(picture: Picture, elsewhere: Mapping[str, str] | None = None) -> bytes:
    """A picture as SVG. `elsewhere`: the file beside this one that holds an anchor; a link to nowhere is left out."""
    return _Writer(picture, elsewhere or {}).data()


class _Writer:
    def __init__(self, picture: Picture, elsewhere: Mapping[str, str]) -> None:
        self.picture = picture
        self.here = {name for name, _x, _y in picture.anchors}
        self.elsewhere = elsewhere
        self.glyphs: dict[tuple[str, bool], str] = {}  # letter -> its id, in the order of use

    def data(self) -> bytes:
        p = self.picture
        drawn = list(self._seen(p.primitives, p.clip))
        around = list(self._seen(p.around, None))
        wide, high = _mm(p.width), _mm(p.height)
        title = _fit(p.title)
        told = _("{width} x {height} mm at true size").format(width=f"{p.width:g}", height=f"{p.height:g}")
        out = [
            '<?xml version="1.0" encoding="UTF-8"?>\n<svg xmlns="http://www.w3.org/2000/svg" '
            'xmlns:xlink="http://www.w3.org/1999/xlink" version="1.1" '
            f'width="{p.width:g}mm" height="{p.height:g}mm" viewBox="0 0 {wide} {high}">',
            f"<title>{escape(title)}</title>",
            f"<desc>{escape(told)}</desc>",
            "<defs>",
        ]
        out.extend(f'<path id="{name}" d="{outline(letter, bold)}"/>' for (letter, bold), name in self.glyphs.items())
        if p.clip is not None:
            out.append(f'<clipPath id="clip"><path d="{_rectangle(p.clip)}"/></clipPath>')
        out.append("</defs>")
        out.append(f'<path d="{_rectangle(Box(0, 0, p.width, p.height))}" fill="#ffffff" stroke="none"/>')
        out.append(f'<g transform="matrix(-1 0 0 1 {wide} 0)">' if p.mirrored else "<g>")
        out.append('<g clip-path="url(#clip)">' if p.clip is not None else "<g>")
        out.extend(drawn)
        out.append("</g>")
        if p.clip is not None:  # readers of SVG Tiny know no clip: paper over what lies outside
            edge, b = _rectangle(Box(0, 0, p.width, p.height)), Box(*p.clip)
            inner = f"M{_mm(b.left)} {_mm(b.top)}V{_mm(b.bottom)}H{_mm(b.right)}V{_mm(b.top)}Z"
            out.append(f'<path d="{edge}{inner}" fill="#ffffff" fill-rule="evenodd" stroke="none"/>')
        out.extend(around)
        out.extend(f'<g id="{_id(name)}" transform="translate({_mm(x)} {_mm(y)})"/>' for name, x, y in _first(p))
        out.append("</g>\n</svg>\n")
        return "\n".join(out).encode()

    def _seen(self, primitives: Sequence[Primitive], clip: Box | None) -> Iterator[str]:
        for primitive in primitives:
            if isinstance(primitive, Path):
                if primitive.width > 0 or primitive.fill is not None:
                    yield _path(primitive)
            elif primitive.text:
                yield self._text(primitive, clip)

    def _text(self, text: Text, clip: Box | None) -> str:
        size = text.height / CAP_HEIGHT
        width = text_width(text.text, text.height, text.bold)
        along = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor]
        scale = f"{size * _UNIT / PER_EM:.5f}"
        turn = f" rotate(-{text.rotation})" if text.rotation else ""
        at = f"translate({_mm(text.x)} {_mm(text.y)}){turn}"
        letters: list[str] = []
        boxes: list[str] = []
        x = along * PER_EM / size  # in units of the outlines
        for piece, drawn in text_pieces(text.text):
            if not drawn:
                boxes.append(_path(missing_box(x * size / PER_EM, 0.0, text.height, text.ink)))
                x += text_width(piece, text.height, text.bold) * PER_EM / size
                continue
            for letter in piece:
                if outline(letter, text.bold):
                    letters.append(f'<use xlink:href="#{self._glyph(letter, text.bold)}" x="{_short(x)}"/>')
                x += advance(letter, text.bold)
        # not painted: it can be found and copied where the letters seem to stand
        words = (
            f'<text x="{_mm(along)}" y="0" fill="none" stroke="none" pointer-events="all" xml:space="preserve" '
            f'font-family="Fira Sans Condensed, sans-serif" font-size="{_mm(size)}"'
            f'{" font-weight=" + chr(34) + "600" + chr(34) if text.bold else ""} textLength="{_mm(width)}" '
            f'lengthAdjust="spacingAndGlyphs">{escape(_fit(text.text))}</text>'
        )
        glyphs = (
            f'<g aria-hidden="true" fill="{_colour(text.ink)}" stroke="none" transform="scale({scale} -{scale})">'
            f"{''.join(letters)}</g>"
            if letters
            else ""
        )
        made = f'<g transform="{at}">{glyphs}{"".join(boxes)}{words}</g>'
        target = self._target(text.link) if text.link and (clip is None or text_box(text).meets(clip)) else ""
        return f"<a xlink:href={quoteattr(target)}>{made}</a>" if target else made

    def _target(self, link: str) -> str:
        if link in self.here:
            return f"#{_id(link)}"
        if link in self.elsewhere:
            return f"{quote(self.elsewhere[link])}#{_id(link)}"
        return ""

    def _glyph(self, letter: str, bold: bool) -> str:
        return self.glyphs.setdefault((letter, bold), f"{'b' if bold else 'r'}{ord(letter):x}")


def _first(picture: Picture) -> Iterator[tuple[str, float, float]]:
    """The anchors, the first of a name alone."""
    named: set[str] = set()
    for name, x, y in picture.anchors:
        if name not in named:
            named.add(name)
            yield name, x, y


def _path(path: Path) -> str:
    d = "".join(s[0] + " ".join(map(_mm, s[1:])) for s in path.segments)
    fill = _colour(path.fill) if path.fill is not None else "none"
    if path.width <= 0:
        return f'<path d="{d}" fill="{fill}" stroke="none"/>'
    dash = " ".join(map(_mm, DASHES[path.dash])) or "none"
    return (
        f'<path d="{d}" fill="{fill}" stroke="{_colour(path.ink)}" stroke-width="{_mm(path.width)}" '
        f'stroke-linecap="{path.cap}" stroke-linejoin="{path.join}" stroke-miterlimit="{_MITER}" '
        f'stroke-dasharray="{dash}"/>'
    )


def _rectangle(box: Box) -> str:
    left, top, right, bottom = map(_mm, box)
    return f"M{left} {top}H{right}V{bottom}H{left}Z"


def _colour(ink: str) -> str:
    return "#{:02x}{:02x}{:02x}".format(*INKS[ink])  # type: ignore[index]  # an `Ink`


def _mm(value: float) -> str:
    """Millimetres as user units, to a thousandth of a millimetre."""
    return _short(value * _UNIT)


def _short(value: float) -> str:
    told = f"{value:.1f}"
    if told.endswith(".0"):
        told = told[:-2]
    return "0" if told == "-0" else told


def _fit(text: str) -> str:
    """A text as XML may hold it: what it may not is shown by a sign."""
    return _UNFIT.sub("\ufffd", visible(text))


def _id(name: str) -> str:
    """A name as an id: whatever is not a plain letter or numeral as its number."""
    return "to-" + "".join(c if c.isascii() and c.isalnum() else f"_{ord(c):x}_" for c in name)
