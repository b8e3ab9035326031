"""Measured values typed with keys at the chosen thing: what they should be is told before they are recorded."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

import pytest

pytestmark = pytest.mark.qt
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

from PySide6.QtCore import Qt  # noqa: E402
from pytestqt.qtbot import QtBot  # noqa: E402

from app.window.main import Window  # noqa: E402
from app.window.readings.page import ReadingsPage  # noqa: E402
from app.window.start import Desk  # noqa: E402
from engine.files.drawing import save  # noqa: E402
from engine.rules.survey._measured import lit, take  # noqa: E402

LONG = 30_000  # ms: a process starts on a busy machine
Shown = Callable[[Window | None], Window]
CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def boat(tmp_path: Path) -> Path:
    """A lamp of 10 A at the end of a pair, one condition in which it burns."""
    path = tmp_path / "sandling.linewright"
    save(lit().installation, path)
    return path


def _page(window: Window, qtbot: QtBot, name: str) -> ReadingsPage:
    ((_table, item),) = window.document.installation.find(name)
    window.document.select(item)
    qtbot.keyClick(window.board, Qt.Key.Key_F8, CTRL)
    page = window.pages.readings()
    page.today = lambda: datetime.date(2026, 5, 2)
    qtbot.waitUntil(page.value.hasFocus)
    return page


def _choose(choice, words: str) -> None:
    at = choice.findText(words)
    assert at >= 0, [choice.itemText(n) for n in range(choice.count())]
    choice.setCurrentIndex(at)
    choice.activated.emit(at)


def test_what_it_should_be_is_told_and_the_instrument_is_kept(
    judging_desk: Desk, shown: Shown, boat: Path, qtbot: QtBot
) -> None:
    window = shown(judging_desk.open_path(boat))
    page = _page(window, qtbot, "E1")
    assert page.head.text() == "E1"
    _choose(page.terminal, "in")
    assert [page.between.itemText(n) for n in range(page.between.count())][:2] == ["not said", "+ and -"]
    _choose(page.condition, "At anchor")
    page.instrument.setEditText("Meter 3")
    qtbot.keyClicks(page.value, "9.8")
    assert page.answer.text().startswith("Expected a value with its unit, such as 12.3 V")
    qtbot.keyClicks(page.value, " V")
    qtbot.waitUntil(lambda: page.answer.text().startswith("differs: Voltage at E1 in: 9.8 V measured"), timeout=LONG)
    assert "11.2 V expected" in page.answer.text()
    assert "Deviation -1.44 V." in page.answer.text()
    # Enter records: reading and instrument are one step
    qtbot.keyClick(page.value, Qt.Key.Key_Return)
    snapshot = window.document.snapshot()
    (reading,) = snapshot.readings.values()
    ((meter, instrument),) = snapshot.instruments.items()
    assert (reading.volts, reading.terminal, reading.date, reading.instrument) == (9.8, "in", "2026-05-02", meter)
    assert instrument.name == "Meter 3"
    assert page.value.text() == ""
    qtbot.waitUntil(lambda: page.count.text() == "1 reading, 1 differs.", timeout=LONG)
    # the deviation has become a finding
    qtbot.waitUntil(
        lambda: any(f.rule == "voltage-differs" for f in window.document.judgement.result.findings), timeout=LONG
    )
    # the next one with the same instrument; measured again, the old one counts no more
    qtbot.keyClicks(page.value, "11.3 V")
    qtbot.waitUntil(lambda: page.answer.text().startswith("in order: "), timeout=LONG)
    qtbot.keyClick(page.value, Qt.Key.Key_Return)
    assert len(window.document.snapshot().instruments) == 1
    qtbot.waitUntil(lambda: page.count.text() == "2 readings, 0 differ.", timeout=LONG)
    assert "Measured again since." in page.list.item(1).text()
    window.document.undo()
    window.document.undo()
    assert not window.document.snapshot().readings
    assert not window.document.snapshot().instruments


def test_what_cannot_be_compared_says_why(judging_desk: Desk, shown: Shown, boat: Path, qtbot: QtBot) -> None:
    window = shown(judging_desk.open_path(boat))
    page = _page(window, qtbot, "W2")
    _choose(page.condition, "condition not recorded")
    qtbot.keyClicks(page.value, "10.1 A")
    qtbot.waitUntil(lambda: "the condition it was measured in is not recorded" in page.answer.text(), timeout=LONG)
    assert page.answer.text().startswith("not judged: ")


def test_a_reading_is_taken_out_with_a_key_and_nothing_wrong_is_recorded(
    desk: Desk, shown: Shown, boat: Path, qtbot: QtBot
) -> None:
    window = shown(desk.open_path(boat))
    page = _page(window, qtbot, "W2")
    qtbot.keyClicks(page.value, "12 bananas")
    qtbot.keyClick(page.value, Qt.Key.Key_Return)
    assert not window.document.snapshot().readings
    assert "12 bananas" in page.settle()
    page.value.clear()
    qtbot.keyClicks(page.value, "2 Mohm at 250 V")
    qtbot.keyClick(page.value, Qt.Key.Key_Return)
    (reading,) = window.document.snapshot().readings.values()
    assert (reading.insulation_ohm, reading.test_v) == (2e6, 250.0)
    assert page.settle() == ""
    page.list.setFocus()
    page.list.setCurrentRow(0)
    qtbot.keyClick(page.list, Qt.Key.Key_Delete)
    assert not window.document.snapshot().readings
    window.document.undo()
    assert len(window.document.snapshot().readings) == 1


def test_what_a_reading_lacks_is_among_the_facts_to_read(
    judging_desk: Desk, shown: Shown, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "sandling.linewright"
    made = take(lit(), "W2", current_a=10.1).installation  # in which condition is not recorded
    save(made, path)
    window = shown(judging_desk.open_path(path))
    window.show_page("missing")
    page = window.pages.missing()
    (item,) = made.ids("readings")
    qtbot.waitUntil(lambda: any(row.subject.id == item for row in page.rows), timeout=LONG)
    row = next(row for row in page.rows if row.subject.id == item)
    assert row.fact.field == "condition"
    assert row.fact.name == "W2"
    assert row.fact.unlocks[0].rule == "current-differs"
