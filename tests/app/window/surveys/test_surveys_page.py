"""The page of surveys: begun and filled in by the keyboard, followed up, its report looked at and written."""

from __future__ import annotations

import datetime
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import docx
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.window.main import Window
from app.window.start import Desk

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
WORKBOAT = Path(__file__).parents[4] / "samples" / "workboat"
DAY = datetime.date(2026, 12, 1)


@pytest.fixture
def surveyed(tmp_path: Path) -> Path:
    """A copy of the surveyed workboat with its photographs."""
    shutil.copytree(WORKBOAT / "photographs", tmp_path / "photographs")
    return Path(shutil.copy(WORKBOAT / "surveyed.linewright", tmp_path))


def _opened(desk: Desk, qtbot: QtBot, path: Path, shown: Shown) -> tuple:
    window = shown(desk.open_path(str(path)))
    window.resize(1500, 950)
    qtbot.keyClick(window.board, Qt.Key.Key_F5, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: window.page == "surveys")
    page = window.pages.surveys()
    page.today = lambda: DAY
    return window, page


def test_a_survey_is_begun_and_filled_in_by_the_keyboard(desk: Desk, qtbot: QtBot, shown: Shown, ketch: Path) -> None:
    window, page = _opened(desk, qtbot, ketch, shown)
    assert "No survey is recorded" in page.counts.text()
    assert page.new.hasFocus()
    qtbot.keyClick(page.new, Qt.Key.Key_Space)
    (item,) = window.document.installation.tables["surveys"]
    name = page.form.fields["name"]
    assert name.hasFocus()
    for text in ("KET-1", "A. Dunlin", "Sale"):
        qtbot.keyClicks(window.focusWidget(), text)
        qtbot.keyClick(window.focusWidget(), Qt.Key.Key_Return)
    survey = window.document.installation.tables["surveys"][item]
    assert (survey.name, survey.client, survey.reason, survey.date) == ("KET-1", "A. Dunlin", "Sale", "2026-12-01")
    assert "edition" in "".join(survey.standards)  # what the drawing's own book proposes
    window.document.undo()
    assert window.document.installation.tables["surveys"][item].reason == ""


def test_a_day_that_is_none_is_refused_in_words(desk: Desk, qtbot: QtBot, shown: Shown, surveyed: Path) -> None:
    _window, page = _opened(desk, qtbot, surveyed, shown)
    with qtbot.waitSignal(page.refused) as refused:
        line = page.form.fields["date"]
        line.setFocus()
        line.setText("yesterday")
        qtbot.keyClick(line, Qt.Key.Key_Return)
    assert "yesterday" in refused.args[0]
    assert line.text() == "2026-11-18"


def test_a_follow_up_keeps_what_stays_the_same(desk: Desk, qtbot: QtBot, shown: Shown, surveyed: Path) -> None:
    window, page = _opened(desk, qtbot, surveyed, shown)
    before = page.form.item
    qtbot.mouseClick(page.follow, Qt.MouseButton.LeftButton)
    survey = window.document.installation.tables["surveys"][page.form.item]
    assert survey.follows == before
    assert (survey.client, survey.surveyor) == ("Ternholm Yard", "P. Sandpiper")
    assert page.as_follow_up.isChecked()
    assert "Class A: 0" in page.counts.text()


def test_the_report_is_looked_at_and_written_as_docx(
    desk: Desk, qtbot: QtBot, shown: Shown, surveyed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window, page = _opened(desk, qtbot, surveyed, shown)
    qtbot.mouseClick(page.look, Qt.MouseButton.LeftButton)
    handover = window.pages.handover()
    qtbot.waitUntil(lambda: not handover.looking.is_going, timeout=60_000)
    assert window.middle.is_paper
    assert not handover.looking.is_older
    if where := os.environ.get("SURVEY_SHOTS"):
        qtbot.wait(1500)
        window.grab().save(f"{where}/surveys.png")
    target = tmp_path / "report.docx"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(target), ""))
    qtbot.mouseClick(page.write, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not page.writing.is_going, timeout=60_000)
    assert "Written:" in page.said.text()
    opened = docx.Document(str(target))
    assert any("Follow-up survey report: Razorbill" in p.text for p in opened.paragraphs)
    assert "is missing" not in "\n".join(p.text for p in opened.paragraphs)  # photographs came along
