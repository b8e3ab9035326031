"""Where there is little room: no label goes lost, no heading stands alone, a spare finds its panel."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.drawing import sheets
from app.drawing.choosing import Label, place_labels
from app.drawing.frame import SIZES
from app.drawing.margin import set_notes
from app.drawing.notes import Note, NoteLine, plain
from app.drawing.placed import set_scene
from app.drawing.sheets import pictures
from app.drawing.spots import device_spots
from app.drawing.texts import Line, Words, device_words
from app.handover.drawings.larger import larger_sheets
from engine.builder import Builder
from engine.check import check
from engine.edits import Put, apply
from engine.geometry import overlaps
from engine.installation import Enclosure, Snapshot
from engine.picture import Box, Path, Picture, Text

LaidOut = Callable[..., Snapshot]
SYMBOL = Box(48, 48, 52, 52)
BOUNDS = Box(0, 0, 100, 100)
WHOLE = Words((Line("Q28", 3.5, True), Line("25 A"), Line("breaks 5 kA"), Line("formerly LIGHTS")))
SHORT = Words(WHOLE.lines[:1])


def label() -> Label:
    def near(words: Words) -> list[object]:
        return device_spots(SYMBOL, words, ())  # type: ignore[return-value]

    return Label(
        "e1",
        device_spots(SYMBOL, WHOLE, ()),
        device_spots(SYMBOL, SHORT, ()),
        forms=lambda: [WHOLE],
        near=near,  # type: ignore[arg-type]
        anchors=(SYMBOL,),
        told="Q28: 25 A; breaks 5 kA; formerly LIGHTS",
    )


def written(picture: Picture) -> list[str]:
    return [p.text for p in picture.primitives if isinstance(p, Text)]


def test_a_label_without_room_beside_its_symbol_stands_off_with_a_leader() -> None:
    # nothing as high as the label is free beside the symbol, or above and below it
    taken = [SYMBOL, Box(28, 53, 72, 60), Box(28, 40, 72, 47)]
    done = place_labels([label()], taken, BOUNDS)
    assert [p.text for p in done.primitives if isinstance(p, Text)] == [line.text for line in WHOLE.lines]
    assert sum(isinstance(p, Path) for p in done.primitives) == 1, "one leader"
    assert not overlaps([box for box, _owner in done.boxes], taken)
    assert not done.untold
    assert not done.missing


def test_a_label_cut_short_is_told_whole() -> None:
    taken = [SYMBOL, Box(0, 0, 100, 46), Box(0, 54, 100, 100)]  # a strip as high as a name
    done = place_labels([label()], taken, BOUNDS)
    assert [p.text for p in done.primitives if isinstance(p, Text)] == ["Q28"]
    assert done.untold == ["Q28: 25 A; breaks 5 kA; formerly LIGHTS"]
    assert not done.missing


def test_a_label_with_no_room_at_all_is_told_whole() -> None:
    done = place_labels([label()], [BOUNDS], BOUNDS)
    assert not done.primitives
    assert done.untold == ["Q28: 25 A; breaks 5 kA; formerly LIGHTS"]
    assert done.missing == ["e1"]


def test_labels_cut_short_stand_in_the_margin(laid_out: LaidOut, monkeypatch: pytest.MonkeyPatch) -> None:
    snapshot = laid_out("small")
    drawn = sheets.draw_sheet

    def crowded(*given: object) -> object:
        body = drawn(*given)  # type: ignore[arg-type]
        return body._replace(labelled=body.labelled._replace(untold=["Q28: 25 A; breaks 5 kA"] * 2 + ["W7: 14 AWG"]))

    monkeypatch.setattr(sheets, "draw_sheet", crowded)
    (sheet,) = pictures(snapshot)
    said = written(sheet)
    at = said.index("Labels without room")
    assert said[at + 1 : at + 3] == ["Q28: 25 A; breaks 5 kA", "W7: 14 AWG"]


def test_a_spare_way_stands_beside_the_ways_of_its_panel(laid_out: LaidOut, builders: dict) -> None:  # type: ignore[type-arg]
    b = builders["direct"](24)
    item = b.installation.new_id("enclosures")
    apply(b.installation, Put("enclosures", item, Enclosure(name="DC panel")))
    b.add("circuit_breaker", "Q90", rating_a=10, position="99", label="Wiper", enclosure=item)
    b.add("load", "E90")
    b.run("W90", "WC3.bar", "Q90.in", size="14 AWG")
    b.run("W91", "Q90.out", "E90.in", size="14 AWG")
    b.add("circuit_breaker", "Q91", rating_a=10, position="100", label="Spare", status="spare", enclosure=item)
    for size in ("A4", "A3"):
        scene = set_scene(laid_out(b, sheet_size=size))
        at = {scene.snapshot.equipment[p.equipment].designation: p.placement for p in scene.pieces.values()}
        assert at["Q91"].sheet == at["Q90"].sheet
        assert abs(at["Q91"].x - at["Q90"].x) + abs(at["Q91"].y - at["Q90"].y) < 40


def test_two_runs_of_one_name_are_both_flagged(laid_out: LaidOut) -> None:
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("bus_bar", "WC1")
    b.run("W1", "G1.pos", "WC1.bar", size="2 AWG")
    for n in (1, 2):
        b.add("load", f"E{n}")
        b.run("W9", "WC1.bar", f"E{n}.in", size="14 AWG")
    snapshot = laid_out(b)
    result = check(snapshot, only=("duplicate-designation",))
    (number,) = [n for n, f in enumerate(result.findings, 1) if f.rule == "duplicate-designation"]
    (sheet,) = pictures(snapshot, result)
    assert sum(isinstance(p, Text) and p.text == str(number) and p.ink == "red" for p in sheet.primitives) == 3


def test_twins_on_two_sheets_are_flagged_on_both_and_told_on_the_first(laid_out: LaidOut, builders: dict) -> None:  # type: ignore[type-arg]
    b = builders["alternating"]()
    for n, bar in enumerate(("WC1.bar", "WA2.bar")):
        b.add("load", f"E9{n}")
        b.run("W999", bar, f"E9{n}.in", function="ac" if n else "dc pair", size="14 AWG")
    snapshot = laid_out(b)
    made = pictures(snapshot, check(snapshot, only=["duplicate-designation"]))
    told = [n for n, p in enumerate(made, 1) if "CAUTION duplicate-designation" in written(p)]
    assert len(told) == 1
    others = [p for p in made if f"CAUTION duplicate-designation: sheet {told[0]}" in written(p)]
    assert len(others) == 1


@pytest.mark.parametrize(("lines", "stands"), [(4, True), (3, False)])
def test_no_heading_at_the_foot_of_a_column(lines: int, stands: bool) -> None:
    notes = [plain("first"), plain("Heading", bold=True), Note((NoteLine("one\ntwo"),))]
    pitch, gaps = 3.9, 2.6 + 0.8
    done = set_notes(notes, Box(0, 0, 60, lines * pitch + gaps + 0.1))
    texts = [p.text for p in done.primitives if isinstance(p, Text)]
    assert texts == (["first", "Heading", "one", "two"] if stands else ["first"])


@pytest.mark.parametrize("sign", ["−", "–", "-", "+"])
def test_a_sign_is_never_alone_on_a_line(sign: str) -> None:
    for word in ("bus", "bus bar", "distribution bus", "service distribution bus"):
        b = Builder()
        b.add("bus_bar", "WC1", label=f"Service {word}, + and {sign}")
        snapshot = b.installation.snapshot()
        for widest in (20.0, 24.0, 28.0):
            (item,) = snapshot.equipment
            assert sign not in [line.text for line in device_words(snapshot, item, widest=widest).lines]


def test_sheets_larger_than_the_size_asked_for_are_named() -> None:
    made = [Picture(297.0, 210.0, (), "DC main"), Picture(420.0, 297.0, (), "DC branch circuits")]
    assert larger_sheets(made, "A4") == ["sheet 2 is A3: DC branch circuits does not fit A4"]
    assert larger_sheets(made, None) == []


@pytest.mark.parametrize(("size", "largest"), [("A4", "A1"), ("Letter", "ANSI D")])
def test_what_is_larger_than_the_largest_sheet_stands_there_all_the_same(size: str, largest: str) -> None:
    b = Builder()
    b.add("battery_bank", "G1", label="a name without end " * 400)
    b.add("fuse", "F1")
    b.run("W1", "G1.pos", "F1.in")
    made = pictures(sheets.laid_out(b.installation.snapshot(), size))
    assert (made[0].width, made[0].height) == SIZES[largest]
