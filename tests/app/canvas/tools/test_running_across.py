"""A run from a terminal of one sheet to a terminal of another: begun here, the sheet turned, ended there."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt

from app.drawing import changes
from engine.equipment.base import Equipment

pytestmark = pytest.mark.qt

Q2_OUT = (50, 18)


@pytest.fixture
def other(hand: Any) -> str:
    """A second sheet with a load on it; the first one is shown."""
    document = hand.document
    made = changes.add_sheet(document.snapshot(), document.installation.last_id)
    document.do(made.edit)
    document.do(changes.place(document.snapshot(), document.installation.last_id, "load", made.items[0], 30, 30).edit)
    return str(made.items[0])


def loads_terminal(hand: Any, sheet: str) -> tuple[int, int]:
    (piece,) = changes.scene_of(hand.document.snapshot(), sheet).on(sheet)
    port = piece.port("in")
    return port.x, port.y


def ends_of_new(hand: Any, before: set[str]) -> set[str]:
    snapshot = hand.document.snapshot()
    (run,) = (snapshot.runs[item] for item in snapshot.runs.keys() - before)
    records: list[Equipment] = [snapshot.equipment[e.equipment] for e in (run.from_end, run.to_end)]
    return {f"{r.designation}.{e.terminal}" for r, e in zip(records, (run.from_end, run.to_end), strict=True)}


@pytest.mark.parametrize("by_keys", [False, True])
def test_from_sheet_to_sheet(hand: Any, other: str, by_keys: bool) -> None:
    document, first = hand.document, hand.document.sheet
    before, dumped = set(document.snapshot().runs), hand.dump()
    hand.take("run")
    hand.click(Q2_OUT)
    document.turn_to(other)
    told: list[str] = []
    hand.board.pointed.connect(told.append)
    at = loads_terminal(hand, other)
    if by_keys:
        hand.go(*at)
        hand.key(Qt.Key.Key_Return)
    else:
        hand.click(at)
    assert any("ends the run from Q2 “out” on sheet 1" in each for each in told)
    assert ends_of_new(hand, before) == {"Q2.out", "E2.in"}
    for sheet in (first, other):
        document.turn_to(sheet)
        parts = [p for p in hand.board.scene_now().parts_on(sheet) if p.run not in before]
        assert [p.kind in ("from", "to") for p in parts] == [True], "each sheet shows an end with an arrow"
    document.undo()
    assert hand.dump() == dumped


def test_a_second_run_begins_anew_and_escape_gives_up(hand: Any, other: str) -> None:
    before = set(hand.document.snapshot().runs)
    hand.take("run")
    hand.click(Q2_OUT)
    hand.document.turn_to(other)
    hand.key(Qt.Key.Key_Escape)
    hand.click(loads_terminal(hand, other))
    assert set(hand.document.snapshot().runs) == before
    assert hand.board.tool.NAME == "run"


def test_enter_beside_a_terminal_says_what_is_wanted(hand: Any, other: str) -> None:
    before = set(hand.document.snapshot().runs)
    hand.take("run")
    hand.click(Q2_OUT)
    hand.document.turn_to(other)
    hand.go(10, 10)
    hand.key(Qt.Key.Key_Return)
    assert hand.said == ["A run that began on another sheet ends at a terminal here."]
    assert set(hand.document.snapshot().runs) == before


@pytest.mark.parametrize("loose_first", [False, True])
def test_a_loose_end_is_led_on_to_another_sheet(hand: Any, other: str, loose_first: bool) -> None:
    first = hand.document.sheet
    hand.take("run")
    hand.click(Q2_OUT)
    hand.double((50, 10))
    (run,) = hand.document.selection
    before, dumped = set(hand.document.snapshot().runs), hand.dump()
    places = {first: (50, 10), other: loads_terminal(hand, other)}
    for sheet in (first, other) if loose_first else (other, first):
        hand.document.turn_to(sheet)
        hand.click(places[sheet])
    assert set(hand.document.snapshot().runs) == before, hand.said
    assert ends_of_new(hand, before - {run}) == {"Q2.out", "E2.in"}, hand.said
    assert not [e for e in hand.document.snapshot().equipment.values() if e.KIND == "open_end"]
    hand.document.undo()
    assert hand.dump() == dumped
