"""The page of facts to read: filled by keyboard, one undoable edit a value, shorter once it is judged again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

pytestmark = pytest.mark.qt
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

from PySide6.QtCore import Qt  # noqa: E402
from PySide6.QtGui import QAccessible  # noqa: E402
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLineEdit, QWidget  # noqa: E402
from pytestqt.qtbot import QtBot  # noqa: E402

from app.judgement import Judgement  # noqa: E402
from app.window.main import Window  # noqa: E402
from app.window.missing.page import FactsPage  # noqa: E402
from app.window.start import Desk  # noqa: E402
from engine.builder import Builder  # noqa: E402
from engine.check import CheckResult  # noqa: E402
from engine.edits import SetFields  # noqa: E402
from engine.files.drawing import save  # noqa: E402
from engine.findings import NotJudged, Word  # noqa: E402

LONG = 30_000  # ms: a process starts on a busy machine
CTRL = Qt.KeyboardModifier.ControlModifier
Shown = Callable[[Window | None], Window]


@pytest.fixture
def boat(tmp_path: Path) -> Path:
    """A lamp behind a fuse whose current nobody has read."""
    b = Builder(name="Sandling")
    cable = {"insulation_c": 105, "bundle": 1}
    b.place("Engine room", "", 50)
    b.place("Saloon", "accommodation", 30)
    b.add("battery_bank", "G1", place="Engine room", unit_v=12, unit_ah=100, short_circuit_a=1200)
    b.add("fuse", "F1", place="Saloon", rated_dc_v=32, label="Lamp")
    b.add("load", "E1", place="Saloon", dc_v=12, power_w=60)
    b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=0.1, places=("Engine room",), **cable)
    b.run("W2", "F1.out", "E1.in", length_m=3, places=("Saloon",), **cable)
    path = tmp_path / "sandling.linewright"
    save(b.installation, path)
    return path


def gap(missing: str, rule: str = "overloaded", word: Word = "danger") -> NotJudged:
    return NotJudged(rule=rule, would_be=word, designations=(), ids=(), missing=(missing,))


def judge(window: Window, *gaps: NotJudged) -> None:
    """As the study process would tell it."""
    result = CheckResult(book="trade-na", title="", edition="1", basis="", binds="", law=None, not_judged=gaps)
    window.document._judged(Judgement(0, result, {}, {}))


def opened(desk: Desk, shown: Shown, path: Path, *gaps: NotJudged) -> tuple[Window, FactsPage]:
    window = shown(desk.open_path(path))
    judge(window, *gaps)
    window.show_page("missing")
    return window, window.pages.missing()


def labels(page: FactsPage) -> list[str]:
    return [row.field.label for row in page.rows]


def entry(page: FactsPage, label: str) -> QWidget:
    row = next(row for row in page.rows if row.field.label == label)
    stop = row.field.first_stop()
    assert stop is not None
    return stop


RATING, SIZE, KIND = "F1: rated current of the link", "W2: conductor size", "Engine room: kind of place"
THREE = (gap("W2.size"), gap("F1.rating_a"), gap("Engine room.kind", word="caution"))


def test_one_key_shows_what_is_missing_and_a_value_typed_shortens_the_list(
    judging_desk: Desk, shown: Shown, boat: Path, qtbot: QtBot
) -> None:
    window = shown(judging_desk.open_path(boat))
    qtbot.waitUntil(lambda: window.document.judgement is not None, timeout=LONG)
    window.board.setFocus()
    qtbot.keyClick(window.board, Qt.Key.Key_F12)
    assert window.page == "missing"
    page = window.pages.missing()
    qtbot.waitUntil(lambda: RATING in labels(page), timeout=LONG)
    before = len(page.missing)
    assert f"{before} facts are not recorded" in page.head.text()
    line = entry(page, RATING)
    line.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.keyClicks(line, "15")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    fuse = next(r for r in window.document.snapshot().equipment.values() if r.designation == "F1")
    assert fuse.rating_a == 15
    assert fuse.origin("rating_a") == "nameplate"
    qtbot.waitUntil(lambda: RATING not in labels(page), timeout=LONG)
    assert QApplication.focusWidget() is not None
    assert page.isAncestorOf(QApplication.focusWidget())
    window.document.undo()  # one step
    assert not window.document.is_dirty
    qtbot.waitUntil(lambda: RATING in labels(page), timeout=LONG)


def test_by_keyboard_alone_from_entry_to_entry(desk: Desk, shown: Shown, boat: Path, qtbot: QtBot) -> None:
    window, page = opened(desk, shown, boat, *THREE)
    assert labels(page) == [KIND, RATING, SIZE]
    kind = QApplication.focusWidget()
    assert isinstance(kind, QComboBox)
    assert kind is entry(page, KIND)
    qtbot.keyClick(kind, Qt.Key.Key_D)  # diesel machinery
    qtbot.keyClick(kind, Qt.Key.Key_Return)
    place = next(r for r in window.document.snapshot().places.values() if r.name == "Engine room")
    assert place.kind in ("diesel machinery", "deck")
    assert QApplication.focusWidget() is entry(page, RATING)
    qtbot.keyClicks(entry(page, RATING), "15")
    qtbot.keyClick(entry(page, RATING), Qt.Key.Key_Return)
    assert QApplication.focusWidget() is entry(page, SIZE)
    qtbot.keyClick(entry(page, SIZE), Qt.Key.Key_Z, CTRL)  # nothing is typed there: it is the drawing's
    fuse = next(r for r in window.document.snapshot().equipment.values() if r.designation == "F1")
    assert fuse.rating_a is None
    qtbot.keyClick(entry(page, SIZE), Qt.Key.Key_Return)  # the last one
    assert QApplication.focusWidget() is page.place


def test_what_cannot_be_read_stays_and_is_told(desk: Desk, shown: Shown, boat: Path, qtbot: QtBot) -> None:
    window, page = opened(desk, shown, boat, *THREE)
    line = entry(page, SIZE)
    line.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.keyClicks(line, "thick")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    row = next(row for row in page.rows if row.field.label == SIZE)
    assert "thick" in row.field.fault
    assert not window.document.is_dirty
    judge(window, gap("F1.rating_a"))  # nobody asks for it now: what is typed is not thrown away
    assert SIZE in labels(page)
    assert line.text() == "thick"
    assert SIZE in page.settle()


def test_a_row_goes_only_when_one_has_left_it_and_stays_where_it_stood(
    desk: Desk, shown: Shown, boat: Path, qtbot: QtBot
) -> None:
    window, page = opened(desk, shown, boat, *THREE)
    line = entry(page, RATING)
    line.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.keyClicks(line, "15 A")
    page.settle()
    judge(window, gap("W2.size"), gap("Engine room.kind"))
    assert labels(page) == [KIND, RATING, SIZE]
    assert QApplication.focusWidget() is line
    entry(page, SIZE).setFocus(Qt.FocusReason.TabFocusReason)
    assert labels(page) == [KIND, SIZE]
    assert QApplication.focusWidget() is entry(page, SIZE)


def test_only_one_place_and_only_grave_words(desk: Desk, shown: Shown, boat: Path) -> None:
    _window, page = opened(desk, shown, boat, *THREE, gap("vessel.hull", word="notice"))
    assert [page.place.itemText(n) for n in range(page.place.count())] == [
        *("Everywhere (4)", "Engine room (1)", "Saloon (2)", "Asked of the owner (1)"),
    ]
    page.place.setCurrentIndex(2)
    page.place.activated.emit(2)
    assert labels(page) == [RATING, SIZE]
    page.place.setCurrentIndex(0)
    page.word.setCurrentIndex(0)
    page.word.activated.emit(0)
    assert labels(page) == [RATING, SIZE]
    assert "2 facts are not recorded" in page.head.text()


def test_empty_it_says_why(desk: Desk, shown: Shown, boat: Path) -> None:
    window = shown(desk.open_path(boat))
    window.show_page("missing")
    page = window.pages.missing()
    assert page.head.text() == "Not yet judged."
    assert QApplication.focusWidget() is page.place
    judge(window)
    assert page.head.text() == "Nothing is missing: no rule asks for a fact that is not recorded."
    judge(window, gap("vessel.hull", word="notice"))
    page.word.setCurrentIndex(0)
    page.word.activated.emit(0)
    assert "others lack 1" in page.head.text()


def test_what_no_entry_can_tell_is_told_in_words(desk: Desk, shown: Shown, boat: Path) -> None:
    _window, page = opened(
        desk,
        shown,
        boat,
        gap("equipment.csv line 3: no such kind", rule="no-protection"),
        NotJudged(
            rule="sources-meet",
            would_be="danger",
            designations=("Q1",),
            ids=(),
            missing=(),
            why="its interlock is torn",
        ),
    )
    told = [label.text() for label in page._texts]
    assert any("equipment.csv line 3: no such kind" in text and "no-protection" in text for text in told)
    assert any("its interlock is torn" in text for text in told)


def test_of_very_many_the_first_are_shown_and_the_rest_counted(
    desk: Desk, shown: Shown, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.window.missing.page.MOST", 11)
    b = Builder(name="Sandling")
    for n in range(1, 16):
        b.add("fuse", f"F{n}")
    path = tmp_path / "many.linewright"
    save(b.installation, path)
    window, page = opened(desk, shown, path, *(gap(f"F{n}.rating_a") for n in range(1, 16)))
    assert len(page.rows) == 11
    assert labels(page)[9].startswith("F10:")
    assert any(label.text().startswith("4 more come up") for label in page._texts)
    judge(window, *(gap(f"F{n}.rating_a") for n in range(9, 16)))
    assert labels(page)[-1] == "F15: rated current of the link"


def test_it_follows_the_drawing_while_it_is_away(desk: Desk, shown: Shown, boat: Path) -> None:
    window, page = opened(desk, shown, boat, *THREE)
    window.show_page("table")
    fuse = next(i for i, r in window.document.snapshot().equipment.items() if r.designation == "F1")
    window.document.do(SetFields("equipment", fuse, (("label", "Reading lamp"),), "Name it"))
    judge(window, gap("F1.rating_a"))
    assert labels(page) == [KIND, RATING, SIZE]  # nobody looks
    window.show_page("missing")
    assert labels(page) == [RATING]
    assert "Reading lamp" in page.rows[0]._where.text()


def test_a_drawing_to_read_only_is_shown_and_takes_nothing(desk: Desk, shown: Shown, boat: Path) -> None:
    window, page = opened(desk, shown, boat, *THREE)
    window.document.read_only = "somebody else has it"
    window.document.headed.emit()
    line = entry(page, RATING)
    assert isinstance(line, QLineEdit)
    assert line.isReadOnly()
    assert not page.rows[0].field.entry.isEnabled()


def test_the_sheet_shows_what_it_is_about(desk: Desk, shown: Shown, boat: Path, qtbot: QtBot) -> None:
    window, page = opened(desk, shown, boat, *THREE)
    row = next(row for row in page.rows if row.field.label == RATING)
    qtbot.keyClick(row.show_button, Qt.Key.Key_Space)
    assert window.document.selection == (row.subject.id,)
    assert not page.rows[0].show_button.isVisible()  # a place stands on no sheet


def test_every_control_has_a_name_and_says_what_it_would_let_be_judged(desk: Desk, shown: Shown, boat: Path) -> None:
    _window, page = opened(desk, shown, boat, *THREE)
    controls = [*page.findChildren(QLineEdit), *page.findChildren(QComboBox), *page.findChildren(QAbstractButton)]
    for control in (page, *(c for c in controls if c.isVisible())):
        assert QAccessible.queryAccessibleInterface(control).text(QAccessible.Text.Name), control
    described = QAccessible.queryAccessibleInterface(entry(page, RATING)).text(QAccessible.Text.Description)
    assert "Needed to judge: overloaded (danger)" in described
