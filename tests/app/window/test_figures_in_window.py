"""Figures in the whole window: the real study process, real keys."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from app.window.figures.loads import HOURS
from app.window.main import Window
from app.window.start import Desk
from engine.edits import SetFields

pytestmark = pytest.mark.qt

Shown = Callable[[Window | None], Window]
K = Qt.Key
LAUNCH = Path(__file__).parents[3] / "samples" / "launch" / "launch.linewright"


@pytest.fixture
def launch(tmp_path: Path) -> Path:
    path = tmp_path / "launch.linewright"
    path.write_bytes(LAUNCH.read_bytes())
    return path


def figures(window: Window) -> set[str]:
    return {owner for owner in window.board.shown.items.items if owner.startswith("figure:")}


def under_way(window: Window) -> None:
    conditions = window.document.snapshot().conditions
    window.document.set_condition(next(item for item, record in conditions.items() if record.name == "Under way"))


def test_a_key_lays_currents_over_the_sheet_and_an_edit_lays_them_anew(
    judging_desk: Desk, shown: Shown, launch: Path, qtbot: QtBot
) -> None:
    window = shown(judging_desk.open_path(launch))
    document = window.document
    under_way(window)
    window.board.setFocus()
    qtbot.keyClick(window.board, K.Key_F9)
    assert judging_desk.settings.get("layer") == "flow"
    assert window.menus.of["flow_layer"].isChecked()
    assert "Under way" in window.foot.message
    qtbot.waitUntil(lambda: bool(figures(window)), timeout=20_000)
    before = {owner: window.board.shown.items.of[owner] for owner in figures(window)}
    (run,) = (item for item, record in document.snapshot().runs.items() if record.designation == "W6")
    assert f"figure:{run}" in before
    document.do(SetFields("runs", run, (("length_m", 30.0),)))
    assert figures(window) == set()
    qtbot.waitUntil(lambda: bool(figures(window)), timeout=20_000)
    assert window.board.shown.items.of[f"figure:{run}"] != before[f"figure:{run}"]
    qtbot.keyClick(window.board, K.Key_F9, Qt.KeyboardModifier.ShiftModifier)
    assert figures(window) == set()
    qtbot.waitUntil(lambda: document.layer is not None and document.layer.what == "faults", timeout=20_000)
    assert not window.menus.of["flow_layer"].isChecked()
    qtbot.keyClick(window.board, K.Key_F9, Qt.KeyboardModifier.ShiftModifier)
    assert figures(window) == set()
    assert judging_desk.settings.get("layer") == ""


def test_the_page_is_reached_by_key_filled_in_by_keys_and_worked_out_by_the_study_process(
    judging_desk: Desk, shown: Shown, launch: Path, qtbot: QtBot
) -> None:
    window = shown(judging_desk.open_path(launch))
    document = window.document
    under_way(window)
    window.board.setFocus()
    qtbot.keyClick(window.board, K.Key_F5)
    page = window.pages.conditions()
    assert window.page == "conditions"
    assert page.table.hasFocus()
    qtbot.waitUntil(lambda: len(document.figures.energies) == 2 and document.figures.faults is not None, timeout=20_000)
    qtbot.waitUntil(lambda: page.summary_line.text().startswith("G1 lasts "))
    told = page.summary_line.text()
    at = page.table.currentIndex()
    assert at.column() == HOURS
    qtbot.keyClick(page.table, "9")
    editor = QApplication.focusWidget()
    assert isinstance(editor, QLineEdit)
    qtbot.keyClick(editor, K.Key_Return)
    qtbot.waitUntil(lambda: document.history.undo_words.endswith("9 h a day, Under way"))
    qtbot.waitUntil(lambda: page.summary_line.text() not in (told, "") and "Being" not in page.summary_line.text(),
                    timeout=20_000)  # fmt: skip
    window.menus.call("undo")
    qtbot.waitUntil(lambda: page.summary_line.text() == told, timeout=20_000)


def test_the_layer_is_remembered(desk: Desk, shown: Shown, launch: Path) -> None:
    desk.settings.set("layer", "faults")
    window = shown(desk.open_path(launch))
    assert window.document.wanted_layer == "faults"
    assert window.menus.of["fault_layer"].isChecked()
