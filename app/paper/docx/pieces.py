"""What a DOCX is made of: plain styles, text that XML can hold, tables with lines, bookmarks and links within it."""

from __future__ import annotations

import re
from typing import Any

from app.paper.escape import visible
from app.paper.setting import column_widths
from app.paper.table import Column, Table, shown

__all__ = ["bookmark", "boxed", "field", "link", "plain_styles", "ruled_table", "sign_table", "words"]

_FONT = "Arial"
_POINTS = {"Normal": 10, "Heading 1": 14, "Heading 2": 11, "Caption": 9, "Header": 9, "Footer": 9, "List Bullet": 10}
_KEPT = (*_POINTS, "Default Paragraph Font", "Normal Table", "No List", "Table Grid")
_NO_XML = re.compile("[\ufffe\uffff]")  # which XML 1.0 cannot hold; the others are seen to by `visible`
_TWIPS_PER_MM = 1440 / 25.4


def words(text: str) -> str:
    """What a person typed, as XML can hold it; nothing is dropped silently."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    return _NO_XML.sub("\ufffd", visible(plain, keep="\n\t"))


def plain_styles(document: Any, language: str) -> None:
    """One font in black, in the sizes of the house: nothing of the library's blank document shows."""
    from docx.oxml.ns import qn
    from docx.shared import Mm, Pt, RGBColor

    _drop_others(document)
    for name, size in _POINTS.items():
        style = document.styles[name]
        style.font.name, style.font.size = _FONT, Pt(size)
        style.font.color.rgb = RGBColor(0, 0, 0)
        style.font.italic = False
        style.font.bold = name.startswith("Heading")
        fonts = style.element.get_or_add_rPr().get_or_add_rFonts()
        for key in list(fonts.attrib):
            if key.endswith("Theme"):
                del fonts.attrib[key]
        for key in ("w:ascii", "w:hAnsi", "w:cs", "w:eastAsia"):
            fonts.set(qn(key), _FONT)
        spacing = style.paragraph_format
        spacing.space_before = Pt(10 if name.startswith("Heading") else 0)
        spacing.space_after = Pt(4)
        spacing.line_spacing = 1.1
    document.styles["List Bullet"].paragraph_format.left_indent = Mm(5)
    for name in ("Heading 1", "Heading 2"):
        document.styles[name].paragraph_format.keep_with_next = True
    for each in document.styles.element.iter(qn("w:lang")):
        each.set(qn("w:val"), words(language) or "en")


def _drop_others(document: Any) -> None:
    """Styles that are not used here, hundreds of them: they would be looked through for every paragraph."""
    from docx.oxml.ns import qn

    styles = document.styles.element
    for style in list(document.styles):
        if style.name not in _KEPT:
            styles.remove(style.element)
    there = {each.get(qn("w:styleId")) for each in styles.iter(qn("w:style"))}
    for root, names in (
        (styles, ("w:link", "w:basedOn", "w:next")),
        (document.part.numbering_part.element, ("w:pStyle",)),
    ):
        for name in names:
            for each in list(root.iter(qn(name))):
                if each.get(qn("w:val")) not in there:
                    each.getparent().remove(each)


def field(paragraph: Any, what: str) -> None:
    """A field that the word processor fills: `PAGE`, `NUMPAGES`."""
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn

    made = OxmlElement("w:fldSimple")
    made.set(qn("w:instr"), what)
    run, text = OxmlElement("w:r"), OxmlElement("w:t")
    text.text = "1"
    run.append(text)
    made.append(run)
    paragraph._p.append(made)


def _bookmark_name(anchor: str) -> str:
    """A name as bookmarks may have it: letters, digits and low lines, 40 at most."""
    return re.sub(r"\W", "_", f"to_{anchor}", flags=re.ASCII)[:40]


def bookmark(paragraph: Any, anchor: str, number: int) -> None:
    """A place that links lead to, about the whole paragraph."""
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn

    start, end = OxmlElement("w:bookmarkStart"), OxmlElement("w:bookmarkEnd")
    for each in (start, end):
        each.set(qn("w:id"), str(number))
    start.set(qn("w:name"), _bookmark_name(anchor))
    paragraph._p.insert(1 if paragraph._p.pPr is not None else 0, start)
    paragraph._p.append(end)


def link(paragraph: Any, text: str, anchor: str, bold: bool = False) -> None:
    """Words that lead to a bookmark."""
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn

    run = paragraph.add_run(text)
    run.bold = bold
    made = OxmlElement("w:hyperlink")
    made.set(qn("w:anchor"), _bookmark_name(anchor))
    made.append(run._r)
    paragraph._p.append(made)


def boxed(paragraph: Any) -> None:
    """A frame round a paragraph."""
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn

    borders = OxmlElement("w:pBdr")
    for side in ("top", "left", "bottom", "right"):
        each = OxmlElement(f"w:{side}")
        for key, value in (("val", "single"), ("sz", "8"), ("space", "4"), ("color", "000000")):
            each.set(qn(f"w:{key}"), value)
        borders.append(each)
    properties = paragraph._p.get_or_add_pPr()
    properties.insert_element_before(
        borders, "w:shd", "w:tabs", "w:suppressAutoHyphens", "w:spacing", "w:ind", "w:jc", "w:rPr"
    )


def ruled_table(document: Any, table: Table, wide: float) -> Any:
    """A table with lines, `wide` mm at most; its header row is repeated on every page, no row is torn apart."""
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn

    widths = column_widths(table, wide)
    made = document.add_table(rows=0, cols=len(table.columns), style="Table Grid")
    made.autofit = False
    for each, width in zip(made._tbl.tblGrid.gridCol_lst, widths, strict=True):
        each.set(qn("w:w"), str(round(width * _TWIPS_PER_MM)))
    head = _row(made, [column.heading() for column in table.columns], table.columns, widths, bold=True)
    head.get_or_add_trPr().append(OxmlElement("w:tblHeader"))
    links = table.links or ("",) * len(table.rows)
    for values, leads in zip(table.rows, links, strict=True):
        _row(made, [_cell(v, c) for v, c in zip(values, table.columns, strict=True)], table.columns, widths, leads)
    return made


def _cell(value: Any, column: Column) -> str:
    text = shown(value, column)
    return "\u2610" if column.tick and not text else text


def _row(
    table: Any, texts: list[str], columns: tuple[Column, ...], widths: list[float], leads: str = "", bold: bool = False
) -> Any:
    from docx.enum.text import WD_ALIGN_PARAGRAPH
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn
    from docx.text.paragraph import Paragraph

    row = OxmlElement("w:tr")
    row.get_or_add_trPr().append(OxmlElement("w:cantSplit"))
    for n, (text, column, width) in enumerate(zip(texts, columns, widths, strict=True)):
        cell, properties, size = OxmlElement("w:tc"), OxmlElement("w:tcPr"), OxmlElement("w:tcW")
        size.set(qn("w:w"), str(round(width * _TWIPS_PER_MM)))
        size.set(qn("w:type"), "dxa")
        properties.append(size)
        cell.append(properties)
        inner = OxmlElement("w:p")
        cell.append(inner)
        row.append(cell)
        made = Paragraph(inner, table)
        if column.align == "right":
            made.alignment = WD_ALIGN_PARAGRAPH.RIGHT
        if leads and n == 0:
            link(made, words(text), leads, bold)
        else:
            made.add_run(words(text)).bold = bold
    table._tbl.append(row)
    return row


def sign_table(document: Any, captions: tuple[str, ...], wide: float) -> None:
    """A line to sign on, its captions below."""
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn
    from docx.shared import Mm

    shares = (0.34, 0.2, 0.46)
    table = document.add_table(rows=2, cols=len(captions))
    table.autofit = False
    table.rows[0].height = Mm(11)
    for n, caption in enumerate(captions):
        above, below = table.rows[0].cells[n], table.rows[1].cells[n]
        above.width = below.width = Mm(wide * shares[n])
        above.paragraphs[0].paragraph_format.keep_with_next = True
        below.paragraphs[0].style = "Caption"
        below.paragraphs[0].add_run(words(caption))
        borders, under = OxmlElement("w:tcBorders"), OxmlElement("w:bottom")
        for key, value in (("val", "single"), ("sz", "4"), ("space", "0"), ("color", "000000")):
            under.set(qn(f"w:{key}"), value)
        borders.append(under)
        above._tc.get_or_add_tcPr().append(borders)
