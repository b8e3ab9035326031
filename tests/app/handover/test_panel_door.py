"""The panel-door cards as PDF, read back: true size, type that can be read, nothing outside the cut, what they say."""

from __future__ import annotations

import io
from functools import cache
from itertools import pairwise
from pathlib import Path

import msgspec
import pdfplumber
import pypdf
import pytest

from app.cli import main
from app.handover.panel_door.build import Built, build
from app.handover.panel_door.card import BODY
from app.handover.panel_door.cut import AROUND
from app.handover.panel_door.size import LEAST
from app.handover.panel_door.tables import panels
from app.paper.pdf import pdf_bytes
from engine.books import load as load_book
from engine.builder import Builder
from engine.files.drawing import load
from engine.installation.model import Snapshot
from engine.picture import CAP_HEIGHT, Picture, Text, text_box
from engine.study import Study

SAMPLES = Path(__file__).parents[3] / "samples"
MM = 72 / 25.4
HARD = {
    "long": lambda text: f"{text} and a great deal more that somebody wrote here " * 5,
    "one word": lambda text: (text or "x") * 30,
    "empty": lambda text: "",
    "markup": lambda text: "<b>&=1+1\n\t" + text,
    "signs": lambda text: f"\U0001f525{text}\u0645\u0631\u202e",
}


def snapshot_of(name: str) -> Snapshot:
    return load(SAMPLES / name / f"{name}.linewright").installation.snapshot()


def cards(snapshot: Snapshot, size: tuple[float, float], **wanted: bool | str) -> Built:
    study = Study(snapshot, load_book(snapshot.settings.book))
    return build(study, size, snapshot.vessel.name or "-", **wanted)  # type: ignore[arg-type]


@cache
def _ketch(size: tuple[float, float]) -> Built:
    return cards(snapshot_of("ketch"), size)


def ketch(size: tuple[float, float] = (148.0, 210.0)) -> Built:
    return _ketch(size)


def pdf(built: Built) -> bytes:
    return pdf_bytes(built.pictures, title="Panel door", author="yard")[0]


def told(built: Built) -> str:
    """All that is written, with a line break wherever a line ends."""
    return "\n".join(p.text for picture in built.pictures for p in picture.primitives if isinstance(p, Text))


def running(built: Built) -> str:
    return " ".join(told(built).split())


# -- size and type ----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("name", "size"),
    [("launch", (200.0, 150.0)), pytest.param("workboat", (148.0, 210.0), marks=pytest.mark.long)],
)
def test_true_size_type_and_room_by_the_numbers_of_the_pdf(name: str, size: tuple[float, float]) -> None:
    data = pdf(cards(snapshot_of(name), size))
    wide, high = size
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    for page in reader.pages:
        # the cut is of the size asked for, and the page is larger all round
        assert float(page.trimbox.width) / MM == pytest.approx(wide, abs=0.01)
        assert float(page.trimbox.height) / MM == pytest.approx(high, abs=0.01)
        assert float(page.bleedbox.width) / MM == pytest.approx(wide + 6.0, abs=0.01)
        assert float(page.mediabox.width) / MM > wide + 20.0
    with pdfplumber.open(io.BytesIO(data)) as book:
        for page in book.pages:
            left, top = AROUND * MM, AROUND * MM
            right, bottom = left + wide * MM, top + high * MM
            inside = [c for c in page.chars if (c["top"] + c["bottom"]) / 2 < bottom]
            for c in inside:
                assert c["size"] * CAP_HEIGHT / MM >= BODY - 1e-3, c["text"]  # capitals of 3.5 mm
                assert left <= c["x0"] + 0.01, c["text"]
                assert c["x1"] <= right + 0.01, c["text"]
                assert c["top"] > top - 1, c["text"]
            # outside: crop marks, the ruler, two lines about it, and nothing else
            below = "".join(c["text"] for c in page.chars if c not in inside)
            assert below.startswith("This line is 100 mm long.")
            strokes = [*page.lines, *page.rects, *page.curves]
            outside = [
                s
                for s in strokes
                if s["x0"] < left - 0.5 or s["x1"] > right + 0.5 or s["top"] < top - 0.5 or s["bottom"] > bottom + 0.5
            ]
            marks = [s for s in outside if max(s["width"], s["height"]) == pytest.approx(7.0 * MM, abs=0.1)]
            ruler = [s for s in outside if s not in marks]
            assert len(marks) == 8
            assert max(s["width"] for s in ruler) / MM == pytest.approx(100.0, abs=0.01)
            assert len(ruler) == 12  # the line and a stroke every 10 mm
            ticks = sorted(s["x0"] / MM for s in ruler if s["width"] < 1)
            assert [b - a for a, b in pairwise(ticks)] == pytest.approx([10.0] * 10, abs=0.01)
            assert_no_words_overlap(page)


def assert_no_words_overlap(page: pdfplumber.page.Page) -> None:
    words = page.extract_words(x_tolerance=1.2, y_tolerance=1.0, extra_attrs=["size"])
    boxes = []
    for w in words:
        base = w["bottom"] - (w["bottom"] - w["top"]) * 0.21
        boxes.append((w["x0"], base - w["size"] * CAP_HEIGHT, w["x1"], base, w["text"]))
    for n, (a, b, c, d, one) in enumerate(boxes):
        for e, f, g, h, other in boxes[n + 1 :]:
            meet = a < g - 0.3 and e < c - 0.3 and b < h - 0.3 and f < d - 0.3
            assert not meet, (one, other)


def assert_well_set(picture: Picture) -> None:
    """By the display list: nothing small or beyond the card, no two lines of type on each other."""
    assert picture.trim is not None
    texts = [p for p in picture.primitives if isinstance(p, Text) and p.y < picture.trim.bottom]
    for t in texts:
        box = text_box(t)
        assert t.height >= BODY
        assert box.left >= picture.trim.left
        assert box.right <= picture.trim.right + 0.01
        assert picture.trim.top < t.y - t.height
    boxes = [(text_box(t)._replace(top=t.y - t.height, bottom=t.y), t.text) for t in texts]
    for n, (one, text) in enumerate(boxes):
        for other, more in boxes[n + 1 :]:
            assert not one.grown(-0.1).meets(other), (text, more)


@pytest.mark.parametrize("size", [(148.0, 210.0), pytest.param(LEAST, marks=pytest.mark.long), (297.0, 420.0)])
def test_the_ketch_is_well_set_in_small_and_large(size: tuple[float, float]) -> None:
    for picture in ketch(size).pictures:
        assert_well_set(picture)


@pytest.mark.parametrize("how", HARD)
def test_any_text_of_a_person_wraps_and_stays_on_the_card(how: str) -> None:
    snapshot = rewritten(snapshot_of("launch"), how)
    built = cards(snapshot, LEAST)
    for picture in built.pictures:
        assert_well_set(picture)
    if how == "long":  # what is cut short is told in full
        assert "somebody wrote here NAV LIGHTS" not in told(built).split("is in full")[0]
        assert "is in full" in running(built)


def rewritten(snapshot: Snapshot, how: str) -> Snapshot:
    change = HARD[how]
    replace = msgspec.structs.replace
    tables = {name: dict(table) for name, table in snapshot.tables.items()}
    for item, r in snapshot.equipment.items():
        fields = {name: change(getattr(r, name)) for name in ("designation", "label", "marking")}
        tables["equipment"][item] = replace(r, **fields)
    for table in ("places", "conditions", "enclosures"):
        for item, r in snapshot.tables[table].items():
            tables[table][item] = replace(r, name=change(r.name))
    vessel = replace(snapshot.vessel, name=change(snapshot.vessel.name))
    return Snapshot(tables=tables, lone=snapshot.lone | {"vessel": vessel})


def test_film_is_mirrored_letters_and_all_and_cut_at_the_same_place() -> None:
    snapshot = snapshot_of("launch")
    straight, film = (pdf(cards(snapshot, (148.0, 210.0), film=wanted)) for wanted in (False, True))
    with pdfplumber.open(io.BytesIO(straight)) as one, pdfplumber.open(io.BytesIO(film)) as other:
        a, b = one.pages[0], other.pages[0]
        wide = float(a.width)
        heading = next(c for c in a.chars if c["text"] == "E" and c["size"] > 15)
        mirrored = next(c for c in b.chars if c["text"] == "E" and c["size"] > 15)
        assert heading["matrix"][0] > 0 > mirrored["matrix"][0]
        assert mirrored["matrix"][4] == pytest.approx(wide - heading["matrix"][4], abs=0.01)
        assert mirrored["top"] == pytest.approx(heading["top"], abs=0.01)
    boxes = [pypdf.PdfReader(io.BytesIO(data)).pages[0].trimbox for data in (straight, film)]
    assert boxes[0] == boxes[1]
    assert "Film: mirrored" in running(cards(snapshot, (148.0, 210.0), film=True))


def test_without_colour_nothing_but_black_grey_and_white() -> None:
    colours = set()
    for picture in cards(snapshot_of("launch"), (148.0, 210.0), mono=True).pictures:
        for p in picture.primitives:
            colours |= {p.ink} if isinstance(p, Text) else {p.ink, p.fill}
    assert colours - {None} <= {"black", "grey", "light", "white"}
    # with colour nothing is told by it alone: the same signs and words stand there
    assert told(cards(snapshot_of("launch"), (148.0, 210.0), mono=True)) == told(
        cards(snapshot_of("launch"), (148.0, 210.0))
    )


def test_same_drawing_same_bytes() -> None:
    snapshot = snapshot_of("launch")
    assert pdf(cards(snapshot, (148.0, 210.0))) == pdf(cards(snapshot, (148.0, 210.0)))


# -- what they say ----------------------------------------------------------------------------------------------------
def test_what_the_ketch_is_told_in_an_emergency() -> None:
    first = " ".join(p.text for p in ketch().pictures[0].primitives if isinstance(p, Text))
    order = ["Engine: stop", "SHORE MAIN: open", "SOLAR: open", "HOUSE: open", "ENGINE: open", "Shore supply: unplug"]
    order.append("Still live after this")
    places = [first.index(text) for text in order]
    assert places == sorted(places)  # the machine before its battery is parted
    assert "Bilge pump 1" in first[places[-1] :]  # the 24-hour bus hangs before the switch
    text = running(ketch())
    assert "it turns Alternator, house bank and Engine's own alternator" in text
    # what the switches leave live, with its volts: the array, the shore's inlet, what hangs before the bank's switch
    assert "live from Solar array (100 V open, on the coldest day), up to SOLAR (Q8). Cables: W61." in text
    assert "Until the plug is pulled, live from Shore supply (120 V), up to SHORE MAIN (Q10): SHORE 30 A (X1)." in text
    assert "Cables: W201, W202." in text
    assert "Always live from House bank (25.6 V), up to HOUSE (Q1): Solar controller (T4)" in text
    assert "INVERTER DC: open" in text


def test_panels_by_position_with_what_is_not_recorded() -> None:
    built = ketch()
    tables = {table.title: table for table in built.tables}
    rows = {row[0]: row for row in tables["DC panel, Navigation station"].rows}
    assert rows["1"] == ("1", "NAVIGATION LIGHTS", "Q21", "10 A", "Navigation lights", True)
    assert rows["9"][3] == "not known"  # figure on the handle worn off
    assert rows["12"][4] == "nothing connected"  # its lead is made off at the panel only
    assert rows["16"][4] == "nothing fitted"
    assert list(rows) == [str(n) for n in range(1, 17)]
    assert "Rating not recorded: DC panel, Navigation station 9." in built.gaps
    bypass = tables["Inverter bypass box, Electrical locker"].rows[2]
    assert bypass[4] == "between Shore bus and AC panel bus"


def test_conditions_list_only_what_differs() -> None:
    table = next(table for table in ketch().tables if table.name == "operating_conditions")
    assert [c.title for c in table.columns[1:]] == [
        "At anchor", "Under way", "Alongside", "Inverter bypassed", "Unattended"
    ]  # fmt: skip
    rows = {row[0]: row[1:] for row in table.rows}
    assert rows["ENGINE (Q2)"] == ("open", "closed", "open", "open", "open")
    assert rows["INVERTER (T1)"] == ("invert", "invert", "pass", "off", "off")
    assert rows["Shore supply (G10)"] == ("unplugged", "unplugged", "plugged in", "plugged in", "unplugged")
    assert not any("Q8" in name for name in rows)  # closed in all of them
    # what is to be removed is worked until it is
    assert rows["OLD CHARGER (Q46), to be removed"] == ("open", "open", "closed", "closed", "closed")


def test_bypass_is_told_there_and_back() -> None:
    text = running(ketch())
    words = text[text.index("INV OUT: open") :]  # from Alongside to bypassed, then back
    order = ["INVERTER: switch off", "INVERTER DC: open", "INV IN: open", "BYPASS: close", "BYPASS: open"]
    places = [words.index(text) for text in order]
    assert places == sorted(places)
    assert "Bypass: from “Alongside” to “Inverter bypassed”" in text


def test_one_panel_alone() -> None:
    assert [panel.title for panel in panels(snapshot_of("ketch"), "ac  PANEL")] == ["AC panel, Navigation station"]


def test_an_empty_drawing_says_what_is_not_recorded() -> None:
    built = cards(Builder().installation.snapshot(), (148.0, 210.0))
    assert [gap.split(":")[0] for gap in built.gaps] == [
        "Nothing drawn cuts a source off from a bus",
        "No main disconnect is recorded",
        "No supply is drawn that could be shown.",
        "No panel or enclosure is recorded.",
        "No operating condition is recorded.",
    ]
    for gap in built.gaps:
        assert gap in running(built)
    assert "it does not certify" in running(built)


# -- the command ------------------------------------------------------------------------------------------------------
def test_the_command_writes_cards_and_refuses_clearly(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawing, out = str(SAMPLES / "launch" / "launch.linewright"), tmp_path / "door.pdf"
    assert main(["panel-door", drawing, "-o", str(out), "--size", "8x6in", "--mono"]) == 0
    assert f"{out} written: " in capsys.readouterr().out
    assert float(pypdf.PdfReader(out).pages[0].trimbox.width) / MM == pytest.approx(203.2, abs=0.01)
    assert main(["panel-door", drawing, "-o", str(out), "--enclosure", "Attic"]) == 2
    assert "no enclosure is called 'Attic'; there are: Helm panel" in capsys.readouterr().err
    assert main(["panel-door", drawing, "-o", str(out), "--size", "40x30mm"]) == 2
    assert "the smallest that works is 100 x 120 mm" in capsys.readouterr().err
