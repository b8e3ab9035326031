"""A state that no condition stores: shown, told, left, kept; the state of a finding; sources by name."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.drawing.in_condition import positions_shown
from app.judgement import Judgement
from app.window import stating
from app.window.main import Window
from app.window.start import Desk
from app.worker_messages import lit_of, live_of
from engine.check import check
from engine.circuit.expand import expand
from engine.circuit.live_from import live_from, way_between
from engine.findings import Finding

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]


@pytest.fixture
def window(desk: Desk, ketch: Path, shown: Shown) -> Window:
    return shown(desk.open_path(ketch))


def id_of(window: Window, name: str) -> str:
    return next(i for i, r in window.document.snapshot().equipment.items() if r.designation == name)


def drawn(window: Window, name: str) -> str:
    return window.board.shown.snapshot().equipment[id_of(window, name)].drawn_position()


def test_a_state_is_shown_told_and_left_and_the_drawing_stays_as_it_is(window: Window, qtbot: QtBot) -> None:
    document, q1 = window.document, id_of(window, "Q1")
    before, condition = document.snapshot(), next(iter(document.snapshot().conditions))
    document.set_condition(condition)
    document.show_state({q1: "open"}, "step 3: Q1 open")
    assert drawn(window, "Q1") == "open"
    assert "step 3: Q1 open" in window.banner.told()["state"]
    assert window.board.accessibleName().endswith("not stored: step 3: Q1 open")
    assert not any(b.isChecked() for b in window.conditions._buttons.values()), "no condition is shown"
    window.menus.call("flow_layer")
    assert "keep it as a condition" in window.foot.message
    window.menus.call("flow_layer")
    qtbot.keyClick(window.board, Qt.Key.Key_Escape)
    assert document.state is None
    assert drawn(window, "Q1") == "closed"
    assert "state" not in window.banner.told()
    assert window.conditions._buttons[condition].isChecked()
    assert document.snapshot() is before
    document.show_state({q1: "open"}, "again")
    qtbot.mouseClick(window.conditions._buttons[condition], Qt.MouseButton.LeftButton)
    assert document.state is None, "the button of a condition leaves it too"


def test_in_a_state_switches_move_without_an_edit_as_far_as_interlocks_let_them(window: Window) -> None:
    document = window.document
    q12, q13 = id_of(window, "Q12"), id_of(window, "Q13")
    document.show_state({q12: "closed", id_of(window, "Q11"): "open"}, "a state")
    window.take_tool("operate")
    before = document.snapshot()
    assert not window.board.tool.operate(q13, "closed"), "the slide holds it"
    assert window.board.tool.operate(q12, "open")
    assert window.board.tool.operate(q13, "closed")
    assert (drawn(window, "Q12"), drawn(window, "Q13")) == ("open", "closed")
    assert document.snapshot() is before


def test_what_is_shown_is_kept_as_a_condition_in_one_edit(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    document, q1 = window.document, id_of(window, "Q1")
    document.set_condition(next(i for i, c in document.snapshot().conditions.items() if c.running))
    running = document.snapshot().conditions[document.condition].running
    proposed: list[str] = []

    def answer(_parent: object, _title: str, _text: str, name: str) -> str:
        proposed.append(name)
        return "Main switch open"

    monkeypatch.setattr(stating, "ask_line", answer)
    window.take_tool("operate")
    document.show_state({q1: "open"}, "step 3", running=running)
    window.menus.call("keep_state")
    made = document.snapshot().conditions[document.condition]
    assert proposed == ["Step 3"]
    assert (made.name, made.running) == ("Main switch open", running)
    assert (q1, "open") in {(s.equipment, s.position) for s in made.settings}
    assert document.state is None
    document.undo()
    assert "Main switch open" not in {c.name for c in document.snapshot().conditions.values()}


def test_show_me_shows_the_state_of_a_finding_from_the_page_and_from_the_sheet(window: Window, qtbot: QtBot) -> None:
    document = window.document
    item, position = id_of(window, "T1"), "pass"
    finding = Finding(
        rule="sources-meet",
        word="danger",
        designations=("G10", "T1"),
        ids=(id_of(window, "G10"), item),
        message="G10 and T1 can meet.",
        positions=((item, position),),
    )
    result = replace(check(document.snapshot(), only=("unconnected",)), findings=(finding,))
    document._judged(Judgement(0, result, {finding.key: 7}, {}))
    window.show_page("notes")
    notes = window.pages.notes()
    notes.show_finding(finding.key)
    assert notes.state_button.isVisible()
    qtbot.mouseClick(notes.state_button, Qt.MouseButton.LeftButton)
    assert document.state is not None
    assert document.standing()[item] == position
    assert document.state.title.startswith("note 7")
    assert window.board.marks._way_symbols.isVisible() or window.board.marks._way.isVisible()
    qtbot.keyClick(notes.notes, Qt.Key.Key_Escape)
    assert document.state is None
    assert not window.board.marks._way_symbols.isVisible()
    window.show_page("")
    window.board.noted.emit(7)
    assert "note 7" in window.banner.told()["witness"].casefold()
    window.board.show_note(7)
    window.menus.call("show_state")
    assert document.state is not None
    assert "witness" not in window.banner.told()


def test_sources_stand_by_name_on_the_sheet_and_in_the_legend(window: Window) -> None:
    document = window.document
    snapshot, condition = (
        document.snapshot(),
        next(i for i, c in document.snapshot().conditions.items() if c.name == "Alongside"),
    )
    document.set_condition(condition)
    document.turn_to(next(i for i, s in snapshot.sheets.items() if s.number == 5))
    found = live_from(expand(snapshot), positions_shown(snapshot, condition), snapshot.conditions[condition].running)
    assert window.legend.isHidden()
    window.take_tool("operate")
    document._lit(live_of(lit_of(1, condition, found)))
    flags = {snapshot.name(flag.item): flag.text for flag in window.board.live.flags}
    assert flags["WA1"] == "G10"
    assert flags["W202"] == "G10"
    told = window.legend.line.accessibleName()
    assert "G10 Shore supply" in told
    assert "Gives nothing: G3, G4" in told
    boxes = [flag.box for flag in window.board.live.flags]
    assert not any(a.grown(-0.2).meets(b) for n, a in enumerate(boxes) for b in boxes[n + 1 :])
    window.take_tool("choose")
    assert window.legend.isHidden()
    assert not window.board.live.flags


def test_where_sources_meet_is_framed_and_said(window: Window) -> None:
    document = window.document
    snapshot = document.snapshot()
    document.turn_to(next(i for i, s in snapshot.sheets.items() if s.number == 5))
    names = ("T1", "Q10", "Q12", "Q13")
    state = dict(zip((id_of(window, n) for n in names), ("invert", "closed", "closed", "closed"), strict=True))
    sources = (id_of(window, "T1"), id_of(window, "G10"))
    document.show_state(state, "they meet", marks=sources)
    circuit, standing = expand(snapshot), document.standing()
    found = live_from(circuit, standing)
    document._lit(live_of(lit_of(1, document.condition, found, way_between(circuit, standing, sources))))
    wrong = [flag for flag in window.board.live.flags if flag.wrong]
    assert wrong
    assert all(flag.text.startswith("! ") for flag in wrong)
    assert "sources meet" in window.legend.line.accessibleName()
    assert {snapshot.name(i) for i in document.live.way} >= {"T1", "Q12", "Q13", "Q10", "G10"}  # type: ignore[union-attr]
    assert window.board.marks._way.isVisible()
