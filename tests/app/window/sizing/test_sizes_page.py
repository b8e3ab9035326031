"""The page of sizes: from a key or a finding to what is needed, and from there to the edit. A real study process."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

pytestmark = pytest.mark.qt
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

from PySide6.QtCore import Qt  # noqa: E402
from PySide6.QtGui import QAccessible  # noqa: E402
from PySide6.QtWidgets import QPushButton  # noqa: E402
from pytestqt.qtbot import QtBot  # noqa: E402

from app.window.main import Window  # noqa: E402
from app.window.start import Desk  # noqa: E402
from app.worker_messages import Sized  # noqa: E402
from engine.builder import Builder  # noqa: E402
from engine.files.drawing import save  # noqa: E402

LONG = 30_000  # ms: a process starts on a busy machine
Shown = Callable[[Window | None], Window]


@pytest.fixture
def boat(tmp_path: Path) -> Path:
    """A lamp at the end of a lead that is too thin for it."""
    b = Builder(name="Sandling")
    b.place("Saloon", "accommodation", 30)
    b.add("battery_bank", "G1", unit_v=12, unit_ah=100, short_circuit_a=1200)
    b.add("fuse", "F1", rating_a=10, rated_dc_v=32)
    b.add("load", "E1", dc_v=12, power_w=60)
    cable = {"insulation_c": 105, "bundle": 1, "places": ("Saloon",), "size": "16 AWG"}
    b.run("W1", "G1.pos", "F1.in", length_m=0.1, **cable)
    b.run("W2", "F1.out", "E1.in", length_m=15, drop_class="essential", **cable)
    path = tmp_path / "sandling.linewright"
    save(b.installation, path)
    return path


def run_of(window: Window, name: str = "W2") -> str:
    ((_table, item),) = window.document.installation.find(name)
    return item


def test_one_key_sizes_the_chosen_run_and_enter_fits_it(
    judging_desk: Desk, shown: Shown, boat: Path, qtbot: QtBot
) -> None:
    window = shown(judging_desk.open_path(boat))
    run = run_of(window)
    window.document.select(run)
    window.board.setFocus()
    qtbot.waitUntil(window.board.hasFocus)
    qtbot.keyClick(window.board, Qt.Key.Key_S)
    assert window.page == "sizes"
    page = window.pages.sizes()
    qtbot.waitUntil(lambda: bool(page.answers), timeout=LONG)
    answer = page.answers[0]
    assert answer.item == run
    assert "Too small" in page.head.text()
    assert "voltage drop" in page.whole.toPlainText()
    qtbot.waitUntil(lambda: page.buttons[0].hasFocus())
    assert answer.needs in page.buttons[0].text()
    qtbot.keyClick(page.buttons[0], Qt.Key.Key_Space)
    assert window.document.installation.runs[run].size == answer.needs
    # judged anew: now it will do, and what was done is one step to take back
    qtbot.waitUntil(lambda: bool(page.answers) and page.answers[0].suffices is not False, timeout=LONG)
    assert page.answers[0].has == answer.needs
    window.document.undo()
    assert window.document.installation.runs[run].size == "16 AWG"
    qtbot.waitUntil(lambda: bool(page.answers) and page.answers[0].suffices is False, timeout=LONG)


def test_a_finding_leads_to_its_size(judging_desk: Desk, shown: Shown, boat: Path, qtbot: QtBot) -> None:
    window = shown(judging_desk.open_path(boat))
    qtbot.waitUntil(lambda: window.document.judgement is not None, timeout=LONG)
    findings = window.document.judgement.result.findings
    key = next(f.key for f in findings if f.rule == "drop-too-high")
    window.show_page("notes")
    notes = window.pages.notes()
    notes.show_finding(key)
    assert notes.size_button.isVisible()
    qtbot.mouseClick(notes.size_button, Qt.MouseButton.LeftButton)
    assert window.page == "sizes"
    assert window.document.selection[0] == run_of(window)
    page = window.pages.sizes()
    qtbot.waitUntil(lambda: bool(page.answers), timeout=LONG)
    other = next((f.key for f in findings if f.rule == "no-protection"), None)
    if other is not None:
        notes.show_finding(other)
        assert not notes.size_button.isVisibleTo(notes)


def test_answers_that_come_too_late_are_dropped(desk: Desk, shown: Shown, boat: Path) -> None:
    window = shown(desk.open_path(boat))
    window.document.select(run_of(window))
    window.show_page("sizes")
    page = window.pages.sizes()
    assert "no study process" in page.head.text()
    page._waiting = ()
    window.document.sized.emit(Sized(1, (run_of(window),)))
    assert "no study process" in page.head.text()
    page._waiting = (run_of(window),)
    window.document.sized.emit(Sized(1, (run_of(window),), (), "a fault"))
    assert "a fault" in page.head.text()


def test_every_control_has_a_name(desk: Desk, shown: Shown, boat: Path) -> None:
    window = shown(desk.open_path(boat))
    window.show_page("sizes")
    page = window.pages.sizes()
    assert QAccessible.queryAccessibleInterface(page).text(QAccessible.Text.Name)
    assert QAccessible.queryAccessibleInterface(page.whole).text(QAccessible.Text.Name)
    for button in page.findChildren(QPushButton):
        assert QAccessible.queryAccessibleInterface(button).text(QAccessible.Text.Name)


def test_asked_before_there_is_a_study_process(judging_desk: Desk, shown: Shown, boat: Path, qtbot: QtBot) -> None:
    window = judging_desk.open_path(boat)
    assert window is not None
    window.show()
    window.size(run_of(window))
    page = window.pages.sizes()
    qtbot.waitUntil(lambda: bool(page.answers), timeout=LONG)
    shown(window)
    window.document.select()
    assert "Choose a run" in page.head.text()
    assert not page.buttons
    window.document.select(run_of(window, "E1"))  # a lamp has no size to choose
    qtbot.waitUntil(lambda: "no size to work out" in page.head.text(), timeout=LONG)
    assert not page.buttons
