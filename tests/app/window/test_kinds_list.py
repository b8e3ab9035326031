"""The list of equipment one types into, with real keys and mouse."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage, QPalette
from PySide6.QtWidgets import QLabel, QWidget
from pytestqt.qtbot import QtBot

from app.window.kinds_list import KindsList, matching
from engine.equipment import FAMILIES, kinds

pytestmark = pytest.mark.qt
KIND = Qt.ItemDataRole.UserRole


@pytest.fixture
def kinds_list(qtbot: QtBot) -> KindsList:
    widget = KindsList()
    qtbot.addWidget(widget)
    widget.resize(300, 600)
    widget.show()
    widget.line.setFocus()
    return widget


def rows(widget: KindsList) -> list[str]:
    return [widget.list.item(n).data(KIND) for n in range(widget.list.count()) if widget.list.item(n).data(KIND)]


def headings(widget: KindsList) -> list[str]:
    return [widget.list.item(n).text() for n in range(widget.list.count()) if not widget.list.item(n).data(KIND)]


def test_every_kind_is_listed_once_by_family(kinds_list: KindsList) -> None:
    assert sorted(rows(kinds_list)) == sorted(kinds())
    families = [kinds()[kind].__module__.split(".")[-2] for kind in rows(kinds_list)]
    assert families == sorted(families, key=FAMILIES.index)
    assert len(headings(kinds_list)) == len(FAMILIES)


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("fuse", "fuse"),
        ("FUSE", "fuse"),
        ("fuse_holder", "fuse_holder"),
        ("hold fuse", "fuse_holder"),
        ("f", "fuse"),
        ("pump", "motor"),
        ("rcd", "residual_current_device"),
        ("bms", "battery_management"),
        ("dc-dc", "dc_dc_converter"),
        ("inverter/charger", "inverter_charger"),
        ("  bus   bar ", "bus_bar"),
        ("remote disconnect", "remote_battery_switch"),
        ("both", "selector"),
        ("lamp", "load"),
    ],
)
def test_what_is_typed_finds_the_kind_first(text: str, first: str) -> None:
    assert matching(text)[0] == first


def test_every_typed_word_must_fit() -> None:
    assert "fuse" in matching("fuse")
    assert "fuse" not in matching("fuse inverter")
    assert matching("fuse nonsense") == []
    assert matching("§%&") == []
    assert matching("   ") == matching("")


def test_every_kind_is_found_by_its_own_name() -> None:
    for kind, cls in kinds().items():
        assert kind in matching(cls.NAME)[:2], kind
        assert kind in matching(kind)[:2], kind
        for letter in cls.LETTERS:
            assert kind in matching(letter.lower()), kind


def test_typing_and_enter_take_the_first(kinds_list: KindsList, qtbot: QtBot) -> None:
    qtbot.keyClicks(kinds_list.line, "circ")
    with qtbot.waitSignal(kinds_list.chosen) as got:
        qtbot.keyClick(kinds_list.line, Qt.Key.Key_Return)
    assert got.args == ["circuit_breaker"]
    assert kinds_list.line.text() == ""
    assert rows(kinds_list)[0] == "circuit_breaker"
    assert headings(kinds_list)[0] == "Lately used"


def test_down_and_up_pass_over_the_headings(kinds_list: KindsList, qtbot: QtBot) -> None:
    seen = []
    for _n in range(len(kinds()) + 5):
        seen.append(kinds_list.list.currentItem().data(KIND))
        qtbot.keyClick(kinds_list.line, Qt.Key.Key_Down)
    assert list(dict.fromkeys(seen)) == rows(kinds_list)
    assert seen[-1] == rows(kinds_list)[-1]
    for _n in range(len(kinds()) + 5):
        qtbot.keyClick(kinds_list.line, Qt.Key.Key_Up)
    with qtbot.waitSignal(kinds_list.chosen) as got:
        qtbot.keyClick(kinds_list.line, Qt.Key.Key_Enter)
    assert got.args == [rows(kinds_list)[0]]


def test_a_click_takes_a_kind_and_a_heading_does_nothing(kinds_list: KindsList, qtbot: QtBot) -> None:
    got: list[str] = []
    kinds_list.chosen.connect(got.append)
    heading = kinds_list.list.visualItemRect(kinds_list.list.item(0)).center()
    qtbot.mouseClick(kinds_list.list.viewport(), Qt.MouseButton.LeftButton, pos=heading)
    assert got == []
    third = kinds_list.list.visualItemRect(kinds_list.list.item(3)).center()
    qtbot.mouseClick(kinds_list.list.viewport(), Qt.MouseButton.LeftButton, pos=third)
    assert got == ["battery_management"]


def test_typing_in_the_list_goes_to_the_line(kinds_list: KindsList, qtbot: QtBot) -> None:
    kinds_list.list.setFocus()
    qtbot.keyClick(kinds_list.list, Qt.Key.Key_S)
    qtbot.keyClicks(kinds_list.line, "hun")
    assert kinds_list.line.text() == "shun"
    kinds_list.list.setFocus()
    qtbot.keyClick(kinds_list.list, Qt.Key.Key_Backspace)
    assert kinds_list.line.text() == "shu"
    with qtbot.waitSignal(kinds_list.chosen) as got:
        qtbot.keyClick(kinds_list.list, Qt.Key.Key_Return)
    assert got.args == ["shunt"]


def test_no_match_says_so_and_escape_brings_everything_back(kinds_list: KindsList, qtbot: QtBot) -> None:
    got: list[str] = []
    kinds_list.chosen.connect(got.append)
    qtbot.keyClicks(kinds_list.line, "<b>flux")
    assert kinds_list.list.isHidden()
    assert kinds_list.none.isVisible()
    assert kinds_list.none.text().startswith("No kind of equipment answers to “<b>flux”.")
    assert kinds_list.none.textFormat() == Qt.TextFormat.PlainText
    assert kinds_list.line.accessibleDescription() == kinds_list.none.text()
    qtbot.keyClick(kinds_list.line, Qt.Key.Key_Return)
    assert got == []
    qtbot.keyClick(kinds_list.line, Qt.Key.Key_Escape)
    assert kinds_list.line.text() == ""
    assert len(rows(kinds_list)) == len(kinds())


def test_lately_used_come_first_once_each_and_only_known_ones(kinds_list: KindsList, qtbot: QtBot) -> None:
    kinds_list.set_recent(("fuse", "gone_kind", "meter", "fuse"))
    assert kinds_list.recent == ("fuse", "meter")
    assert rows(kinds_list)[:2] == ["fuse", "meter"]
    qtbot.keyClicks(kinds_list.line, "meter")
    qtbot.keyClick(kinds_list.line, Qt.Key.Key_Return)
    assert kinds_list.recent == ("meter", "fuse")
    kinds_list.set_recent(tuple(kinds()))
    assert len(kinds_list.recent) == 6
    # of kinds that fit alike the one lately used stands first
    assert matching("f", ("anode",)).index("anode") < matching("f").index("anode")


def test_names_for_those_who_hear_the_screen(kinds_list: KindsList) -> None:
    for child in (kinds_list, kinds_list.line, kinds_list.list):
        assert child.accessibleName()
    for n in range(kinds_list.list.count()):
        item = kinds_list.list.item(n)
        if item.data(KIND):
            told = item.data(Qt.ItemDataRole.AccessibleTextRole)
            assert kinds()[item.data(KIND)].NAME in told
            assert "letter" in told
            assert item.toolTip()
    assert [c for c in kinds_list.findChildren(QWidget) if isinstance(c, QLabel)] == [kinds_list.none]


def _lightness(image: QImage) -> set[int]:
    """How light what is drawn is, nothing of its soft edges."""
    every = (image.pixelColor(x, y) for x in range(image.width()) for y in range(image.height()))
    return {round(c.lightness() / 64) for c in every if c.alpha() > 150}


def test_pictures_follow_the_palette_and_every_kind_has_one(kinds_list: KindsList) -> None:
    def pictures() -> dict[str, QImage]:
        made = {}
        for n in range(kinds_list.list.count()):
            item = kinds_list.list.item(n)
            if item.data(KIND):
                made[item.data(KIND)] = item.icon().pixmap(36, 36).toImage()
        return made

    palette = kinds_list.palette()
    palette.setColor(QPalette.ColorRole.Text, QColor("#fefefe"))
    palette.setColor(QPalette.ColorRole.Base, QColor("#101010"))
    kinds_list.setPalette(palette)
    dark = pictures()
    assert set(dark) == set(kinds())
    for kind, image in dark.items():
        assert 4 in _lightness(image), kind
    palette.setColor(QPalette.ColorRole.Text, QColor("#010101"))
    palette.setColor(QPalette.ColorRole.Base, QColor("#020202"))
    kinds_list.setPalette(palette)
    for kind, image in pictures().items():
        assert _lightness(image) == {0}, kind


def test_page_down_in_the_line_turns_the_list(kinds_list: KindsList, qtbot: QtBot) -> None:
    before = kinds_list.list.currentRow()
    qtbot.keyClick(kinds_list.line, Qt.Key.Key_PageDown)
    assert kinds_list.list.currentRow() > before + 3
    assert kinds_list.list.currentItem().data(KIND)
    qtbot.mouseClick(kinds_list.line, Qt.MouseButton.LeftButton, pos=QPoint(5, 5))
    assert kinds_list.line.hasFocus() or not kinds_list.isActiveWindow()
