"""The parts round the sheet: conditions along the top, messages, the foot."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton, QToolButton
from pytestqt.qtbot import QtBot

from app.judgement import Judgement
from app.window.banner import Banner
from app.window.conditions import ConditionsBar
from app.window.document import Document
from app.window.foot import Foot
from engine.check import check
from engine.edits import Put, SetFields
from engine.files.drawing import load
from engine.installation import Condition, Installation, Sheet

pytestmark = pytest.mark.qt
KETCH = Path(__file__).parents[3] / "samples" / "ketch" / "ketch.linewright"


@pytest.fixture
def document() -> Document:
    return Document(load(KETCH).installation, KETCH)


def _labels(bar: ConditionsBar) -> list[str]:
    return [b.text() for b in bar.findChildren(QToolButton) if b.isCheckable()]


def test_every_condition_has_its_button_as_drawn_first(qtbot: QtBot, document: Document) -> None:
    bar = ConditionsBar(document)
    qtbot.addWidget(bar)
    bar.show()
    names = [c.name for c in sorted(document.snapshot().conditions.values(), key=lambda c: c.order)]
    assert _labels(bar)[0] == "As drawn"
    assert [text.removeprefix("Stage: ") for text in _labels(bar)[1:]] == names
    button = next(b for b in bar.findChildren(QToolButton) if b.text() == _labels(bar)[1])
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert document.snapshot().conditions[document.condition].name == names[0]
    assert button.isChecked()


def test_left_and_right_go_along_the_conditions(qtbot: QtBot, document: Document) -> None:
    bar = ConditionsBar(document)
    qtbot.addWidget(bar)
    bar.show()
    bar.activateWindow()
    bar.take_focus()
    qtbot.waitUntil(lambda: any(b.hasFocus() for b in bar.findChildren(QToolButton)))
    qtbot.keyClick(bar.focusWidget(), Qt.Key.Key_Right)
    qtbot.keyClick(bar.focusWidget(), Qt.Key.Key_Space)
    assert document.condition != ""


def test_a_new_condition_begins_as_what_is_shown(qtbot: QtBot, document: Document) -> None:
    bar = ConditionsBar(document)
    qtbot.addWidget(bar)
    first = min(document.snapshot().conditions.items(), key=lambda c: c[1].order)
    document.set_condition(first[0])
    wanted: list[tuple[str, str]] = []
    bar.wanted.connect(lambda table, item: wanted.append((table, item)))
    qtbot.mouseClick(bar.new, Qt.MouseButton.LeftButton)
    made = document.snapshot().conditions[document.condition]
    assert document.condition != first[0]
    assert made.settings == first[1].settings
    assert wanted == [("conditions", document.condition)]
    assert made.name in _labels(bar)
    document.undo()
    assert document.condition == ""
    assert made.name not in _labels(bar)


def test_a_condition_renamed_elsewhere_is_renamed_here(qtbot: QtBot, document: Document) -> None:
    bar = ConditionsBar(document)
    qtbot.addWidget(bar)
    item = next(iter(document.snapshot().conditions))
    document.do(SetFields("conditions", item, (("name", "Alongside & quiet"),)))
    assert "Alongside && quiet" in _labels(bar)


def test_read_only_makes_no_condition(qtbot: QtBot, document: Document) -> None:
    document.read_only = "ada has it"
    bar = ConditionsBar(document)
    qtbot.addWidget(bar)
    assert not bar.new.isEnabled()


def test_messages_stand_under_their_key_and_can_be_put_away(qtbot: QtBot) -> None:
    banner = Banner()
    qtbot.addWidget(banner)
    pressed: list[int] = []
    banner.tell("a", "First.", ("Do it", lambda: pressed.append(1)))
    banner.tell("b", "Second.", closable=False)
    banner.tell("a", "First, again.", ("Do it", lambda: pressed.append(1)))
    assert banner.told() == {"a": "First, again.", "b": "Second."}
    do = next(b for b in banner.findChildren(QPushButton) if b.text() == "Do it" and b.isVisibleTo(banner))
    qtbot.mouseClick(do, Qt.MouseButton.LeftButton)
    assert pressed == [1]
    away = next(b for b in banner.findChildren(QPushButton) if b.text() == "Put away" and b.isVisibleTo(banner))
    qtbot.mouseClick(away, Qt.MouseButton.LeftButton)
    assert banner.told() == {"b": "Second."}
    banner.drop("b")
    assert banner.isHidden()


def test_the_foot_turns_sheets_and_follows(qtbot: QtBot, document: Document) -> None:
    foot = Foot(document)
    qtbot.addWidget(foot)
    foot.resize(1200, 60)
    foot.show()
    sheets = document.sheets()
    qtbot.mouseClick(foot.sheets, Qt.MouseButton.LeftButton, pos=foot.sheets.tabRect(1).center())
    assert document.sheet == sheets[1]
    document.turn_to(sheets[2])
    assert foot.sheets.currentIndex() == 2
    document.do(Put("sheets", document.installation.new_id("sheets"), Sheet(title="Masthead", number=99)))
    assert foot.sheets.tabText(len(sheets)).endswith("Masthead")
    document.undo()
    assert foot.sheets.count() == len(sheets)


def test_what_was_found_stands_in_the_foot_and_leads_to_the_notes(qtbot: QtBot, document: Document) -> None:
    foot = Foot(document)
    qtbot.addWidget(foot)
    result = check(document.snapshot())
    document._judged(Judgement(1, result, {}, {}))
    assert foot.found.text() == result.summary()
    with qtbot.waitSignal(foot.notes_wanted):
        qtbot.mouseClick(foot.found, Qt.MouseButton.LeftButton)


def test_a_long_message_is_cut_not_the_window_widened(qtbot: QtBot, document: Document) -> None:
    foot = Foot(document)
    qtbot.addWidget(foot)
    foot.resize(700, 60)
    foot.show()
    foot.refuse("a " * 500)
    assert foot.width() == 700
    assert foot.message.startswith("Not done: a a a")
    assert foot.minimumSizeHint().width() < 700


def test_conditions_of_an_empty_drawing(qtbot: QtBot) -> None:
    from app.window.files import begin_new

    document = begin_new()
    bar = ConditionsBar(document)
    qtbot.addWidget(bar)
    assert _labels(bar) == ["As drawn"]
    document.do(Put("conditions", document.installation.new_id("conditions"), Condition(name="At anchor")))
    assert _labels(bar) == ["As drawn", "At anchor"]


def test_what_was_found_is_never_told_of_a_later_state(qtbot: QtBot, document: Document) -> None:
    foot = Foot(document)
    qtbot.addWidget(foot)
    assert foot.found.text() == "Not judged yet"
    document._judged(Judgement(1, check(document.snapshot()), {}, {}))
    found = foot.found.text()
    assert found[0].isdigit()
    document.do(SetFields("vessel", "vessel", (("name", "Avocet"),)))
    qtbot.waitUntil(lambda: foot.found.text() == f"Being judged… Before the last change: {found}")
    assert foot.found.text() in foot.found.accessibleName()
    document._judged(Judgement(2, check(document.snapshot()), {}, {}))
    assert foot.found.text() == found


def test_an_empty_drawing_does_not_look_clean(qtbot: QtBot) -> None:
    empty = Document(Installation())
    foot = Foot(empty)
    qtbot.addWidget(foot)
    empty._judged(Judgement(1, check(empty.snapshot()), {}, {}))
    assert foot.found.text() == "Nothing is drawn yet"
