"""Workbooks made to do harm, or made by nobody who knew how: each is refused in a sentence, or read within bounds."""

from __future__ import annotations

import contextlib
import io
import re
import struct
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
import xlsxwriter

from app.workbook import workbook_lists
from engine.files.errors import FileError
from engine.files.lists import ListFile, read_lists

SHEET = "xl/worksheets/sheet1.xml"
HEAD = '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
TAIL = "</sheetData></worksheet>"
HEADING = '<row r="1"><c r="A1" t="str"><v>designation</v></c><c r="B1" t="str"><v>kind</v></c></row>'
ROW = '<row r="2"><c r="A2" t="str"><v>F1</v></c><c r="B2" t="str"><v>fuse</v></c></row>'
Members = dict[str, bytes]


def members() -> Members:
    """A whole small workbook by its parts."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as book:
        sheet = book.add_worksheet("equipment")
        sheet.write_row(0, 0, ["designation", "kind", "rating"])
        sheet.write_row(1, 0, ["F1", "fuse", 250])
    with zipfile.ZipFile(out) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def packed(parts: Members, **options: object) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, **options) as made:  # type: ignore[arg-type]
        for name, data in parts.items():
            made.writestr(name, data)
    return out.getvalue()


def with_sheet(inside: str, before: str = "", after: str = "") -> bytes:
    return packed(members() | {SHEET: f"{before}{HEAD}{inside}</sheetData>{after}</worksheet>".encode()})


def read(folder: Path, data: bytes) -> list[ListFile]:
    path = folder / "boat.xlsx"
    path.write_bytes(data)
    return workbook_lists(path)


def refused(folder: Path, data: bytes) -> str:
    """The one sentence, without the name of the file."""
    with pytest.raises(FileError) as told:
        read(folder, data)
    said = str(told.value)
    assert said.startswith(str(folder / "boat.xlsx") + ": ")
    assert said.isprintable()
    assert len(said) < 400
    return said.removeprefix(str(folder / "boat.xlsx") + ": ")


def test_a_whole_one_is_read(tmp_path: Path) -> None:
    (file,) = read(tmp_path, packed(members()))
    assert file.rows == ((1, ("designation", "kind", "rating")), (2, ("F1", "fuse", "250")))
    (file,) = read(tmp_path, with_sheet(HEADING + ROW))
    assert (file.rows[1], file.faults) == ((2, ("F1", "fuse")), ())


def test_every_parser_is_defused(tmp_path: Path) -> None:
    """openpyxl takes lxml where there is one: the program, started anew, has it take defusedxml."""
    import subprocess

    (tmp_path / "boat.xlsx").write_bytes(packed(members()))
    asked = (
        "from app import workbook, workbook_parts; workbook.workbook_lists('boat.xlsx')\n"
        "from openpyxl.xml import functions as f; import defusedxml.ElementTree as d\n"
        "print(f.fromstring is d.fromstring, f.iterparse is d.iterparse, workbook_parts.XMLParser is d.XMLParser)"
    )
    done = subprocess.run([sys.executable, "-c", asked], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["True"] * 3


# -- the zip file -----------------------------------------------------------------------------------------------------
def _patched(data: bytes, of: str, change: Callable[[bytearray, int], None]) -> bytes:
    """With what both headers of a member say changed: `change(bytes, where its flags are)`."""
    made = bytearray(data)
    for signature, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        name = 30 if flags == 6 else 46
        at = -1
        while (at := made.find(signature, at + 1)) >= 0:
            if made[at + name : at + name + len(of)] == of.encode():
                change(made, at + flags)
    return bytes(made)


@pytest.mark.posix
def test_sizes_that_headers_claim_are_not_believed(tmp_path: Path) -> None:
    """A member of 120 MB that says it has 100 bytes."""
    from held_back import held_back

    bomb = packed(members() | {SHEET: HEAD.encode() + b" " * (120 << 20)})
    assert len(bomb) < 1 << 20

    def claim(made: bytearray, at: int) -> None:
        struct.pack_into("<I", made, at + 16, 100)  # uncompressed size, of both headers

    held = held_back(lambda: refused(tmp_path, bomb), mb=400)
    assert (held.value, held.fault) == ("it unpacks to more than 96 MB", None)
    held = held_back(lambda: refused(tmp_path, _patched(bomb, SHEET, claim)), mb=400)
    assert held.fault is None
    assert re.fullmatch("'xl/worksheets/sheet1.xml' in it is damaged|it unpacks to more than 96 MB", held.value)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda made, at: made.__setitem__(at, made[at] | 1), "is locked with a password"),
        (lambda made, at: struct.pack_into("<H", made, at + 2, 14), "is packed in a way that is not read"),
        (lambda made, at: struct.pack_into("<I", made, at + 8, 12345), "is damaged"),
    ],
)
def test_a_member_that_is_locked_oddly_packed_or_damaged_is_named(
    tmp_path: Path, change: Callable[[bytearray, int], None], told: str
) -> None:
    assert refused(tmp_path, _patched(packed(members()), SHEET, change)) == f"'{SHEET}' in it {told}"


@pytest.mark.parametrize(
    "name", ["../../etc/passwd", "/etc/passwd", "xl\\..\\..\\a.xml", "C:\\a.xml", "xl/../../a.xml"]
)
def test_a_name_that_leads_elsewhere_is_refused(tmp_path: Path, name: str) -> None:
    before = sorted(tmp_path.rglob("*"))
    assert "a name that leads elsewhere" in refused(tmp_path, packed(members() | {name: b"x"}))
    assert sorted(set(tmp_path.rglob("*")) - set(before)) == [tmp_path / "boat.xlsx"]


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_names_that_stand_twice_and_members_that_share_bytes_are_refused(tmp_path: Path) -> None:
    out = io.BytesIO(packed(members()))
    with zipfile.ZipFile(out, "a") as made:
        made.writestr(SHEET, b"another")
    assert refused(tmp_path, out.getvalue()) == f"it holds '{SHEET}' twice"

    whole = bytearray(packed(members() | {"xl/a.xml": b"1" * 100, "xl/b.xml": b"1" * 100}))
    a, b = whole.find(b"PK\x03\x04", whole.find(b"xl/a.xml") - 30), whole.rfind(b"PK\x01\x02")
    assert whole[b + 46 : b + 54] == b"xl/b.xml"
    struct.pack_into("<I", whole, b + 42, a)  # where the member begins
    assert refused(tmp_path, bytes(whole)) == "what it holds lies one over the other"


def test_too_many_members_are_refused_before_they_are_listed(tmp_path: Path) -> None:
    many = members() | {f"xl/media/{n}.png": b"" for n in range(3_000)}
    assert refused(tmp_path, packed(many)) == "it holds more than 2000 files"


def test_a_zip_in_a_zip_is_not_unpacked(tmp_path: Path) -> None:
    inner = packed({"a": b"\0" * (50 << 20)})
    for n in range(3):
        inner = packed({f"{n}.zip": inner})
    (file,) = read(tmp_path, packed(members() | {"xl/embeddings/a.zip": inner}))
    assert len(file.rows) == 2


def test_a_locked_or_older_workbook_is_told_as_such(tmp_path: Path) -> None:
    """Both are compound files, which begin with these eight bytes (MS-CFB 2.2)."""
    said = refused(tmp_path, bytes.fromhex("d0cf11e0a1b11ae1") + bytes(4000))
    assert said == "it is an older workbook or one with a password: save it as .xlsx without"


@pytest.mark.parametrize("end", [0, 1, 30, 500, 3000, -1, -21, -60])
def test_one_that_is_cut_short_is_refused(tmp_path: Path, end: int) -> None:
    assert refused(tmp_path, packed(members())[:end])


# -- its XML ----------------------------------------------------------------------------------------------------------
_LAUGHS = "".join(f"<!ENTITY a{n} '{f'&a{n - 1};' * 10}'>" for n in range(1, 12))
BOMBS = {
    "entities that unfold": f"<!DOCTYPE worksheet [<!ENTITY a0 'x'>{_LAUGHS}]>",
    "one long entity": f"<!DOCTYPE worksheet [<!ENTITY a11 '{'x' * 100_000}'>]>",
    "an external entity": '<!DOCTYPE worksheet [<!ENTITY a11 SYSTEM "file:///etc/passwd">]>',
    "an external document type": '<!DOCTYPE worksheet [<!ENTITY % a SYSTEM "http://127.0.0.1:9/"> %a;]>',
}


@pytest.mark.posix
@pytest.mark.parametrize("part", [SHEET, "xl/workbook.xml", "xl/sharedStrings.xml", "xl/styles.xml", "_rels/.rels"])
@pytest.mark.parametrize("what", BOMBS)
def test_entities_are_refused_in_every_part(tmp_path: Path, what: str, part: str) -> None:
    from held_back import held_back

    there = members()
    text = there[part].decode()
    head, _gap, rest = text.partition("?>")
    root = re.search(r"<(\w+)", rest)
    assert root
    rest = rest.replace("</", "&a11;</", 1)
    there[part] = f"{head}?>{BOMBS[what].replace('worksheet', root[1])}{rest}".encode()
    held = held_back(lambda: refused(tmp_path, packed(there)), mb=200)
    assert (held.value, held.fault) == (f"{part}: it defines entities, or leads to another file", None)


@pytest.mark.posix
def test_elements_in_one_another_without_end_are_refused(tmp_path: Path) -> None:
    from held_back import held_back

    deep = with_sheet("<row>" * 100_000 + "</row>" * 100_000)
    held = held_back(lambda: refused(tmp_path, deep), mb=200)
    assert (held.value, held.fault) == (f"{SHEET}: elements stand in more than 60 others", None)


def test_what_is_no_list_of_a_workbook_is_left_where_it_is(tmp_path: Path) -> None:
    """Macros, links to other files and pictures are never unpacked: what is in them may be anything."""
    parts = members() | {
        "xl/vbaProject.bin": b"not a project",
        "xl/externalLinks/externalLink1.xml": b"<broken",
        "xl/drawings/drawing1.xml": b"<broken",
        "docProps/core.xml": b"<broken",
        "xl/media/image1.png": b"\x89PNG",
    }
    rels = parts["xl/_rels/workbook.xml.rels"].decode()
    kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/externalLink"
    parts["xl/_rels/workbook.xml.rels"] = rels.replace(
        "</Relationships>",
        f'<Relationship Id="rId99" Type="{kind}" Target="externalLinks/externalLink1.xml"/></Relationships>',
    ).encode()
    (file,) = read(tmp_path, packed(parts))
    assert len(file.rows) == 2


def test_a_sheet_that_stands_in_the_file_system_is_not_read(tmp_path: Path) -> None:
    (tmp_path / "secret.xml").write_text(HEAD + HEADING + ROW + TAIL)
    for target in (f"../../..{tmp_path}/secret.xml", f"file://{tmp_path}/secret.xml", f"{tmp_path}/secret.xml"):
        parts = members()
        rels = parts["xl/_rels/workbook.xml.rels"].decode()
        parts["xl/_rels/workbook.xml.rels"] = rels.replace("worksheets/sheet1.xml", target).encode()
        try:
            found = read(tmp_path, packed(parts))
        except FileError:
            continue
        assert [row for file in found for row in file.rows] == []


def test_a_sheet_named_a_thousand_times_is_refused(tmp_path: Path) -> None:
    parts = members()
    book = parts["xl/workbook.xml"].decode()
    one = re.search(r"<sheet [^>]*/>", book)
    assert one
    many = "".join(one[0].replace("equipment", f"s{n}") for n in range(1_000))
    parts["xl/workbook.xml"] = book.replace(one[0], many).encode()
    assert refused(tmp_path, packed(parts)) == "it has more than 200 sheets, or one of them several times"


# -- too much ---------------------------------------------------------------------------------------------------------
def _million() -> bytes:
    row = '<row r="{n}"><c r="A{n}" t="str"><v>F{n}</v></c><c r="B{n}" t="str"><v>fuse</v></c></row>'
    return with_sheet(HEADING + "".join(row.format(n=n) for n in range(2, 1_000_001)))


@pytest.mark.posix
def test_a_million_rows_are_refused_in_bounds(tmp_path: Path) -> None:
    from held_back import held_back

    data = _million()
    held = held_back(lambda: refused(tmp_path, data), mb=1000)
    assert (held.value, held.fault) == ("it has more than 1000000 cells, the most that are read", None)
    assert held.mb < 500


@pytest.mark.posix
def test_words_of_a_million_that_nobody_uses_are_refused_or_read_in_bounds(tmp_path: Path) -> None:
    from held_back import held_back

    table = '<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">{}</sst>'
    many = packed(members() | {"xl/sharedStrings.xml": table.format("<si><t>a</t></si>" * 4_000_000).encode()})
    held = held_back(lambda: refused(tmp_path, many), mb=1000)
    assert (held.value, held.fault) == ("it has more than 1000000 cells, the most that are read", None)
    long = packed(members() | {"xl/sharedStrings.xml": table.format(f"<si><t>{'é' * 40_000_000}</t></si>").encode()})
    held = held_back(lambda: refused(tmp_path, long), mb=1000)
    assert held.fault is None
    assert held.value.startswith("xl/sharedStrings.xml")


@pytest.mark.parametrize(
    ("inside", "told"),
    [
        ('<row r="99999999999"/>', "row 99999999999 stands twice, out of order or beyond the last"),
        ('<row r="1048577"><c r="A1048577"><v>1</v></c></row>', "row 1048577 stands twice, out of order or beyond"),
        ('<row r="2"><c r="XFD2"><v>1</v></c></row>', " XFD2: only 500 columns are read"),
        ('<row r="2"><c r="zzzzzz2"><v>1</v></c></row>', " ZZZZZZ2: only 500 columns are read"),
        (ROW + ROW, "row 2 stands twice"),
        ('<row r="2"><c r="B2"><v>1</v></c><c r="A2"><v>1</v></c></row>', " A2: it stands twice, or out of order"),
        (f'<row r="2"><c r="A2"><v>{"9" * 5000}</v></c></row>', " A2: a cell is longer than 400 characters"),
        (f'<row r="2"><c r="A2" t="str"><v>{"x" * 40_000}</v></c></row>', " A2: a cell is longer than 32767"),
        (f'<row r="2"><c r="A2" t="inlineStr"><is><t>{"x" * 40_000}</t></is></c></row>', " A2: a cell is longer"),
    ],
)  # fmt: skip
def test_what_a_sheet_cannot_hold_is_refused_with_its_cell(tmp_path: Path, inside: str, told: str) -> None:
    said = refused(tmp_path, with_sheet(HEADING + inside))
    assert said.startswith(SHEET)
    assert told in said


@pytest.mark.posix
def test_a_row_far_below_and_what_the_sheet_claims_of_its_size_cost_little(tmp_path: Path) -> None:
    from held_back import held_back

    claimed = HEAD.replace("<sheetData>", '<dimension ref="A1:XFD1048576"/><sheetData>')
    last = '<row r="1048576"><c r="A1048576" t="str"><v>F2</v></c><c r="B1048576" t="str"><v>fuse</v></c></row>'
    data = packed(members() | {SHEET: f"{claimed}{HEADING}{ROW}{last}{TAIL}".encode()})
    held = held_back(lambda: [len(file.rows) for file in read(tmp_path, data)], seconds=4, mb=300)
    assert (held.value, held.fault) == ([3], None)


# -- cells ------------------------------------------------------------------------------------------------------------
def test_numbers_that_are_none_are_told_with_their_cells(tmp_path: Path) -> None:
    inside = HEADING + "".join(
        f'<row r="{n}"><c r="A{n}" t="str"><v>F{n}</v></c><c r="B{n}"><v>{value}</v></c></row>'
        for n, value in enumerate(("1e999", "-1e999", "nane", "12"), 2)
    )
    (file,) = read(tmp_path, with_sheet(inside.replace("<v>nane</v>", "<v>1e400</v>")))
    assert [(f.line, f.number, f.message) for f in file.faults] == [
        (n, 2, "holds no number that anything can have") for n in (2, 3, 4)
    ]
    assert file.rows[-1] == (5, ("F5", "12"))
    (file,) = read(tmp_path, with_sheet(inside))
    assert any("the sheet cannot be read" in f.message and f.line == 4 for f in file.faults)


def test_formulas_are_never_evaluated(tmp_path: Path) -> None:
    """What was calculated is taken, an empty text among it; what was not is told."""
    cells = [
        ("C2", "<c r='C2'><f>100+150</f><v>250</v></c>"),
        ("D2", "<c r='D2' t='str'><f>IF(TRUE,\"\",1)</f><v></v></c>"),
        ("E2", "<c r='E2'><f>WEBSERVICE(\"http://127.0.0.1:9/\")</f></c>"),
        ("F2", "<c r='F2'><f>cmd|'/c calc'!A1</f><v/></c>"),
    ]
    row = ROW.replace("</row>", "".join(cell for _where, cell in cells) + "</row>")
    (file,) = read(tmp_path, with_sheet(HEADING + row))
    assert len(file.rows) == 1
    assert [(f.line, f.number) for f in file.faults] == [(2, 5), (2, 6)]
    assert {f.message for f in file.faults} == {
        "holds a formula without a result: open the workbook in a spreadsheet and save it"
    }


def test_merged_cells_over_several_rows_are_told_and_their_rows_left_out(tmp_path: Path) -> None:
    """One place beside three fuses: whether it is meant for each, the file does not say."""
    head = HEADING.replace("</row>", '<c r="C1" t="str"><v>place</v></c></row>')
    rows = "".join(
        f'<row r="{n}"><c r="A{n}" t="str"><v>F{n}</v></c><c r="B{n}" t="str"><v>fuse</v></c>'
        + (f'<c r="C{n}" t="str"><v>Locker</v></c>' if n in (2, 5) else "")
        + "</row>"
        for n in range(2, 7)
    )
    merged = '<mergeCells><mergeCell ref="C2:C4"/><mergeCell ref="D5:E6"/></mergeCells>'
    (file,) = read(tmp_path, with_sheet(head + rows, after=merged))
    assert [line for line, _cells in file.rows] == [1, 2, 5, 6]
    assert [str(f).partition("] ")[2] for f in file.faults] == [
        f"line {n}, column C: merged with the cells above it: what stands there is read of row 2 alone" for n in (3, 4)
    ]
    result = read_lists(equipment=file)
    assert result.counts["equipment"] == 3


def test_a_sheet_in_which_everything_is_wrong_is_given_up(tmp_path: Path) -> None:
    wrong = "".join(f'<row r="{n}"><c r="A{n}" t="e"><v>#REF!</v></c></row>' for n in range(2, 5_000))
    (file,) = read(tmp_path, with_sheet(HEADING + wrong))
    assert file.rows == ()
    assert len(file.faults) == 1_002
    assert file.faults[-1].message == "so much is wrong that reading ends here"


@pytest.mark.posix
def test_nothing_is_fetched_opened_or_run(tmp_path: Path) -> None:
    from held_back import touched_by

    hostile = [with_sheet(ROW, before=bomb) for bomb in BOMBS.values()] + [packed(members())]

    def all_of_them() -> None:
        for n, data in enumerate(hostile):
            with contextlib.suppress(FileError):
                (tmp_path / f"boat{n}.xlsx").write_bytes(data)
                workbook_lists(tmp_path / f"boat{n}.xlsx")

    touched = touched_by(all_of_them)
    assert {each.partition(" ")[0] for each in touched} == {"open"}
    assert sum("boat4.xlsx" in each for each in touched) == 2  # written, read
    ours = ("/boat", "/openpyxl/", "site-packages", "encodings", "__pycache__")
    assert [each for each in touched if not any(name in each for name in ours)] == []
