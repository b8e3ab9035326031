"""What the tests of the table share: a small drawing, judged in this process, and the page on it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtWidgets import QComboBox, QLineEdit
from pytestqt.qtbot import QtBot

from app.judgement import Judgement
from app.window.document import Document
from app.window.table import TablePage
from engine.builder import Builder
from engine.check import check


@pytest.fixture
def judge() -> Callable[[Document], None]:
    """Has a drawing judged here and now."""

    def judged(document: Document) -> None:
        result = check(document.snapshot())
        document._judged(Judgement(0, result, {f.key: n for n, f in enumerate(result.findings, 1)}, {}))

    return judged


@pytest.fixture
def document() -> Document:
    b = Builder(name="Knot")
    b.place("Saloon", "accommodation", 30)
    b.place("Bilge", "wet", 30)
    b.add("battery_bank", "G1", label="House bank", unit_v=12, charge_v=14.4)
    for n, rating in ((1, 10), (2, None), (10, 200)):
        b.add("fuse", f"F{n}", label=f"Circuit {n}", rating_a=rating, rated_dc_v=32)
        b.add("load", f"E{n}", dc_v=12, power_w=20)
        b.run(
            f"W{n}", "G1.pos", f"F{n}.in", length_m=0.1, size="14 AWG", insulation_c=105, bundle=1, places=("Saloon",)
        )
        b.run(f"W{n}0", f"F{n}.out", f"E{n}.in", length_m=2, size="14 AWG", insulation_c=105, places=("Saloon",))
    return Document(b.installation)


@pytest.fixture
def judged(document: Document, judge: Callable[[Document], None]) -> Document:
    judge(document)
    return document


@pytest.fixture
def page(qtbot: QtBot, judged: Document) -> TablePage:
    made = TablePage(judged)
    qtbot.addWidget(made)
    made.resize(1000, 500)
    made.show()
    qtbot.waitExposed(made)
    return made


class Hands:
    """What a person does with the table, and sees of it."""

    def __init__(self, qtbot: QtBot, page: TablePage) -> None:
        self.qtbot, self.page, self.document = qtbot, page, page.document

    def cell(self, name: str, column: str) -> QModelIndex:
        """The index of a cell as it is shown."""
        rows = self.page.rows
        n = rows.column_number(column)
        assert n >= 0, column
        item = next(row.item for row in rows.rows if rows.facts.name(row) == name)
        index = self.page.order.mapFromSource(rows.index(rows.at[item], n))
        assert index.isValid(), name
        return index

    def shown(self, column: str = "designation") -> list[str]:
        """A column as it is shown, from top to bottom."""
        n = self.page.rows.column_number(column)
        return [self.page.order.index(r, n).data() for r in range(self.page.order.rowCount())]

    def record(self, name: str) -> Any:
        """The record of a designation."""
        table, item = self.document.installation.find(name)[0]
        return self.document.installation.get(table, item)

    def editor(self) -> QLineEdit | QComboBox:
        """The editor that is open."""
        found = self.page.focusWidget()  # without a window manager no window is active
        assert isinstance(found, (QLineEdit, QComboBox)), found
        assert self.page.table.isAncestorOf(found)
        return found

    def fill(self, text: str) -> None:
        """Type into the cell one is in: the first letter opens it."""
        self.page.table.setFocus()
        self.qtbot.keyClick(self.page.table, text[0])
        self.qtbot.keyClicks(self.editor(), text[1:])

    def show(self, key: str) -> None:
        """Choose what to show with the keyboard."""
        box = self.page.show_what
        box.setFocus()
        number = box.findData(key)
        assert number >= 0
        self.qtbot.keyClick(box, Qt.Key.Key_Home)
        for _n in range(number):
            self.qtbot.keyClick(box, Qt.Key.Key_Down)
        assert self.page.rows.choice.key == key

    def click(
        self,
        name: str,
        column: str,
        *,
        double: bool = False,
        held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
    ) -> None:
        """Click a cell, twice where `double`."""
        index = self.cell(name, column)
        view = self.page.table
        view.scrollTo(index)
        place = view.visualRect(index).center()
        self.qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, held, place)
        if double:
            self.qtbot.mouseDClick(view.viewport(), Qt.MouseButton.LeftButton, held, place)


@pytest.fixture
def hands(qtbot: QtBot, page: TablePage) -> Hands:
    return Hands(qtbot, page)
