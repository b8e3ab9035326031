"""The page of deficiencies: list, filters, surveys, the form by keyboard, closing with evidence, the cautions."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLabel
from pytestqt.qtbot import QtBot

from app.window.deficiencies.current import choose_survey, current_survey
from app.window.deficiencies.page import DeficienciesPage
from app.window.main import Window
from app.window.start import Desk
from engine.cautions import CAUTIONS
from engine.deficiencies import mark
from engine.edits import Put
from engine.installation import Deficiency, Survey

pytestmark = pytest.mark.qt
Show = Callable[[Window | None], Window]
LAUNCH = Path(__file__).parents[4] / "samples" / "launch" / "launch.linewright"


@pytest.fixture
def window(desk: Desk, tmp_path: Path, shown: Show) -> Window:
    path = tmp_path / "launch.linewright"
    path.write_bytes(LAUNCH.read_bytes())
    made = shown(desk.open_path(str(path)))
    vessel = msgspec.structs.replace(made.document.installation.vessel, build_year=1987)
    made.document.do(Put("vessel", "vessel", vessel))
    return made


def put(window: Window, **fields: object) -> str:
    document = window.document
    item = document.installation.new_id("deficiencies")
    document.do(mark(document.snapshot(), item, Deficiency(**{"observation": "burnt lug", **fields})))  # type: ignore[arg-type]
    return item


def survey(window: Window, **fields: object) -> str:
    item = window.document.installation.new_id("surveys")
    window.document.do(Put("surveys", item, Survey(**fields)))  # type: ignore[arg-type]
    return item


def open_page(window: Window) -> DeficienciesPage:
    window.show_page("deficiencies")
    page = window.pages.deficiencies()
    page.today = page.form.today = lambda: datetime.date(2026, 5, 9)
    return page


def texts(page: DeficienciesPage) -> list[str]:
    return [page.list.item(n).text() for n in range(page.list.count())]


def choose(qtbot: QtBot, combo: QComboBox, data: object) -> None:
    """As with the arrow keys in the closed box."""
    combo.setFocus()
    index = combo.findData(data)
    while combo.currentIndex() != index:
        qtbot.keyClick(combo, Qt.Key.Key_Down if combo.currentIndex() < index else Qt.Key.Key_Up)


def test_rows_say_number_class_place_and_standing_and_are_filtered(qtbot: QtBot, window: Window) -> None:
    q1 = window.document.installation.find("Q1")[0][1]
    put(window, at=q1, grade="C", observation="dirty")
    put(window, at=q1, grade="A", observation="burnt lug", status="in hand")
    page = open_page(window)
    assert texts(page) == ["2  A  Q1, Battery box: burnt lug (in hand)", "1  C  Q1, Battery box: dirty (open)"]
    assert page.count.text() == "2 deficiencies, 2 not closed."
    choose(qtbot, page.grade, "C")
    assert texts(page) == ["1  C  Q1, Battery box: dirty (open)"]
    choose(qtbot, page.grade, "*")
    choose(qtbot, page.status, "in hand")
    assert texts(page) == ["2  A  Q1, Battery box: burnt lug (in hand)"]


def test_the_cautions_stand_on_the_page(window: Window) -> None:
    page = open_page(window)
    told = " ".join(label.text() for label in page.findChildren(QLabel))
    for text in CAUTIONS:
        assert text in told


def test_a_survey_is_begun_chosen_and_has_its_own(qtbot: QtBot, window: Window) -> None:
    first = survey(window, name="Spring", date="2026-03-01", surveyor="R. Tern")
    put(window, survey=first, observation="old one")
    page = open_page(window)
    assert current_survey(window.document) == first
    qtbot.mouseClick(page.new_button, Qt.MouseButton.LeftButton)
    second = current_survey(window.document)
    assert second != first
    record = window.document.snapshot().surveys[second]
    assert (record.date, record.surveyor, record.follows) == ("2026-05-09", "R. Tern", first)
    assert texts(page) == []
    assert "1 more of other surveys." in page.count.text()
    choose_survey(window.document, first)
    assert [t for t in texts(page) if "old one" in t]
    window.document.undo()
    assert current_survey(window.document) == first


def test_each_field_is_one_edit_by_keyboard(qtbot: QtBot, window: Window) -> None:
    item = put(window, at=window.document.installation.find("Q1")[0][1])
    page = open_page(window)
    page.list.setFocus()
    qtbot.keyClick(page.list, Qt.Key.Key_Return)
    assert page.form.grade.hasFocus()
    choose(qtbot, page.form.grade, "B")
    qtbot.keyClick(window.focusWidget(), Qt.Key.Key_Tab)
    qtbot.keyClick(window.focusWidget(), Qt.Key.Key_Tab)
    qtbot.keyClicks(window.focusWidget(), "fire")
    qtbot.keyClick(window.focusWidget(), Qt.Key.Key_Tab)
    qtbot.keyClicks(window.focusWidget(), "renew it")
    qtbot.keyClick(window.focusWidget(), Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    record = window.document.snapshot().deficiencies[item]
    assert (record.grade, record.risk, record.recommendation) == ("B", "fire", "renew it")
    window.document.undo()
    assert window.document.snapshot().deficiencies[item].recommendation == ""


def test_the_basis_is_told_beside_it_and_never_as_a_breach_of_what_is_younger(qtbot: QtBot, window: Window) -> None:
    put(window)
    form = open_page(window).form
    choose(qtbot, form.basis, "standard when built")
    form.fields["standard"].setFocus()
    qtbot.keyClicks(form.fields["standard"], "ISO 13297:2020")
    qtbot.keyClick(form.fields["standard"], Qt.Key.Key_Return)
    assert "would not be asked of a vessel built 1987; recommended" in form.standing.text()
    assert "not met" not in form.standing.text()


def test_closing_asks_for_evidence_who_and_day(qtbot: QtBot, window: Window) -> None:
    item = put(window)
    page = open_page(window)
    form = page.form
    qtbot.keyClick(form.status, Qt.Key.Key_C)
    assert window.document.snapshot().deficiencies[item].status == "open"  # not by choosing alone
    assert form.evidence.hasFocus()
    assert page.strips[1].isVisible()
    assert form.closed.text() == "2026-05-09"
    qtbot.keyClick(form.record_button, Qt.Key.Key_Space)
    assert "words or a photograph" in form.lacking.text()
    assert window.document.snapshot().deficiencies[item].status == "open"
    form.evidence.setFocus()
    qtbot.keyClicks(form.evidence, "new lug in place")
    put(window, observation="another meanwhile")
    assert form.evidence.toPlainText() == "new lug in place"  # whatever else is done meanwhile
    qtbot.keyClick(form.record_button, Qt.Key.Key_Space)
    assert "name" in form.lacking.text()
    form.closed_by.setFocus()
    qtbot.keyClicks(form.closed_by, "R. Tern")
    qtbot.keyClick(form.record_button, Qt.Key.Key_Space)
    record = window.document.snapshot().deficiencies[item]
    assert (record.status, record.closed_by, record.closed) == ("closed", "R. Tern", "2026-05-09")
    assert record.evidence == "new lug in place"
    assert "(closed)" in texts(page)[0]
    qtbot.keyClick(form.status, Qt.Key.Key_Home)
    assert window.document.snapshot().deficiencies[item].status == "open"


def test_not_agreed_needs_the_answer(qtbot: QtBot, window: Window) -> None:
    item = put(window)
    form = open_page(window).form
    qtbot.keyClick(form.status, Qt.Key.Key_N)
    qtbot.keyClick(form.record_button, Qt.Key.Key_Space)
    assert "answer" in form.lacking.text()
    form.answer.setFocus()
    qtbot.keyClicks(form.answer, "She is sold.")
    qtbot.keyClick(form.record_button, Qt.Key.Key_Space)
    assert window.document.snapshot().deficiencies[item].answer == "She is sold."


def test_what_is_half_typed_is_given_before_saving(qtbot: QtBot, window: Window) -> None:
    item = put(window)
    page = open_page(window)
    risk = page.form.fields["risk"]
    risk.setFocus()
    qtbot.keyClicks(risk, "fire")
    assert window.pages.settle() == ""
    assert window.document.snapshot().deficiencies[item].risk == "fire"


def test_read_only_changes_nothing(window: Window) -> None:
    put(window)
    window.document.read_only = "it is open elsewhere"
    page = open_page(window)
    window.document.headed.emit()
    assert not page.form.isEnabled()
    assert not page.mark_button.isEnabled()
    assert not page.strips[0].choose_button.isEnabled()
