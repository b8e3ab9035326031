"""One table type on every surface."""

from __future__ import annotations

import csv
import io
import itertools
import json
import zipfile

import openpyxl
import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.drawing.frame import TitleFields, frame
from app.paper.csvfile import csv_bytes, json_bytes
from app.paper.escape import csv_cell, visible
from app.paper.pages import column_widths, table_pictures
from app.paper.pdf import pdf_bytes
from app.paper.table import Column, Table, Value, as_rows, shown
from app.paper.xlsx import xlsx_bytes
from engine.picture import Path, Picture, Text, text_box

MM = 72 / 25.4
COLUMNS = (
    Column("item", "Item"),
    Column("what", "What"),
    Column("length", "Length", "m", "right", 1),
    Column("price", "Price", "USD", "right", 2, blank=True),
)
NASTY: tuple[tuple[Value, ...], ...] = (
    ("=1+1", "<b>bold</b> & co", -3.25, 12.0),
    ("@SUM(A1)", "emoji 😀 and NUL \x00", None, None),
    ("-12 VDC", "one\ntwo\r\nthree", 1.0, 0.5),
    ("+44 1", "x" * 500, 0.0, 1e6),
    (" =lead", "https://example.org/", 7, 2),
    ("_x0041_", "word " * 100, 2.5, 3.0),
)
TABLE = Table("parts", "Parts: to order", COLUMNS, NASTY, ("Total 17.50 USD", "Not ordered: 2 existing"))
FIELDS = TitleFields(title="Bill of materials", legal_owner="Saltmarsh Yard")


def body_texts(picture: Picture, size: str) -> list[Text]:
    framed = set(frame(size, FIELDS, margin=False).primitives)
    box = frame(size, FIELDS, margin=False).drawing_box
    return [p for p in picture.primitives if isinstance(p, Text) and p not in framed and box.meets(text_box(p))]


@pytest.mark.parametrize("size", ["A4", "Letter", "A3"])
def test_nothing_leaves_the_page_and_nothing_overlaps(size: str) -> None:
    many = Table("parts", "Parts", COLUMNS, NASTY * 12, TABLE.notes * 20)
    pictures = table_pictures([TABLE, many], size, FIELDS)
    assert len(pictures) > 3
    for n, picture in enumerate(pictures, 1):
        sheet = frame(size, FIELDS._replace(sheet=n, sheets=len(pictures)), margin=False, goes_on=n > 1)
        body = sheet.drawing_box
        own = picture.primitives[len(sheet.primitives) :]
        assert picture.primitives[: len(sheet.primitives)] == sheet.primitives
        boxes = [(p.text, text_box(p)) for p in own if isinstance(p, Text)]
        assert boxes
        for text, box in boxes:
            assert body.left <= box.left, text
            assert box.right <= body.right + 1e-6, text
            assert body.top - 0.2 <= box.top, text
            assert box.bottom <= body.bottom, text
        for (one, a), (two, b) in itertools.combinations(boxes, 2):
            assert not a.meets(b), (n, one, two)
        for rule in (p for p in own if isinstance(p, Path)):
            assert max(s[1] for s in rule.segments) <= body.right + 1e-6
            y = rule.segments[0][2]
            assert not [t for t, box in boxes if box.top < y - 0.25 and box.bottom > y + 0.25]


def test_every_page_repeats_the_header_and_counts() -> None:
    pictures = table_pictures([Table("parts", "Parts", COLUMNS, NASTY * 12)], "A4", FIELDS)
    for n, picture in enumerate(pictures, 1):
        said = [t.text for t in picture.primitives if isinstance(t, Text)]
        assert "Length, m" in said
        assert f"{n} / {len(pictures)}" in said
        assert picture.title == ("Parts" if n == 1 else "Parts (continued)")


def test_every_character_arrives_on_paper() -> None:
    pictures = table_pictures([TABLE], "A4", FIELDS)
    said = "".join(t.text for picture in pictures for t in picture.primitives if isinstance(t, Text))
    assert said.count("x") >= 500
    assert said.count("word") == 100
    data, written = pdf_bytes(pictures, title="t", author="a")
    assert written.missing_characters == "😀\x00"
    with pdfplumber.open(io.BytesIO(data)) as book:
        pages = book.pages
        text = "\n".join(p.extract_text() for p in pages)
        for sheet in pages:
            for word in sheet.extract_words():
                assert word["x0"] >= 0
                assert word["x1"] <= sheet.width
                assert word["bottom"] <= sheet.height
            words = [(w["x0"], w["top"], w["x1"], w["bottom"], w["text"]) for w in sheet.extract_words()]
            for a, b in itertools.combinations(words, 2):
                # boxes of pdfplumber take in the font's whole ascent: two lines may share a little height
                assert not (a[0] < b[2] - 0.1 and b[0] < a[2] - 0.1 and a[1] < b[3] - 2 and b[1] < a[3] - 2), (a, b)
    for said in ("<b>bold</b> & co", "=1+1", "not known", "-3.2", "Total 17.50 USD"):
        assert said in text


def test_a_row_taller_than_a_page_runs_on() -> None:
    tall = Table(
        "t", "Tall", COLUMNS, (("a", "\n".join(f"line {n}" for n in range(200)), 1.0, 2.0), ("b", "", 1.0, 2.0))
    )
    pictures = table_pictures([tall], "A4", FIELDS)
    said = [t.text for picture in pictures for t in picture.primitives if isinstance(t, Text)]
    assert [t for t in said if t.startswith("line ")] == [f"line {n}" for n in range(200)]
    assert len(pictures) >= 5


def test_a_table_without_rows_still_says_what_it_is() -> None:
    empty = Table("t", "Empty", COLUMNS, (), ("Nothing is new: nothing to order.",))
    (picture,) = table_pictures([empty], "A4", FIELDS)
    said = [t.text for t in picture.primitives if isinstance(t, Text)]
    assert {"Empty", "Item", "Nothing is new: nothing to order."} <= set(said)


@settings(deadline=None, max_examples=60)
@given(
    st.integers(1, 20).flatmap(
        lambda n: st.lists(st.lists(st.text(max_size=60), min_size=n, max_size=n), min_size=1, max_size=4)
    ),
    st.sampled_from([120.0, 252.0, 375.0]),
)
def test_columns_never_take_more_than_the_room(rows: list[list[str]], room: float) -> None:
    columns = tuple(Column(f"c{n}", "heading word") for n in range(len(rows[0])))
    widths = column_widths(Table("t", "T", columns, tuple(tuple(r) for r in rows)), room)
    assert sum(widths) <= room + 1e-6
    assert all(w >= min(8.0, room / len(widths)) - 1e-6 for w in widths)


# -- workbook ---------------------------------------------------------------------------------------------------------
def test_workbook_keeps_numbers_and_never_a_formula() -> None:
    book = openpyxl.load_workbook(io.BytesIO(xlsx_bytes([TABLE, TABLE], title="Refit", author="the yard")))
    assert book.sheetnames == ["Parts  to order", "Parts  to order 2"]
    sheet = book.worksheets[0]
    assert [c.value for c in sheet[1]] == ["Item", "What", "Length, m", "Price, USD"]
    assert [c.value for c in sheet[2]] == ["=1+1", "<b>bold</b> & co", -3.25, 12]
    assert sheet["A2"].data_type == "s"
    assert sheet["C2"].data_type == "n"
    assert sheet["C2"].number_format == "0.0"
    assert sheet["D2"].number_format == "0.00"
    assert sheet["A3"].data_type == "s"
    assert sheet["C3"].value == "not known"
    assert sheet["B3"].value == "emoji 😀 and NUL \ufffd"
    assert sheet["B4"].value == "one\ntwo\nthree"
    assert sheet["A7"].value == "_x0041_"
    assert sheet["A9"].value == "Total 17.50 USD"
    assert not [c for row in sheet.iter_rows() for c in row if c.data_type == "f" or c.hyperlink]
    assert book.properties.creator == "the yard"


def test_workbook_has_one_date_for_ever() -> None:
    data = xlsx_bytes([TABLE])
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert {i.date_time for i in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert b"2000-01-01T00:00:00Z" in archive.read("docProps/core.xml")


def test_names_of_sheets_are_taken_by_spreadsheets() -> None:
    titles = ["a/b:c*d?[e]\\", "History", "'quoted'", "x" * 40, "X" * 40, "", "\x07"]
    book = openpyxl.load_workbook(io.BytesIO(xlsx_bytes([Table("t", t, COLUMNS, ()) for t in titles])))
    assert len({n.casefold() for n in book.sheetnames}) == len(titles)
    for name in book.sheetnames:
        assert 0 < len(name) <= 31
        assert not set(name) & set("[]:*?/\\")


# -- CSV and JSON -----------------------------------------------------------------------------------------------------
def test_csv_of_one_table_is_header_and_rows() -> None:
    text = csv_bytes([TABLE]).decode("utf-8-sig")
    assert "\r\n" in text
    rows = list(csv.reader(io.StringIO(text, newline="")))
    assert rows[0] == ["Item", "What", "Length, m", "Price, USD"]
    assert rows[1] == ["'=1+1", "<b>bold</b> & co", "-3.2", "12.00"]
    assert [r[0] for r in rows[2:6]] == ["'@SUM(A1)", "'-12 VDC", "'+44 1", "' =lead"]
    assert rows[2][1:] == ["emoji 😀 and NUL \ufffd", "not known", ""]
    assert rows[3][1] == "one\ntwo\nthree"
    assert len(rows) == 1 + len(NASTY)


def test_csv_of_several_tables_follow_one_another() -> None:
    other = Table("cable", "Cable", (Column("a", "A"),), (("x",),), ("note",))
    rows = list(csv.reader(io.StringIO(csv_bytes([TABLE, other]).decode("utf-8-sig"), newline="")))
    assert rows[0] == ["Parts: to order"]
    assert rows[-5:] == [[], ["Cable"], ["A"], ["x"], ["note"]]


def test_csv_begins_with_a_byte_order_mark() -> None:
    assert csv_bytes([TABLE]).startswith(b"\xef\xbb\xbf")


@settings(deadline=None)
@given(st.text())
def test_no_cell_begins_like_a_formula(text: str) -> None:
    # the four beginnings a spreadsheet runs as a formula, wherever blanks stand before them (OWASP, CSV injection)
    assert not csv_cell(text).lstrip().startswith(("=", "+", "-", "@"))
    visible(text).encode()


def test_json_rows_keep_their_types() -> None:
    plain = json.loads(json_bytes([TABLE]))
    (table,) = plain["tables"]
    assert table["name"] == "parts"
    assert table["columns"][2] == {"name": "length", "title": "Length", "unit": "m"}
    assert table["rows"][0] == {"item": "=1+1", "what": "<b>bold</b> & co", "length": -3.25, "price": 12.0}
    assert table["rows"][1]["length"] is None
    assert as_rows(TABLE) == [dict(zip(("item", "what", "length", "price"), row, strict=True)) for row in NASTY]


def test_values_as_people_read_them() -> None:
    plain = Column("a", "A")
    assert [shown(v, plain) for v in (None, True, False, "", 3, 2.5, 1234567.0)] == [
        "not known", "yes", "no", "", "3", "2.5", "1234567",
    ]  # fmt: skip
    assert shown(2.0, Column("a", "A", decimals=2)) == "2.00"
    assert shown(None, Column("a", "A", blank=True)) == ""
