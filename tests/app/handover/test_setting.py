"""Blocks on pages: nothing lost, nothing outside, no heading alone. Sizes are ISO 216:2007."""

from __future__ import annotations

import string
from io import BytesIO

from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from app.drawing.frame import TitleFields, frame
from app.paper.blocks import Block, Figure, Gap, Heading, PageBreak, Paragraph, Points, Signatures
from app.paper.pdf import pdf_bytes
from app.paper.setting import column_widths, room_of, set_blocks
from app.paper.table import Column, Table
from engine.cautions import CAUTIONS
from engine.geometry import overlaps
from engine.picture import Box, Path, Picture, Text, path_box, rectangle, text_box, text_width

FIELDS = TitleFields(title="Sheet", vessel="Sandling", number="S-1", revision="B")


def pages(*blocks: Block, size: str = "A4", upright: bool = True) -> tuple[Picture, ...]:
    return set_blocks(blocks, size=size, fields=FIELDS, upright=upright)


def words(picture: Picture) -> list[str]:
    return [p.text for p in picture.primitives if isinstance(p, Text)]


def test_an_upright_page_is_a4_on_its_short_side() -> None:
    (page,) = pages(Paragraph("one"))
    assert (page.width, page.height) == (210.0, 297.0)


def test_the_first_page_has_every_caution_and_later_ones_the_gravest() -> None:
    first, *rest = pages(Table("t", "Rows", (Column("a", "A"),), tuple((str(n),) for n in range(90))))
    told = " ".join(words(first))
    assert all(word in told for text in CAUTIONS for word in text.split())
    assert rest
    for page in rest:
        assert CAUTIONS[-1] in words(page)
        assert "S-1" in words(page)


def test_a_page_break_begins_a_page_and_two_are_one() -> None:
    assert len(pages(Paragraph("one"), PageBreak(), PageBreak(), Paragraph("two"))) == 2
    assert len(pages(PageBreak(), Paragraph("one"))) == 1


def test_no_block_at_all_is_an_empty_page() -> None:
    assert len(pages()) == 1


def test_a_heading_goes_with_what_it_heads() -> None:
    for lines in range(30, 60):
        made = pages(*[Paragraph(f"line {n}") for n in range(lines)], Heading("Lone"), Gap("what is missing"))
        (here,) = [page for page in made if "Lone" in words(page)]
        assert "what is missing" in words(here)


def test_a_heading_is_the_title_of_its_page_in_the_outline() -> None:
    first, second = pages(Heading("One"), Paragraph("x"), PageBreak(), Heading("Two"), Paragraph("y"))
    assert (first.title, second.title) == ("One", "Two")


def test_a_gap_is_framed_and_bold() -> None:
    (page,) = pages(Gap("not known"))
    text = next(p for p in page.primitives if isinstance(p, Text) and p.text == "not known")
    assert text.bold
    around = [path_box(p) for p in page.primitives if isinstance(p, Path) and p.width == 0.5]
    assert any(b.left < text.x and b.right > text.x + 10 and b.top < text.y < b.bottom for b in around)


def test_a_figure_that_does_not_fit_goes_to_the_next_page() -> None:
    wide, high = room_of("A4", upright=True)
    figure = Figure(50, high - 4, lambda x, y: [rectangle(x, y, x + 50, y + high - 4)])
    _first, second = pages(Paragraph("one"), figure)
    body = frame("A4", FIELDS, margin=False, upright=True, goes_on=True).drawing_box
    boxes = [path_box(p) for p in second.primitives if isinstance(p, Path)]
    box = next(b for b in boxes if 49 < b.right - b.left < 52)
    assert box.bottom <= body.bottom + 1.5
    assert wide > 150


def test_a_tick_box_is_strokes_and_only_where_nothing_is_known() -> None:
    columns = (Column("a", "A"), Column("done", "Done", tick=True))
    (page,) = pages(Table("t", "Rows", columns, (("x", None), ("y", "no need"))))
    squares = [
        b
        for b in (path_box(p) for p in page.primitives if isinstance(p, Path))
        if 2.9 < b.right - b.left < 3.5 and 2.9 < b.bottom - b.top < 3.5
    ]
    assert len(squares) == 1
    assert "no need" in words(page)


def test_a_cell_to_be_written_in_is_as_wide_as_asked() -> None:
    table = Table("t", "Rows", (Column("a", "A" * 30), Column("b", "B", blank=True, least=60.0)), (("x" * 200, None),))
    widths = column_widths(table, 120.0)
    assert widths[1] >= 60.0
    assert sum(widths) <= 120.0 + 1e-6


def test_a_capped_column_takes_what_room_is_left() -> None:
    table = Table("t", "Rows", (Column("a", "A", width=20.0), Column("b", "B")), (("some words that go on", "x"),))
    widths = column_widths(table, 150.0)
    assert widths[0] >= text_width("some words that go on", 2.5)


TEXTS = st.text(alphabet=st.sampled_from(string.ascii_letters + " \n<&é≤Ω"), max_size=400)
TABLES = st.integers(1, 5).flatmap(
    lambda n: st.builds(
        lambda rows: Table("t", "Table", tuple(Column(f"c{k}", f"Column {k}") for k in range(n)), tuple(rows)),
        st.lists(st.tuples(*[TEXTS] * n), max_size=8),
    )
)
BLOCKS = st.lists(
    st.one_of(
        st.builds(Heading, TEXTS, st.sampled_from([1, 2])),
        st.builds(Paragraph, TEXTS),
        st.builds(lambda texts: Points(tuple(texts)), st.lists(TEXTS, max_size=4)),
        st.builds(Gap, TEXTS),
        st.builds(lambda who: Signatures((who[:60],)), TEXTS),
        TABLES,
    ),
    max_size=8,
)


@given(BLOCKS, st.sampled_from(["A4", "A3", "Letter"]), st.booleans())
def test_whatever_is_set_stays_inside_and_nothing_lies_on_something_else(
    blocks: list[Block], size: str, upright: bool
) -> None:
    made = pages(*blocks, size=size, upright=upright)
    for n, page in enumerate(made):
        sheet = frame(size, FIELDS, margin=False, upright=upright, goes_on=n > 0)
        own = [p for p in page.primitives if isinstance(p, Text) and p.text.strip()]
        boxes = [text_box(p) for p in own]
        for box in boxes:
            assert box.left >= -1e-6
            assert box.right <= sheet.width + 1e-6
            assert box.bottom <= sheet.height + 1e-6
        inside = [b for b in boxes if b.bottom < sheet.drawing_box.bottom + 0.5 and b.top > sheet.border.top]
        assert not overlaps([Box(b.left, b.top + 0.4, b.right, b.bottom - 0.4) for b in inside])


def test_the_outline_names_what_begins_on_a_page_and_rows_lead_to_their_place() -> None:
    rows = tuple((f"W{n}", str(n)) for n in range(80))
    table = Table("t", "Summary", (Column("run", "Run"), Column("page", "Page")), rows, links=("here",) * 80)
    made = pages(table, Heading("Blocks", anchor="here"), Paragraph("x"), Table("u", "More", (Column("a", "A"),), ()))
    data, written = pdf_bytes(made, title="t", author="a")
    assert not written.dead_links
    reader = PdfReader(BytesIO(data))
    told = [(str(item["/Title"]), reader.get_destination_page_number(item)) for item in reader.outline]  # type: ignore[arg-type,call-overload,index]
    last = len(reader.pages) - 1
    assert [title for title, _page in told] == ["Summary", "Blocks", "More"]
    assert told[0][1] == 0
    assert told[1][1] == last
    links = [note for page in reader.pages for note in page.get("/Annots", ())]
    assert len(links) == 2 * 80
