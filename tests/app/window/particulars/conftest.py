"""A small boat, its document and its page, and the hands of the person who fills it in."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QLabel, QWidget
from pytestqt.qtbot import QtBot

from app.window.document import Document
from app.window.particulars import Particulars
from engine.builder import Builder
from engine.edits import SetFields
from engine.installation import Installation

DOWN = Qt.Key.Key_Down


class Desk:
    """A document, its page, and what a person does with it."""

    def __init__(self, qtbot: QtBot, installation: Installation, width: int = 340) -> None:
        self.qtbot = qtbot
        self.document = Document(installation)
        self.page = Particulars(self.document)
        qtbot.addWidget(self.page)
        self.page.resize(width, 700)
        self.page.show()
        qtbot.waitExposed(self.page)
        self.page.activateWindow()
        QApplication.processEvents()

    # -- looking ------------------------------------------------------------------------------------------------
    def entry(self, field: str) -> Any:
        return self.page.form.rows[field].entry

    def origin(self, field: str) -> Any:
        """The entry for where a value comes from, `None` where it is not to be seen."""
        found = self.page.form.rows[field]._origin
        return None if found is None or found.isHidden() else found

    def said(self, field: str) -> str:
        """What stands under a field."""
        labels = self.page.form.rows[field].findChildren(QLabel)
        return " ".join(label.text() for label in labels if not label.isHidden())

    def record(self, name: str) -> Any:
        return self.document.find(self.id(name))[1]

    def id(self, name: str) -> str:
        snapshot = self.document.snapshot()
        return next(item for table in snapshot.tables.values() for item in table if name in (item, snapshot.name(item)))

    def choose(self, *names: str) -> None:
        self.document.select(*(self.id(name) for name in names))

    @property
    def words(self) -> str:
        return self.document.history.undo_words

    # -- doing --------------------------------------------------------------------------------------------------
    def write(self, field: str | QWidget, text: str, end: Qt.Key | None = Qt.Key.Key_Return) -> None:
        """Type a text in place of what stands there; Enter after it unless told otherwise."""
        line = self.entry(field) if isinstance(field, str) else field
        line.setFocus()
        line.selectAll()
        self.qtbot.keyClick(line, Qt.Key.Key_Delete)
        for sign in text:
            if sign.isascii():
                self.qtbot.keyClicks(line, sign)
            else:  # QTest knows no key for it; a keyboard that has one sends its text
                for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
                    none = Qt.KeyboardModifier.NoModifier
                    QApplication.sendEvent(line, QKeyEvent(kind, Qt.Key.Key_unknown, none, sign))
        if end is not None:
            self.qtbot.keyClick(line, end)

    def step(self, box: Any, text: str, end: Qt.Key | None = Qt.Key.Key_Return) -> None:
        """Step to a line of a list by its keys."""
        box.setFocus()
        target = box.findText(text)
        assert target >= 0, f"{text!r} is none of {[box.itemText(i) for i in range(box.count())]}"
        self.qtbot.keyClick(box, Qt.Key.Key_Home)
        for _n in range(box.count()):
            if box.currentIndex() == target:
                break
            self.qtbot.keyClick(box, DOWN)
        assert box.currentText() == text
        if end is not None:
            self.qtbot.keyClick(box, end)

    def click(self, widget: QWidget) -> None:
        QApplication.processEvents()
        self.page._scroll.ensureWidgetVisible(widget)
        self.qtbot.mouseClick(widget, Qt.MouseButton.LeftButton)

    def change(self, name: str, **fields: Any) -> None:
        """Someone else changes the drawing."""
        item = self.id(name)
        table, _record = self.document.find(item)
        self.document.do(SetFields(table, item, tuple(fields.items()), "elsewhere"))


def boat() -> Builder:
    b = Builder(name="Sandling")
    b.place("Saloon", "accommodation", 30)
    b.place("Engine room", "diesel machinery", 60)
    b.add("battery_bank", "G1", unit_v=12, charge_v=14.4)
    b.add("fuse", "F1", rating_a=10, rated_dc_v=32)
    b.add("fuse", "F2", rating_a=20)
    b.add("battery_switch", "Q1", place="Engine room")
    b.add("load", "E1", dc_v=12)
    cable = {"size": "14 AWG", "insulation_c": 105, "bundle": 1, "places": ("Saloon",)}
    b.run("W1", "G1.pos", "F1.in", length_m=0.1, **cable)
    b.run("W2", "F1.out", "E1.in", length_m=2, **cable)
    b.condition("At anchor", Q1="closed")
    return b


@pytest.fixture
def builder() -> Builder:
    return boat()


@pytest.fixture
def desk(qtbot: QtBot, builder: Builder) -> Desk:
    return Desk(qtbot, builder.installation)
