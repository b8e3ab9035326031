"""Running text as DOCX, opened again by python-docx: what was put in stands there, nothing of a day or a machine."""

from __future__ import annotations

import io
import zipfile
from typing import Any

import docx
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from PIL import Image

from app.paper.blocks import (
    Block,
    Figure,
    Gap,
    Heading,
    PageBreak,
    Paragraph,
    Photo,
    Points,
    Signatures,
)
from app.paper.docx.writing import docx_bytes
from app.paper.files import About
from app.paper.table import Column, Table
from engine.cautions import CAUTIONS
from engine.picture import rectangle

ABOUT = About("Gannet, report", "A. Dunlin", "en", "subject", ("one", "two"))
W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"


def jpeg(colour: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), colour).save(out, "JPEG")
    return out.getvalue()


def opened(blocks: list[Block], **options: Any) -> Any:
    return docx.Document(io.BytesIO(docx_bytes(blocks, ABOUT, **options)))


TABLE = Table(
    "t",
    "Fuses",
    (Column("a", "Fuse"), Column("r", "Rating", "A", align="right"), Column("d", "Done", tick=True)),
    tuple((f"F{n}", n if n % 2 else None, None) for n in range(80)),
    ("A note.",),
)


def test_every_block_is_there_in_its_order() -> None:
    made = opened(
        [
            Heading("Report", anchor="top"),
            Paragraph("to the top", link="top"),
            Points(("one", "two")),
            Gap("Not known."),
            TABLE,
            PageBreak(),
            Heading("Second", 2),
            Signatures(("Surveyor",)),
        ]
    )
    told = [(p.style.name, p.text) for p in made.paragraphs]
    assert told[0] == ("Heading 1", "Report")
    assert ("List Bullet", "one") in told
    assert ("Normal", "Not known.") in told
    assert ("Heading 2", "Second") in told
    assert told[-1][1] == CAUTIONS[-1]
    second = next(p for p in made.paragraphs if p.text == "Second")
    assert second.paragraph_format.page_break_before
    body = made.element.body
    (mark,) = body.iter(f"{W}bookmarkStart")
    (link,) = body.iter(f"{W}hyperlink")
    assert link.get(f"{W}anchor") == mark.get(f"{W}name")


def test_a_table_repeats_its_header_and_tells_what_is_not_known() -> None:
    (table,) = opened([TABLE]).tables
    assert [cell.text for cell in table.rows[0].cells] == ["Fuse", "Rating, A", "Done"]
    assert table.rows[0]._tr.find(f"{W}trPr/{W}tblHeader") is not None
    assert all(row._tr.find(f"{W}trPr/{W}tblHeader") is None for row in table.rows[1:])
    assert [c.text for c in table.rows[1].cells] == ["F0", "not known", "\u2610"]
    assert [c.text for c in table.rows[2].cells] == ["F1", "1", "\u2610"]
    assert len(table.rows) == 81


def test_pictures_are_inline_with_their_captions_and_described() -> None:
    square = Figure(40.0, 20.0, lambda x, y: [rectangle(x, y, x + 40, y + 20, fill="black")], "A figure")
    made = opened([square, Photo(jpeg("red"), 80.0, 60.0, "First"), Photo(jpeg("blue"), 80.0, 60.0, "Second")])
    shapes = list(
        made.element.body.iter("{http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing}docPr")
    )
    assert [each.get("descr") for each in shapes] == ["A figure", "First", "Second"]
    assert len({each.get("id") for each in shapes}) == 3
    (row,) = made.tables  # two photographs side by side
    assert [cell.text for cell in row.rows[1].cells] == ["First", "Second"]
    pngs = [part.blob for part in made.part.package.iter_parts() if part.content_type == "image/png"]
    with Image.open(io.BytesIO(pngs[0])) as image:
        assert abs(image.width - 40 / 25.4 * 200) <= 1
        assert image.convert("L").getpixel((100, 60)) == 0


def test_two_runs_give_the_same_bytes_and_nothing_of_the_blank_document_is_left() -> None:
    blocks: list[Block] = [Heading("Report"), Photo(jpeg("red"), 80.0, 60.0)]
    first = docx_bytes(blocks, ABOUT)
    assert docx_bytes(blocks, ABOUT) == first
    with zipfile.ZipFile(io.BytesIO(first)) as packed:
        names = packed.namelist()
        assert names[0] == "[Content_Types].xml"
        assert names[1:] == sorted(names[1:])
        assert {member.date_time for member in packed.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert not [n for n in names if "thumbnail" in n or "customXml" in n or n == "docProps/app.xml"]
    made = docx.Document(io.BytesIO(first))
    facts = made.core_properties
    assert (facts.title, facts.author, facts.keywords) == ("Gannet, report", "A. Dunlin", "one, two")
    assert facts.created.year == 1980
    assert facts.comments == ""
    assert {made.styles[name].font.name for name in ("Normal", "Heading 1", "Heading 2")} == {"Arial"}
    assert str(made.styles["Heading 1"].font.color.rgb) == "000000"


def test_paper_and_page_numbers() -> None:
    made = opened([Paragraph("x")], paper="Letter")
    section = made.sections[0]
    assert (round(section.page_width.mm), round(section.page_height.mm)) == (216, 279)
    fields = [each.get(f"{W}instr") for each in section.footer._element.iter(f"{W}fldSimple")]
    assert fields == ["PAGE", "NUMPAGES"]


@given(st.text(max_size=60))
def test_whatever_is_typed_stands_as_text(text: str) -> None:
    blocks: list[Block] = [
        Heading(text, anchor=text),
        Paragraph(text, link=text),
        Table("t", text, (Column("a", text),), ((text,),), (text,)),
        Photo(jpeg("red"), 10.0, 10.0, text),
    ]
    data = docx_bytes(blocks, About(text, text, "en", text, (text,)))
    docx.Document(io.BytesIO(data))
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        for name in packed.namelist():
            if name.endswith((".xml", ".rels")):
                etree.fromstring(packed.read(name))
