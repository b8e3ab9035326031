"""Display lists to PDF: every picture a page of its own size, in millimetres, with the one font and no other.

Two runs give identical bytes: reportlab's invariant mode, and no dates. What the font lacks is drawn as a box and
reported.
"""

from __future__ import annotations

import functools
import io
from collections.abc import Sequence
from pathlib import Path as FilePath
from typing import Any, NamedTuple

from reportlab.pdfbase import pdfdoc, pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from app.paper.escape import visible
from engine.files.atomic import write_bytes
from engine.picture import (
    CAP_HEIGHT,
    DASHES,
    INKS,
    Box,
    Path,
    Picture,
    Primitive,
    Text,
    font_file,
    missing_box,
    missing_characters,
    text_box,
    text_pieces,
    text_width,
)
from engine.words import _

__all__ = ["Written", "pdf_bytes", "write_pictures"]

_MM = 72 / 25.4  # points
_FONTS = {False: "sheet", True: "sheet bold"}
_CAPS = {"butt": 0, "round": 1, "square": 2}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}


class Written(NamedTuple):
    """What came of it: characters drawn as boxes, pages, links that lead nowhere (left out of the file)."""

    missing_characters: str
    pages: int
    dead_links: tuple[str, ...] = ()


def write_pictures(
    pictures: Sequence[Picture],
    path: FilePath | str,
    *,
    title: str,
    author: str,
    language: str = "en",
    subject: str = "",
    keywords: Sequence[str] = (),
) -> Written:
    """Write `pictures` as the pages of one PDF. Raises `ValueError` when there are none, `OSError` from the disk."""
    data, written = pdf_bytes(
        pictures, title=title, author=author, language=language, subject=subject, keywords=keywords
    )
    write_bytes(path, data)
    return written


def pdf_bytes(
    pictures: Sequence[Picture],
    *,
    title: str,
    author: str,
    language: str = "en",
    subject: str = "",
    keywords: Sequence[str] = (),
) -> tuple[bytes, Written]:
    """The PDF itself and what came of it.

    The outline lists the pages, or what begins on them, those of a section one level below its name.
    """
    if not pictures:
        raise ValueError(_("there is no sheet to print"))
    _register_fonts()
    out = io.BytesIO()
    canvas = Canvas(
        out,
        pagesize=(pictures[0].width * _MM, pictures[0].height * _MM),
        pageCompression=1,
        invariant=1,
        initialFontName=_FONTS[False],  # type: ignore[arg-type]  # the stub says float; it is a name
        initialFontSize=2.5 / CAP_HEIGHT * _MM,
        pdfVersion=(1, 7),
        lang=visible(language),
    )
    canvas._doc.info = _Undated()  # type: ignore[attr-defined]  # the one way to leave the dates out
    canvas.setTitle(visible(title))
    canvas.setAuthor(visible(author))
    canvas.setSubject(visible(subject))
    canvas.setKeywords(visible(", ".join(word for word in keywords if word)))
    canvas.setCreator("Linewright")
    canvas.setViewerPreference("PrintScaling", "None")  # true size on paper
    canvas.setViewerPreference("DisplayDocTitle", "true")

    places = {name for picture in pictures for name, _x, _y in picture.anchors}
    named: set[str] = set()  # anchors already set: the first of a name holds
    dead: dict[str, None] = {}
    missing: dict[str, None] = {}
    for number, picture in enumerate(pictures, 1):
        canvas.setPageSize((picture.width * _MM, picture.height * _MM))
        key = f"page {number}"
        canvas.bookmarkPage(key, fit="Fit")
        if picture.section and (number == 1 or picture.section != pictures[number - 2].section):
            part = f"part {number}"  # a place has one entry
            canvas.bookmarkPage(part, fit="Fit")
            canvas.addOutlineEntry(visible(picture.section), part, 0, False)
        level = 1 if picture.section else 0
        if picture.headings is None or (number == 1 and not picture.headings):
            name = visible(picture.title) or _("Page {number}").format(number=number)
            canvas.addOutlineEntry(name, key, level, False)
        for n, (text, y) in enumerate(picture.headings or ()):
            here = f"heading {number} {n}"
            canvas.bookmarkPage(here, fit="XYZ", left=0, top=(picture.height - y) * _MM, zoom=0)
            canvas.addOutlineEntry(visible(text) or _("Page {number}").format(number=number), here, level, False)
        for name, x, y in picture.anchors:
            if name not in named:
                named.add(name)
                canvas.bookmarkPage(_destination(name), fit="XYZ", left=x * _MM, top=(picture.height - y) * _MM, zoom=0)
        _cut_boxes(canvas, picture)
        canvas.saveState()
        if picture.mirrored:
            canvas.transform(-_MM, 0, 0, -_MM, picture.width * _MM, picture.height * _MM)
        else:
            canvas.transform(_MM, 0, 0, -_MM, 0, picture.height * _MM)
        if picture.clip is not None:
            canvas.saveState()
            _clip(canvas, picture.clip)
        for under in (*([picture.under] if picture.under is not None else []), *picture.photographs):
            from app.paper.under import draw_under

            draw_under(canvas, under)
        missing.update(dict.fromkeys(_draw(canvas, picture.primitives)))
        if picture.clip is not None:
            canvas.restoreState()
        missing.update(dict.fromkeys(_draw(canvas, picture.around)))
        canvas.restoreState()
        for primitive in picture.primitives:
            if isinstance(primitive, Text) and primitive.link and _seen(primitive, picture.clip):
                if primitive.link in places:
                    _link(canvas, primitive, picture.height)
                else:
                    dead[primitive.link] = None
        canvas.showPage()
    canvas.showOutline()
    canvas.save()
    return out.getvalue(), Written("".join(missing), len(pictures), tuple(dead))


def _draw(canvas: Canvas, primitives: Sequence[Primitive]) -> str:
    """Draw primitives; returns the characters the font lacks."""
    pen = _Pen(canvas)
    missing = ""
    for primitive in primitives:
        if isinstance(primitive, Path):
            pen.path(primitive)
        else:
            pen.text(primitive)
            missing += missing_characters(primitive.text)
    return missing


def _clip(canvas: Canvas, box: Box) -> None:
    """Nothing is seen outside the box until the state is restored."""
    made = canvas.beginPath()
    made.rect(box.left, box.top, box.right - box.left, box.bottom - box.top)
    canvas.clipPath(made, stroke=0, fill=0)


def _seen(text: Text, clip: Box | None) -> bool:
    return clip is None or text_box(text).meets(clip)


def _cut_boxes(canvas: Canvas, picture: Picture) -> None:
    """Where the page is cut and how far beyond it may be printed on: boxes of PDF 1.7, 14.11.2 (from memory)."""
    for box, tell in (
        (picture.trim, canvas.setTrimBox),
        (picture.trim.grown(picture.bleed) if picture.trim is not None else None, canvas.setBleedBox),
    ):
        if box is None:
            tell(None)
            continue
        left, right = box.left, box.right
        if picture.mirrored:
            left, right = picture.width - right, picture.width - left
        top, bottom = picture.height - box.top, picture.height - box.bottom
        tell((left * _MM, bottom * _MM, right * _MM, top * _MM))


class _Undated(pdfdoc.PDFInfo):
    """Document information without the dates reportlab would put in."""

    def format(self, document: Any) -> Any:
        facts = {
            "Title": self.title,
            "Author": self.author,
            "Subject": self.subject,
            "Keywords": self.keywords,
            "Creator": self.creator,
            "Producer": self.producer,
        }
        return pdfdoc.PDFDictionary({name: pdfdoc.PDFString(text) for name, text in facts.items() if text}).format(
            document
        )


@functools.cache
def _register_fonts() -> None:
    for bold, name in _FONTS.items():
        pdfmetrics.registerFont(TTFont(name, str(font_file(bold)), asciiReadable=0))


def _destination(name: str) -> str:
    return f"to {visible(name)}"  # apart from the pages' own names


class _Pen:
    """Writes strokes and words, and how they look only where that differs from what was written before."""

    def __init__(self, canvas: Canvas) -> None:
        self._canvas = canvas
        self._stroke: tuple[object, ...] = ()  # width, cap, join, dash, ink
        self._fill = ""

    def path(self, path: Path) -> None:
        """Strokes and areas."""
        canvas = self._canvas
        made = canvas.beginPath()
        for segment in path.segments:
            letter, *at = segment
            if letter == "M":
                made.moveTo(*at)
            elif letter == "L":
                made.lineTo(*at)
            elif letter == "C":
                made.curveTo(*at)
            else:
                made.close()
        if path.width > 0:
            look = path.width, path.cap, path.join, path.dash, path.ink
            if look != self._stroke:
                if not self._stroke:
                    canvas.setMiterLimit(10)
                self._stroke = look
                canvas.setLineWidth(path.width)
                canvas.setLineCap(_CAPS[path.cap])
                canvas.setLineJoin(_JOINS[path.join])
                canvas.setDash(list(DASHES[path.dash]))
                canvas.setStrokeColorRGB(*_colour(path.ink))
        if path.fill is not None:
            self._filled(path.fill)
        if path.width > 0 or path.fill is not None:
            canvas.drawPath(made, stroke=int(path.width > 0), fill=int(path.fill is not None))

    def _filled(self, ink: str) -> None:
        if ink != self._fill:
            self._fill = ink
            self._canvas.setFillColorRGB(*_colour(ink))

    def text(self, text: Text) -> None:
        """A line of type; boxes where the font lacks a character."""
        size = text.height / CAP_HEIGHT
        along = 0.0
        if text.anchor != "start":
            along = (-0.5 if text.anchor == "middle" else -1.0) * text_width(text.text, text.height, text.bold)
        pieces = list(text_pieces(text.text))
        for n, (piece, drawn) in enumerate(pieces, 1):
            if drawn:
                self._filled(text.ink)
                line = self._canvas.beginText()
                line.setFont(_FONTS[text.bold], size)
                # the sheet's y runs down: the type is turned over once more so that it stands upright
                if text.rotation == 90:
                    line.setTextTransform(0, -1, -1, 0, text.x, text.y - along)
                else:
                    line.setTextTransform(1, 0, 0, -1, text.x + along, text.y)
                line.textOut(piece)
                self._canvas.drawText(line)
            else:
                box = missing_box(along, 0.0, text.height, text.ink)
                self.path(box._replace(segments=tuple(_placed(text, *s) for s in box.segments)))
            if n < len(pieces):
                along += text_width(piece, text.height, text.bold)


@functools.cache
def _colour(ink: str) -> tuple[float, float, float]:
    red, green, blue = INKS[ink]  # type: ignore[index]  # an `Ink`
    return red / 255, green / 255, blue / 255


def _placed(text: Text, letter: Any, *at: float) -> Any:
    """A segment of a box given along the base line, where the type stands."""
    if letter == "Z":
        return ("Z",)
    along, down = at
    if text.rotation == 90:
        return letter, text.x + down, text.y - along
    return letter, text.x + along, text.y + down


def _link(canvas: Canvas, text: Text, height: float) -> None:
    box = text_box(text)
    canvas.linkRect(
        "",
        _destination(text.link),
        (box.left * _MM, (height - box.bottom) * _MM, box.right * _MM, (height - box.top) * _MM),
        relative=0,
        thickness=0,
    )
