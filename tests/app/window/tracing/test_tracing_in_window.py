"""A boat traced from an empty drawing by keys alone; its list of what is to be traced; rows pasted; put on sheets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from app.actions import action_named
from app.window.files import save_as
from app.window.main import Window
from app.window.start import Desk
from app.window.tracing.page import TracingPage
from engine.files.drawing import load
from engine.installation.model import Snapshot
from engine.tracing import to_be_traced

Shown = Callable[[Window | None], Window]

# twelve runs as they are typed: from, seen, to, seen, carries, size, length
BOAT: tuple[tuple[str, ...], ...] = (
    ("G1 battery 12 V 100 Ah in Battery box", "y", "F1 class t 150 A", "y", "+", "35 mm2", "0.2 m"),
    ("F1", "y", "Q1 switch 200 A", "y", "+", "35 mm2", "0.5 m"),
    ("Q1", "y", "F2 fuse 30 A", "y", "+", "10 mm2", "1 m"),
    ("F2", "y", "Q2 switch 30 A", "y", "+", "10 mm2", "3 m ~a"),
    ("Q2", "y", "E1 lamp 12 V 20 W in Saloon", "n", "+", "2.5 mm2", "4 m"),
    ("E1", "", "G1.neg", "y", "-", "2.5 mm2", "5 m"),
    ("Q1", "y", "F3 fuse 10 A", "y", "+", "6 mm2", "1 m"),
    ("F3", "y", "", "", "+", "6 mm2", ""),
    ("Q1", "y", "F4 fuse 15 A", "y", "+", "6 mm2", "1 m"),
    ("F4", "y", "grey box behind the galley", "n", "+", "4 mm2", ""),
    ("E2 lamp 12 V 10 W", "y", "G1.neg", "y", "-", "2.5 mm2", "2 m"),
    ("Q1", "y", "E2", "y", "+", "2.5 mm2", "2 m"),
)


def focused() -> QWidget:
    found = QApplication.focusWidget()
    assert found is not None
    return found


def press(key: Qt.Key, with_: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(focused(), key, with_)


def type_row(cells: Sequence[str]) -> None:
    """One row, from field to field by Tab, Enter at its end."""
    for n, cell in enumerate(cells):
        if n:
            press(Qt.Key.Key_Tab)
        if cell:
            QTest.keyClicks(focused(), cell)
    press(Qt.Key.Key_Return)


def tracing(window: Window, qtbot: QtBot) -> TracingPage:
    """The page, opened by its key."""
    window.board.setFocus()
    press(Qt.Key.Key_F12, Qt.KeyboardModifier.ControlModifier)
    page = window.pages.currentWidget()
    assert isinstance(page, TracingPage)
    qtbot.waitUntil(lambda: page.form.fields["from"].hasFocus())
    return page


def whys(snapshot: Snapshot) -> list[tuple[str, str]]:
    return sorted((end.name, end.why) for place in to_be_traced(snapshot) for end in place.ends if end.run)


def test_twelve_runs_are_traced_saved_checked_and_resolved_by_keys(
    judging_desk: Desk, qtbot: QtBot, shown: Shown, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(judging_desk.new())
    page = tracing(window, qtbot)
    for n, row in enumerate(BOAT, 1):
        type_row(row)
        assert len(window.document.snapshot().runs) == n, row
        assert page.form.fields["from"].hasFocus()
    snapshot = window.document.snapshot()
    assert not snapshot.placements
    assert whys(snapshot) == [
        ("W10", "open end"),
        ("W5", "not seen"),
        ("W6", "one end seen"),
        ("W8", "open end"),
    ]
    assert page.tabs.tabText(1).endswith(str(page.ends.count() - len(to_be_traced(snapshot))))
    # each row is one step back
    window.document.undo()
    assert len(window.document.snapshot().runs) == len(BOAT) - 1
    window.document.redo()

    # judged by the real process: what rests on the assumed length comes as a later step
    def rests() -> None:
        judgement = window.document.judgement
        assert judgement is not None
        assert [(v.name, v.field) for v in judgement.result.assumed] == [("W4", "length_m")]

    qtbot.waitUntil(rests, timeout=30_000)

    # resolved one by one from the list, by keys
    answers = {"W5": ("", "y"), "W6": (None, "y"), "W8": ("E3 lamp 5 W", "y"), "W10": ("E4 load 24 W", "y")}
    while left := whys(window.document.snapshot()):
        page.tabs.setCurrentWidget(page.ends)
        page.ends.setFocus()
        row = next(
            n for n in range(page.ends.count())
            if getattr(page.ends.item(n).data(Qt.ItemDataRole.UserRole), "name", "") == left[0][0]
        )  # fmt: skip
        page.ends.setCurrentRow(row)
        press(Qt.Key.Key_Return)
        typed, seen = answers[left[0][0]]
        if typed:
            QTest.keyClicks(focused(), typed)
        press(Qt.Key.Key_Tab)
        QTest.keyClicks(focused(), seen)
        press(Qt.Key.Key_Return)
        assert whys(window.document.snapshot()) != left
    kinds = [record.KIND for record in window.document.snapshot().equipment.values()]
    assert "open_end" not in kinds

    # drawn in one go, saved, and the file says the same
    press(Qt.Key.Key_Escape)
    page.sheets_button.setFocus()
    press(Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: bool(window.document.snapshot().placements), timeout=30_000)
    snapshot = window.document.snapshot()
    assert {p.equipment for p in snapshot.placements.values()} == set(snapshot.equipment)
    path = tmp_path / "tern.linewright"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(path), ""))
    assert save_as(window)
    kept = load(path).installation.snapshot()
    assert kept.tables == snapshot.tables
    assert whys(kept) == []
    assert [end.name for place in to_be_traced(kept) for end in place.ends] == []


def test_a_refused_cell_keeps_what_was_typed_and_takes_the_keyboard(desk: Desk, qtbot: QtBot, shown: Shown) -> None:
    window = shown(desk.new())
    page = tracing(window, qtbot)
    type_row(("F1 fuse", "y", "E1 lamp", "y", "+", "17 turtles", "2 m"))
    assert not window.document.snapshot().runs
    assert page.form.fields["size"].hasFocus()
    assert page.form.text("length_m") == "2 m"
    QTest.keyClicks(focused(), "6 mm2")
    press(Qt.Key.Key_Return)
    assert [run.size for run in window.document.snapshot().runs.values()] == ["6 mm2"]


def test_values_are_kept_from_the_row_above_on_a_key(desk: Desk, qtbot: QtBot, shown: Shown) -> None:
    window = shown(desk.new())
    page = tracing(window, qtbot)
    type_row(("F1 fuse", "y", "E1 lamp", "y", "+", "6 mm2", "2 m", "Bilge"))
    QTest.keyClicks(focused(), "F2 fuse")
    press(Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.ShiftModifier)
    assert page.form.text("size") == "6 mm2"
    assert page.form.text("places") == "Bilge"
    assert page.form.text("from") == "F2 fuse"
    assert page.form.text("from_seen") == ""  # that is said of each run anew
    page.form.focus("length_m")
    press(Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert page.form.text("length_m") == "2 m"


def test_rows_of_a_spreadsheet_are_pasted_as_one_step(desk: Desk, qtbot: QtBot, shown: Shown) -> None:
    window = shown(desk.new())
    page = tracing(window, qtbot)
    QGuiApplication.clipboard().setText("G1 battery\ty\tF1 fuse 30 A\ty\t+\t10 mm2\nF1\ty\tE1 lamp\tn\t+\t2.5 mm2\n")
    page.table.setFocus()
    press(Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert [run.size for run in window.document.snapshot().runs.values()] == ["10 mm2", "2.5 mm2"]
    window.document.undo()
    assert not window.document.snapshot().runs
    QGuiApplication.clipboard().setText("G1 battery\tmaybe\tF1 fuse 30 A\n")
    page.table.setFocus()
    press(Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert not window.document.snapshot().runs
    QGuiApplication.clipboard().clear()


def test_what_is_half_typed_is_recorded_before_saving(desk: Desk, qtbot: QtBot, shown: Shown) -> None:
    window = shown(desk.new())
    page = tracing(window, qtbot)
    QTest.keyClicks(focused(), "F1 fuse 30 A")
    assert window.pages.settle() == ""
    assert len(window.document.snapshot().runs) == 1
    page.form.focus("length_m")
    QTest.keyClicks(focused(), "far")
    page.form.focus("from")
    QTest.keyClicks(focused(), "F1")
    assert "Length" in window.pages.settle()


def test_what_is_drawn_stays_where_the_rest_is_put_on_sheets(
    judging_desk: Desk, qtbot: QtBot, shown: Shown, ketch: Path
) -> None:
    window = shown(judging_desk.open_path(ketch))
    before = window.document.snapshot()
    tracing(window, qtbot)
    type_row(("E90 lamp 12 V 20 W", "y", "Q90 switch", "y", "+"))
    action_named("put_on_sheets").call(window)
    drawn = len(before.sheets)
    qtbot.waitUntil(lambda: len(window.document.snapshot().sheets) > drawn, timeout=30_000)
    after = window.document.snapshot()
    assert all(after.placements[item] == placed for item, placed in before.placements.items())
    assert {p.equipment for p in after.placements.values()} >= set(after.equipment) - (
        set(before.equipment) - {p.equipment for p in before.placements.values()}
    )
    numbers = [sheet.number for sheet in after.sheets.values()]
    assert len(numbers) == len(set(numbers))
