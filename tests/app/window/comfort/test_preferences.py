"""Preferences: what is chosen holds at once, is stored, and new drawings begin with it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QCheckBox, QComboBox, QLabel, QLineEdit, QSlider
from pytestqt.qtbot import QtBot

from app import words
from app.canvas.inks import use_inks
from app.settings import Settings
from app.window.comfort.preferences import Preferences
from app.window.main import Window
from app.window.start import Desk
from engine.edits import SetFields

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]


@pytest.fixture(autouse=True)
def as_before(qapp: QApplication) -> Iterator[None]:
    palette, font = qapp.palette(), qapp.font()
    yield
    words.load("en")
    use_inks("paper")
    qapp.styleHints().unsetColorScheme()
    qapp.setStyleSheet("")
    qapp.setPalette(palette)
    qapp.setFont(font)


def choose(page: Preferences, name: str, value: str) -> None:
    field = page.fields[name]
    assert isinstance(field, QComboBox)
    at = field.findData(value)
    assert at >= 0, (name, value)
    field.setCurrentIndex(at)


def test_what_is_chosen_holds_at_once_and_is_stored(desk: Desk, shown: Shown, qtbot: QtBot, tmp_path: Path) -> None:
    window = shown(desk.new())
    window.menus.call("preferences")
    page = window.pages.preferences()
    assert window.focusWidget() is page.fields["language"]
    choose(page, "look", "dark")
    QApplication.processEvents()  # Qt hands a palette on when it has its turn
    assert window.palette().window().color().lightness() < 80
    size = page.fields["text_percent"]
    assert isinstance(size, QSlider)
    before = window.font().pointSizeF()
    size.setFocus()
    qtbot.keyClick(size, Qt.Key.Key_End)
    QApplication.processEvents()
    assert window.font().pointSizeF() == pytest.approx(2 * before)
    still = page.fields["reduced_motion"]
    assert isinstance(still, QCheckBox)
    still.click()
    for name, value in (
        ("new_units", "US"),
        ("new_symbols", "IEEE 315"),
        ("new_sheet_size", "A2"),
        ("new_book", "abyc"),
    ):
        field = page.fields[name]
        assert isinstance(field, QComboBox)
        choose(page, name, value if field.findData(value) >= 0 else field.itemData(1))
    folder = page.fields["rules_folder"]
    assert isinstance(folder, QLineEdit)
    folder.setText(str(tmp_path / "none"))
    folder.editingFinished.emit()
    assert window.foot.message == f"Not done: {tmp_path / 'none'} is no folder."
    folder.setText(str(tmp_path))
    folder.editingFinished.emit()
    stored = Settings(desk.settings.path)
    assert [stored.get(n) for n in ("look", "text_percent", "reduced_motion", "new_units", "new_sheet_size")] == [
        "dark", 200, True, "US", "A2",
    ]  # fmt: skip
    assert stored.get("rules_folder") == str(tmp_path)
    settings = desk.new().document.installation.settings
    assert (settings.units, settings.symbols, settings.sheet_size) == ("US", "IEEE 315", "A2")
    assert settings.book == stored.get("new_book")
    assert desk.windows[-1].document.snapshot().sheets[desk.windows[-1].document.sheet].size == "A2"


def test_every_field_has_a_name_and_no_word_is_cut(desk: Desk, shown: Shown) -> None:
    desk.settings.set("text_percent", 200)
    desk.wear_look()
    window = shown(desk.new())
    window.resize(1300, 900)
    window.show_page("preferences")
    page = window.pages.preferences()
    QApplication.processEvents()
    for name, field in page.fields.items():
        assert field.accessibleName(), name
        assert field.height() >= field.minimumSizeHint().height(), name
    for label in page.findChildren(QLabel):
        wanted = label.heightForWidth(label.width()) if label.wordWrap() else label.sizeHint().height()
        assert label.height() >= wanted, label.text()
    assert page.sight.widget().width() <= page.sight.viewport().width()


def test_another_language_is_spoken_at_once_and_the_work_goes_on(desk: Desk, shown: Shown, ketch: Path) -> None:
    if "de" not in words.languages():
        pytest.fail("the German catalogue is missing")
    words.load("en")
    window = shown(desk.open_path(ketch))
    equipment = next(iter(window.document.snapshot().equipment))
    window.document.select(equipment)
    window.document.do(SetFields("vessel", "vessel", (("name", "Heron"),), words="Call her Heron"))
    journal, history = window.document.journal, window.document.history
    window.show_page("preferences")
    choose(window.pages.preferences(), "language", "de")
    assert len(desk.windows) == 1
    made = desk.windows[0]
    assert made is not window
    assert made.page == "preferences"
    assert made.document.history is history
    assert made.document.journal is journal
    assert made.document.selection == (equipment,)
    assert made.isWindowModified()
    assert made.document.lock is not None
    made.document.undo()
    assert made.document.installation.vessel.name == "Dunlin"
    assert words.speaks() == "de"
