"""The drawing set, read back from its PDF by other programs: cover, links, outline, what stands where, how large."""

from __future__ import annotations

import io
import itertools
from pathlib import Path

import msgspec
import numpy as np
import pdfplumber
import pypdf
import pypdfium2
import pytest

from app.commands.opening import opened
from app.drawing.frame import SIZES, frame
from app.drawing.placed import set_scene
from app.drawing.sheets import laid_out
from app.drawing.title_block import TitleFields
from app.handover.drawings.whole import drawing_set
from app.paper.files import about_of
from app.paper.mono import in_mono
from app.paper.pdf import pdf_bytes
from engine.builder import Builder
from engine.cautions import CAUTIONS
from engine.check import CheckResult, check
from engine.installation import Snapshot
from engine.installation.model import Installation
from engine.installation.records import Revision
from engine.picture import CAP_HEIGHT, Box, Picture, Text, path_box, text_box
from engine.picture import Path as Stroke

MM = 72 / 25.4
ROOT = Path(__file__).resolve().parents[3]
SAMPLES = ("launch", "ketch", "workboat")
# widths of lines, ISO 128-2:2020, 6.1 (from memory, not confirmed); 1.4 is the wide line of a bus
WIDTHS = {0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0}
# heights of capitals, ISO 3098-1:2015 (from memory, not confirmed)
HEIGHTS = {1.8, 2.5, 3.5, 5.0, 7.0, 10.0}


class Drawn:
    """A set, its PDF, what two readers make of it."""

    def __init__(self, snapshot: Snapshot, result: CheckResult | None, **asked: object) -> None:
        self.snapshot, self.result = snapshot, result
        self.pictures = drawing_set(snapshot, result, **asked)  # type: ignore[arg-type]
        self.data, self.written = pdf_bytes(self.pictures, **about_of(snapshot, "Drawing set")._asdict())
        self.reader = pypdf.PdfReader(io.BytesIO(self.data))

    def said(self, page: int) -> str:
        """All of a page's type, line breaks gone."""
        return " ".join(p.text for p in self.pictures[page].primitives if isinstance(p, Text))

    @property
    def covers(self) -> list[Picture]:
        return [picture for picture in self.pictures if picture.section == "Cover"]

    def links(self, page: int) -> list[tuple[list[float], int]]:
        """Where on a page a reader clicks, and the page it comes to."""
        sheet = self.reader.pages[page]
        pages = {each.indirect_reference.idnum: n for n, each in enumerate(self.reader.pages)}  # type: ignore[union-attr]
        made = []
        for one in sheet.get("/Annots", []):
            link = one.get_object()
            made.append(([float(v) for v in link["/Rect"]], pages[link["/Dest"][0].idnum]))
        return made

    def words_under(self, page: int) -> list[tuple[str, int]]:
        """The type under every link of a page, and the page it leads to."""
        text = pypdfium2.PdfDocument(self.data)[page].get_textpage()
        return [(" ".join(text.get_text_bounded(*box).split()), to) for box, to in self.links(page)]


def sample(name: str) -> Snapshot:
    return opened(str(ROOT / "samples" / name / f"{name}.linewright")).installation.snapshot()


@pytest.fixture(scope="module")
def workboat() -> Drawn:
    """Five sheets and two pages of notes, A3."""
    snapshot = sample("workboat")
    return Drawn(snapshot, check(snapshot))


def small(**vessel: object) -> Builder:
    b = Builder(name="Sandling", **vessel)
    b.add("battery_bank", "G1", label="House bank", unit_v=12.8, unit_ah=100)
    b.add("fuse", "F1", rating_a=100)
    b.add("bus_bar", "WC1", label="Positive bus")
    b.add("load", "E1", label="Navigation lights", status="new")
    b.run("W1", "G1.pos", "F1.in", size="2 AWG", length_m=0.1)
    b.run("W2", "F1.out", "WC1.bar", size="2 AWG", length_m=0.5)
    b.run("W3", "WC1.bar", "E1.in", size="14 AWG", length_m=4, status="new")
    return b


def empty() -> Snapshot:
    return Installation().snapshot()


def test_the_cover_tells_what_the_set_is_and_what_it_was_judged_by(workboat: Drawn) -> None:
    said = " ".join(workboat.said(n) for n in range(len(workboat.covers)))
    result = workboat.result
    assert result is not None
    for words in ("Razorbill", "TY-RAZ-E-001", "Particulars", "Contents", "Revisions", "Waived dangers", "Not judged"):
        assert words in said
    assert f"Judged by {result.title}, edition {result.edition}" in said
    assert "binds nobody by law" in said
    assert "It is not law for this boat" in said
    assert f"{len(result.not_judged)} things were not judged" in said
    assert " ".join(CAUTIONS[-1].split()) in said
    assert "no clause for these rules" in said
    assert all(rule in said for rule in result.no_clause)


def test_what_is_not_recorded_is_said_and_nothing_is_called_clean_that_nobody_checked() -> None:
    unchecked = Drawn(_snapshot(small()), None)
    said = unchecked.said(0)
    assert "not recorded" in said
    assert "Nobody has checked this drawing." in said
    assert "Every rule could judge" not in said


def _snapshot(b: Builder) -> Snapshot:
    return b.installation.snapshot()


def test_the_contents_lead_to_the_pages_they_name(workboat: Drawn) -> None:
    covers = len(workboat.covers)
    sheets_in_all = len(workboat.pictures) - covers
    told = [(words, to) for words, to in workboat.words_under(0) if words.split()[:1] and words.split()[0].isdigit()]
    assert len(told) >= 5
    for words, to in told:
        first = int(words.split()[0])
        assert first == to + 1 - covers
        assert f"{first} / {sheets_in_all}" in workboat.said(to)
    assert any(words.startswith("C1") and to == 0 for words, to in workboat.words_under(0))
    named = {to for _words, to in workboat.words_under(0)}
    sheets = [n for n, picture in enumerate(workboat.pictures) if picture.section == "Sheets"]
    assert named >= {0, *sheets}
    assert next(n for n, picture in enumerate(workboat.pictures) if picture.section == "Notes") in named


def test_sheets_have_their_numbers_of_the_window_and_references_name_them(workboat: Drawn) -> None:
    covers = len(workboat.covers)
    total = len(workboat.pictures) - covers
    for n in range(covers):
        assert f"C{n + 1}" in workboat.said(n).split()
    for n in range(total):
        assert f"{n + 1} / {total}" in workboat.said(covers + n)
    found = 0
    for n, picture in enumerate(workboat.pictures):
        if picture.section != "Sheets":
            continue
        for words, to in workboat.words_under(n):
            if "sheet " in words and " / " in words:
                number = int(words.split("sheet ")[1].split()[0])
                assert number == to + 1 - covers, (n, words)
                found += 1
    assert found > 5


def test_flags_lead_to_their_notes_and_notes_to_their_flags(workboat: Drawn) -> None:
    assert workboat.written.dead_links == ()
    places = {name: n for n, picture in enumerate(workboat.pictures) for name, _x, _y in picture.anchors}
    flags = notes = 0
    for n, picture in enumerate(workboat.pictures):
        texts = [p for p in picture.primitives if isinstance(p, Text)]
        for text in texts:
            if text.owner.startswith("flag:"):
                assert text.link == f"note:{text.text}"
                page = workboat.pictures[places[text.link]]
                assert any(isinstance(p, Text) and p.owner == text.link for p in page.primitives)
                flags += 1
            if text.owner == f"note:{text.text}" and text.link.startswith("flag:"):
                assert places[text.link] >= 0
                notes += 1
        assert len(workboat.links(n)) == sum(bool(text.link) for text in texts)
    assert workboat.result is not None
    assert flags >= len(workboat.result.findings) * 0.8
    assert notes >= len(workboat.result.findings) * 0.8


def test_notes_that_go_on_are_reached_and_lead_back(workboat: Drawn) -> None:
    sheet = next(n for n in range(len(workboat.pictures)) if "More notes: sheet" in workboat.said(n))
    more = next((words, to) for words, to in workboat.words_under(sheet) if words.startswith("More notes"))
    assert workboat.pictures[more[1]].section == "Notes"
    back = [
        to
        for words, to in workboat.words_under(more[1])
        if words.startswith(f"Notes to sheet {sheet + 1 - len(workboat.covers)}")
    ]
    assert back == [sheet]


def test_outline_and_what_the_document_says_of_itself(workboat: Drawn) -> None:
    outline = workboat.reader.outline
    heads = [str(entry.title) for entry in outline if not isinstance(entry, list)]
    assert heads == ["Cover", "Sheets", "Notes"]
    under = [[str(entry.title) for entry in some] for some in outline if isinstance(some, list)]
    assert list(itertools.chain(*under)) == [picture.title for picture in workboat.pictures]
    pages = [workboat.reader.get_destination_page_number(e) for some in outline if isinstance(some, list) for e in some]
    assert pages == list(range(len(workboat.pictures)))
    facts = workboat.reader.metadata
    assert facts is not None
    assert facts.title == "Razorbill, Drawing set"
    assert facts.author == "A. Dunnock"
    assert facts.subject.startswith("Single-line diagram, Workboat Razorbill")
    assert facts["/Keywords"].startswith("TY-RAZ-E-001, revision A, Razorbill")
    assert str(workboat.reader.trailer["/Root"]["/Lang"]) == "en"


def test_the_legend_holds_the_symbols_of_the_sheets_and_no_others(workboat: Drawn) -> None:
    said = " ".join(workboat.said(n) for n in range(len(workboat.covers)))
    drawn = {piece.record for piece in set_scene(workboat.snapshot).pieces.values()}
    for record in drawn:
        assert str(record.NAME) in said
    assert "Symbols (IEC 60617)" in said
    for other in ("Solar array", "Anode", "Wind or water"):
        assert (other in said) is any(str(record.NAME) == other for record in drawn)


def test_a_legend_symbol_is_the_one_of_the_sheet_in_either_standard() -> None:
    b = small()
    snapshot = _snapshot(b)
    told = {}
    for standard in ("IEC 60617", "IEEE 315"):
        settings = msgspec.structs.replace(snapshot.settings, symbols=standard)
        other = Snapshot(tables=snapshot.tables, lone=snapshot.lone | {"settings": settings})
        made = drawing_set(other, None)
        fuse = next(i for i, record in other.equipment.items() if record.KIND == "fuse")
        on_sheet = [p for p in made[-1].primitives if isinstance(p, Stroke) and p.owner == fuse]
        shapes = _shapes([p for p in made[0].primitives if isinstance(p, Stroke)])
        assert _shapes(on_sheet) <= shapes
        told[standard] = _shapes(on_sheet)
        assert f"Symbols ({standard})" in " ".join(p.text for p in made[0].primitives if isinstance(p, Text))
    assert told["IEC 60617"] != told["IEEE 315"]


def _shapes(strokes: list[Stroke]) -> set[tuple[object, ...]]:
    """Strokes without their places."""
    made = set()
    for p in strokes:
        x, y = p.segments[0][1:3]
        flat = tuple(
            (s[0], *(round(v - (y if n % 2 else x), 2) + 0.0 for n, v in enumerate(s[1:]))) for s in p.segments
        )
        made.add((flat, p.width, p.dash, p.fill))
    return made


def test_the_legend_tells_lines_and_signs_that_are_there_alone() -> None:
    plain = " ".join(p.text for p in drawing_set(_snapshot(small()), None)[0].primitives if isinstance(p, Text))
    assert "new run: thick" in plain
    assert "run that is there: thin" in plain
    assert "to be removed" not in plain
    assert "a finding:" not in plain
    assert "interlock" not in plain
    snapshot = _snapshot(small())
    since = drawing_set(snapshot, None, before=empty())[0]
    assert "the triangle names the revision" in " ".join(p.text for p in since.primitives if isinstance(p, Text))


# -- lines, type, room ----------------------------------------------------------------------------------------------
def within(box: Box, other: Box) -> bool:
    return other.left <= box.left and box.right <= other.right and other.top <= box.top and box.bottom <= other.bottom


def check_page(picture: Picture, size: str | None = None) -> None:
    """Widths, heights, nothing outside the paper, nothing but frame outside the frame."""
    for p in picture.primitives:
        if isinstance(p, Text):
            assert p.height in HEIGHTS, p
            box = text_box(p)
        else:
            assert p.width in WIDTHS or (p.width == 0 and p.fill is not None), p
            box = path_box(p)
        assert within(box, Box(0, 0, picture.width, picture.height).grown(0.36)), p  # centring marks begin at the edge
    names = {sides: name for name, sides in SIZES.items()}
    bare = frame(names[picture.width, picture.height], TitleFields(), margin=False)
    if size is not None:
        assert bare.size == size
    captions = [p for p in picture.primitives if isinstance(p, Text) and p.height < 2.5]
    title = bare.title_box
    for p in captions:  # ISO 7200: captions of the title block alone are smaller than 2.5 mm
        assert within(text_box(p), title), p
    assert picture.meaning is not None
    inner = bare.border.grown(0.4)
    for p in picture.primitives[picture.meaning.frame :]:
        box = text_box(p) if isinstance(p, Text) else path_box(p)
        assert within(box, inner), p


def check_words(drawn: Drawn) -> None:
    """No words overlap. From the top of a capital to the base line: letters inside a symbol stand close."""
    for number, picture in enumerate(drawn.pictures, 1):
        texts = [p for p in picture.primitives if isinstance(p, Text) and p.text.strip()]
        boxes = sorted(((_capitals(p), p.text) for p in texts), key=lambda each: each[0].left)
        for n, (one, a) in enumerate(boxes):
            for other, b in itertools.takewhile(lambda each: each[0].left < one.right, boxes[n + 1 :]):  # noqa: B023  # used at once
                assert not one.meets(other), (number, a, b)


def _capitals(text: Text) -> Box:
    box = text_box(text)
    if text.rotation == 90:
        return box._replace(left=text.x - text.height, right=text.x)
    return box._replace(top=text.y - text.height, bottom=text.y)


def test_lines_heights_and_room_of_every_page(workboat: Drawn) -> None:
    for picture in workboat.pictures:
        check_page(picture, "A3")
    check_words(workboat)
    # true size: A3 is 297 x 420 mm, ISO 216:2007; capitals from the PDF's own numbers
    for page in workboat.reader.pages:
        assert float(page.mediabox.width) / MM == pytest.approx(420, abs=0.01)
        assert float(page.mediabox.height) / MM == pytest.approx(297, abs=0.01)
    with pdfplumber.open(io.BytesIO(workboat.data)) as book:
        chars = [c for page in book.pages[:2] for c in page.chars]
    heights = {round(c["size"] / MM * CAP_HEIGHT, 2) for c in chars}
    fonts = {str(c["fontname"]).split("+")[-1] for c in chars}
    assert heights == {1.8, 2.5, 3.5, 5.0, 7.0}
    assert fonts == {"FiraSansCondensed-Regular", "FiraSansCondensed-SemiBold"}


@pytest.mark.parametrize("size", list(SIZES))
def test_every_paper_size_has_its_cover(size: str) -> None:
    drawn = Drawn(_snapshot(small()), None, size=size)
    for picture in drawn.pictures:
        check_page(picture, size)
    check_words(drawn)
    width, height = SIZES[size]
    assert float(drawn.reader.pages[0].mediabox.width) / MM == pytest.approx(width, abs=0.01)
    assert float(drawn.reader.pages[0].mediabox.height) / MM == pytest.approx(height, abs=0.01)


@pytest.mark.long
@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("size", [None, *SIZES])
def test_samples_on_every_paper(name: str, size: str | None) -> None:
    snapshot = sample(name)
    drawn = Drawn(snapshot, check(snapshot), size=size)
    assert drawn.written.dead_links == ()
    for picture in drawn.pictures:
        check_page(picture)
    check_words(drawn)


# -- any text, no text, much text -----------------------------------------------------------------------------------
LONG = "a title that goes on " * 20 + "W" * 200
ODD = "<b>&=1+1 \N{GRINNING FACE} مرحبا\nnew line"


def told_by(text: str) -> Snapshot:
    """The small boat with one text everywhere."""
    snapshot = _snapshot(small())
    vessel = msgspec.structs.replace(snapshot.vessel, name=text, hin=text, flag=text, builder=text)
    names = [n for n in snapshot.title_block.__struct_fields__ if isinstance(getattr(snapshot.title_block, n), str)]
    block = msgspec.structs.replace(snapshot.title_block, **dict.fromkeys(names, text))
    revision = Revision(index=text, date=text, by=text, text=text)
    tables = {name: dict(table) for name, table in snapshot.tables.items()} | {"revisions": {"V1": revision}}
    return Snapshot(tables=tables, lone=snapshot.lone | {"vessel": vessel, "title_block": block})


@pytest.mark.parametrize("text", ["", LONG, ODD], ids=["none", "long", "odd"])
@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_any_text_prints_on_as_many_covers_as_it_takes(text: str, size: str) -> None:
    drawn = Drawn(told_by(text), None, size=size)
    for picture in drawn.pictures:
        check_page(picture)
    check_words(drawn)
    if text == LONG:
        assert len(drawn.covers) > 3
        assert drawn.said(0).count("…") >= 3  # cut in the band, and told whole below it
    if text == ODD:
        assert "\N{GRINNING FACE}" in drawn.written.missing_characters


def test_an_empty_drawing_is_its_cover_which_says_so() -> None:
    drawn = Drawn(empty(), check(empty()), size="A4")
    assert len(drawn.pictures) == len(drawn.covers)
    said = " ".join(drawn.said(n) for n in range(len(drawn.pictures)))
    assert "No sheet: nothing is drawn." in said
    assert "None can be told: nothing is drawn, so nothing was judged." in said
    assert "Every rule could judge" not in said
    check_words(drawn)


@pytest.mark.long
def test_two_hundred_sheets_are_listed_and_led_to() -> None:
    snapshot = _snapshot(small())
    placed = laid_out(snapshot, "A4")
    own = next(iter(placed.sheets.values()))
    more = {f"S{n}": msgspec.structs.replace(own, title=f"Sheet of things {n}", number=n) for n in range(2, 201)}
    tables = {name: dict(table) for name, table in placed.tables.items()}
    tables["sheets"] = tables["sheets"] | more
    drawn = Drawn(Snapshot(tables=tables, lone=placed.lone), None)
    covers = len(drawn.covers)
    assert 3 <= covers <= 5
    assert len(drawn.pictures) == covers + 200
    led = {to for n in range(covers) for _rect, to in drawn.links(n)}
    assert led >= set(range(covers, covers + 200))
    told = " ".join(drawn.said(n) for n in range(covers))
    assert all(f"Sheet of things {n}" in told for n in range(2, 201))


# -- black and grey -------------------------------------------------------------------------------------------------
def test_mono_shows_every_stroke_that_colour_shows(workboat: Drawn) -> None:
    mono = tuple(map(in_mono, workboat.pictures))
    assert [p.anchors for p in mono] == [p.anchors for p in workboat.pictures]
    sheet = next(n for n, p in enumerate(workboat.pictures) if p.section == "Sheets")
    for n in (len(workboat.covers) - 1, sheet):
        colour, black = rendered(workboat.pictures[n]), rendered(mono[n])
        assert colour.shape == black.shape
        assert (black.min(axis=2) < 200).sum() == pytest.approx((colour.min(axis=2) < 200).sum(), rel=0.005)
        assert (black.max(axis=2) - black.min(axis=2)).max() <= 2
        assert (colour.max(axis=2) - colour.min(axis=2)).max() > 60  # there was something to lose


def rendered(picture: Picture) -> np.ndarray:
    """Pixels: rows, columns, red green blue."""
    data, _written = pdf_bytes([picture], title="", author="")
    return np.asarray(pypdfium2.PdfDocument(data)[0].render(scale=0.8).to_numpy()[:, :, :3], dtype=int)


def test_statuses_are_told_apart_without_colour() -> None:
    b = small()
    for n, status in enumerate(("new", "to remove", "by others", "spare"), 1):
        b.add("load", f"E{n + 1}", status=status)
        b.run(f"W{n + 5}", "WC1.bar", f"E{n + 1}.in", size="14 AWG", length_m=4, status=status)
    snapshot = _snapshot(b)
    made = [in_mono(p) for p in drawing_set(snapshot, None)]
    look: dict[str, set[object]] = {}
    words: dict[str, str] = {}
    for picture in made[1:]:
        for p in picture.primitives:
            owner = snapshot.runs.get(p.owner) or snapshot.equipment.get(p.owner)
            if owner is None:
                continue
            if isinstance(p, Text):
                words[owner.status] = words.get(owner.status, "") + " " + p.text
            elif p.owner in snapshot.runs and len(p.segments) == 2:
                look.setdefault(owner.status, set()).add((p.width, p.dash))
    seen = {
        status: frozenset(forms - {(0.35, "solid")} if status != "existing" else forms)
        for status, forms in look.items()
    }
    assert len(set(seen.values())) == 5
    for status in ("to remove", "by others", "spare"):
        assert status in words[status]


def test_same_bytes_twice() -> None:
    snapshot = _snapshot(small())
    result = check(snapshot)
    assert Drawn(snapshot, result).data == Drawn(snapshot, result).data
