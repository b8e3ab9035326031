"""Blocks as a DOCX file, to be worked on in any word processor: headings, tables whose header repeats, pictures.

Two runs give identical bytes: members of the archive in the order of their names, no dates of the day. The cautions
stand at the end, the gravest at the foot of every page. Office Open XML: ECMA-376 (from memory, not confirmed).
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

from app.drawing.frame import SIZES
from app.paper.blocks import Block, Figure, Gap, Heading, PageBreak, Paragraph, Photo, Points, Signatures
from app.paper.docx.pieces import (
    bookmark,
    boxed,
    field,
    link,
    plain_styles,
    ruled_table,
    sign_table,
    words,
)
from app.paper.files import About
from app.paper.mono import in_mono
from app.paper.table import Table
from engine.cautions import CAUTIONS
from engine.pausing import pause
from engine.picture import Picture
from engine.words import _

__all__ = ["docx_bytes"]

_THEN = datetime(1980, 1, 1)  # a real time would change the bytes
_MEMBER = (1980, 1, 1, 0, 0, 0)
_NOT_OURS = ("thumbnail", "extended-properties", "stylesWithEffects", "customXml")  # of the library's blank document
_LEFT, _OTHER = 20.0, 15.0  # mm, margins
_DPI = 200  # of what is drawn
_ROW_GAP = 3.0  # mm between photographs in one row


def docx_bytes(blocks: Sequence[Block], about: About, *, paper: str = "A4", mono: bool = False) -> bytes:
    """The blocks as a DOCX file on `paper` (a key of `SIZES`) standing upright; `mono`: drawings without colours."""
    from docx import Document
    from docx.shared import Mm

    made: Any = Document()
    _undressed(made)
    section = made.sections[0]
    width, height = SIZES[paper][1], SIZES[paper][0]
    section.page_width, section.page_height = Mm(width), Mm(height)
    section.left_margin, section.right_margin = Mm(_LEFT), Mm(_OTHER)
    section.top_margin, section.bottom_margin = Mm(_OTHER + 5), Mm(_OTHER + 5)
    section.header_distance = section.footer_distance = Mm(8)
    plain_styles(made, about.language)
    _about(made, about)
    _head_and_foot(section, about)
    _Writer(made, width - _LEFT - _OTHER, _drawn(blocks, mono)).write(blocks)
    return _packed(made)


def _undressed(made: Any) -> None:
    """Without the picture, the facts about a program and the further styles that the library's blank document has."""
    for rels in (made.part.package.rels, made.part.rels):
        for key, relation in list(rels.items()):
            if relation.reltype.rsplit("/", 1)[-1] in _NOT_OURS:
                del rels[key]


def _about(made: Any, about: About) -> None:
    facts = made.core_properties
    facts.title, facts.author = words(about.title)[:255], words(about.author)[:255]
    facts.subject = words(about.subject)[:255]
    facts.keywords = words(", ".join(about.keywords))[:255]
    facts.language = words(about.language)[:255]
    facts.comments = facts.category = facts.last_modified_by = facts.content_status = facts.version = ""
    facts.created = facts.modified = _THEN
    facts.revision = 1


def _head_and_foot(section: Any, about: About) -> None:
    head = section.header.paragraphs[0]
    head.style = "Header"
    head.add_run(words(about.title))
    foot = section.footer.paragraphs[0]
    foot.style = "Footer"
    foot.add_run(_(CAUTIONS[-1])).bold = True
    pages = section.footer.add_paragraph(style="Footer")
    before, between = _("Page {number} of {pages}").split("{number}", 1)
    between, after = between.split("{pages}", 1)
    pages.add_run(before)
    field(pages, "PAGE")
    pages.add_run(between)
    field(pages, "NUMPAGES")
    pages.add_run(after)


def _drawn(blocks: Sequence[Block], mono: bool) -> Iterator[bytes]:
    """Every figure in turn as PNG."""
    from app.paper.pdf import pdf_bytes
    from app.paper.png import png_pages

    figures = [block for block in blocks if isinstance(block, Figure)]
    pictures = [Picture(each.width, each.height, tuple(each.draw(0.0, 0.0))) for each in figures]
    if pictures:
        pages = tuple(map(in_mono, pictures)) if mono else tuple(pictures)
        yield from png_pages(pdf_bytes(pages, title="", author="")[0], _DPI)


class _Writer:
    """Puts one block after the other into a document whose text is `wide` mm wide."""

    def __init__(self, document: Any, wide: float, drawn: Iterator[bytes]) -> None:
        self._document, self._wide, self._drawn = document, wide, drawn
        self._marks = 0
        self._break = False  # whether what comes next begins on a new page
        self._row: list[Photo] = []

    def write(self, blocks: Sequence[Block]) -> None:
        """All of them, then the cautions."""
        for n, block in enumerate(blocks):
            pause()
            self._block(block, blocks[n + 1] if n + 1 < len(blocks) else None)
        self._paragraph(_("Cautions"), "Heading 2")
        for n, text in enumerate(CAUTIONS, 1):
            self._paragraph(_(text)).runs[0].bold = n == len(CAUTIONS)

    def _block(self, block: Block, following: Block | None) -> None:
        if isinstance(block, Heading):
            made = self._paragraph(block.text, "Heading 1" if block.level == 1 else "Heading 2")
            if block.anchor:
                self._marks += 1
                bookmark(made, block.anchor, self._marks)
        elif isinstance(block, Paragraph):
            if block.link:
                link(self._paragraph(""), words(block.text), block.link, block.bold)
            else:
                self._paragraph(block.text).runs[0].bold = block.bold
        elif isinstance(block, Points):
            for text in block.texts:
                self._paragraph(text, "List Bullet")
        elif isinstance(block, Gap):
            made = self._paragraph(block.text)
            made.runs[0].bold = True
            boxed(made)
        elif isinstance(block, Table):
            self._table(block)
        elif isinstance(block, Figure):
            self._picture(next(self._drawn), block.width, block.caption)
            self._told_below(block.caption)
        elif isinstance(block, Photo):
            self._photo(block, following)
        elif isinstance(block, Signatures):
            for who in block.who:
                made = self._paragraph(who)
                made.runs[0].bold = True
                made.paragraph_format.keep_with_next = True
                sign_table(self._document, (_("Name"), _("Date"), _("Signature")), self._wide)
        elif isinstance(block, PageBreak):
            self._break = len(self._document.element.body) > 1  # not before the first thing there is

    def _paragraph(self, text: str, style: str = "Normal") -> Any:
        made = self._document.add_paragraph(style=style)
        made.add_run(words(text))
        if self._break:
            made.paragraph_format.page_break_before = True
            self._break = False
        return made

    def _table(self, table: Table) -> None:
        if table.title:
            self._paragraph(table.title, "Heading 2")
        elif self._break:
            self._paragraph("")
        ruled_table(self._document, table, self._wide)
        for note in table.notes:
            self._paragraph(note)
        if not table.notes:
            self._paragraph("", "Caption")

    def _photo(self, photo: Photo, following: Block | None) -> None:
        """Photographs that stand side by side are one row of a table without lines."""
        self._row.append(photo)
        taken = sum(each.width + _ROW_GAP for each in self._row)
        if isinstance(following, Photo) and taken + following.width <= self._wide:
            return
        row, self._row = self._row, []
        if len(row) == 1:
            self._picture(row[0].jpeg, row[0].width, row[0].caption)
            self._told_below(row[0].caption)
            return
        from docx.shared import Mm

        table = self._document.add_table(rows=2, cols=len(row))
        table.autofit = False
        for n, each in enumerate(row):
            above, below = table.rows[0].cells[n], table.rows[1].cells[n]
            above.width = below.width = Mm(each.width + _ROW_GAP)
            above.paragraphs[0].paragraph_format.keep_with_next = True
            self._into(above.paragraphs[0], each.jpeg, each.width, each.caption)
            below.paragraphs[0].style = "Caption"
            below.paragraphs[0].add_run(words(each.caption))
        self._paragraph("", "Caption")

    def _picture(self, data: bytes, width: float, about: str) -> None:
        made = self._paragraph("")
        made.paragraph_format.keep_with_next = bool(about)
        self._into(made, data, width, about)

    def _into(self, paragraph: Any, data: bytes, width: float, about: str) -> None:
        from docx.shared import Mm

        shape = paragraph.add_run().add_picture(io.BytesIO(data), width=Mm(min(width, self._wide)))
        shape._inline.docPr.set("descr", words(about))

    def _told_below(self, caption: str) -> None:
        if caption:
            self._paragraph(caption, "Caption")


def _packed(made: Any) -> bytes:
    """The archive once more, its members sorted and without the time of the day; the list of contents stays first."""
    raw, out = io.BytesIO(), io.BytesIO()
    made.save(raw)
    with zipfile.ZipFile(raw) as there, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as packed:
        for name in sorted(there.namelist(), key=lambda name: (name != "[Content_Types].xml", name)):
            member = zipfile.ZipInfo(name, _MEMBER)
            member.create_system, member.external_attr = 3, 0o644 << 16
            member.compress_type = zipfile.ZIP_STORED if name.endswith((".jpg", ".jpeg")) else zipfile.ZIP_DEFLATED
            packed.writestr(member, there.read(name))
    return out.getvalue()
