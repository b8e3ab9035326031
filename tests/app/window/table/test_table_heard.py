"""The table as a screen reader meets it: every control has a name and a role, every cell says what it is."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLabel, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from app.window.document import Document
from app.window.table import TablePage

pytestmark = pytest.mark.qt


def test_every_control_has_a_name_and_a_role(page: TablePage) -> None:
    seen = 0
    for widget in (page, *page.findChildren(QWidget)):
        if not (isinstance(widget, (QAbstractButton, QComboBox, QLineEdit)) or widget in (page, page.table)):
            continue
        if widget.parent() is not None and isinstance(widget.parent(), (QComboBox, QLineEdit)):
            continue  # Qt's own button inside a line
        if widget.metaObject().className() == "QTableCornerButton":
            continue
        seen += 1
        met = QAccessible.queryAccessibleInterface(widget)
        assert met.text(QAccessible.Text.Name), widget
        assert met.role() != QAccessible.Role.NoRole, widget
    assert seen >= 8
    for label in page.findChildren(QLabel):
        assert label.accessibleName()


def test_every_cell_says_whose_it_is_what_it_is_and_what_it_says(page: TablePage) -> None:
    page.show_rows("kind:fuse")
    met = QAccessible.queryAccessibleInterface(page.table)
    assert met.role() == QAccessible.Role.Table
    children = [met.child(n) for n in range(met.childCount())]
    heads = [c.text(QAccessible.Text.Name) for c in children if c.role() == QAccessible.Role.ColumnHeader]
    assert len(heads) == len(page.rows.columns)
    assert "Rated current of the link, in A" in heads
    cells = [c.text(QAccessible.Text.Name) for c in children if c.role() == QAccessible.Role.Cell]
    assert len(cells) == 3 * len(page.rows.columns)
    assert all(said.startswith(("F1, ", "F2, ", "F10, ")) for said in cells)
    for said in (
        "F10, rated current of the link: 200 A",
        "F2, rated current of the link: not recorded",
        "F2, findings: none",
    ):
        assert said in cells


def test_headings_tell_their_unit_and_their_help(page: TablePage) -> None:
    page.show_rows("kind:fuse")
    across = Qt.Orientation.Horizontal
    for n, column in enumerate(page.rows.columns):
        told = page.rows.headerData(n, across, Qt.ItemDataRole.AccessibleDescriptionRole)
        assert told
        assert told == page.rows.headerData(n, across, Qt.ItemDataRole.ToolTipRole)
        said = page.rows.headerData(n, across, Qt.ItemDataRole.AccessibleTextRole)
        assert said.endswith(f", in {column.unit}") if column.unit else said == column.title


def test_an_editor_is_named_after_its_cell(qtbot: QtBot, page: TablePage) -> None:
    page.show_rows("kind:fuse")
    page.table.setFocus()
    page.table.setCurrentIndex(page.order.index(1, page.rows.column_number("rating_a")))
    qtbot.keyClick(page.table, Qt.Key.Key_F2)
    editor = page.table.focusWidget()
    while editor is not None and not isinstance(editor, QLineEdit):
        editor = editor.focusWidget()
    assert editor is not None
    assert editor.accessibleName() == "F2, Rated current of the link"
    assert editor.accessibleDescription()


def test_tab_walks_the_controls_and_leaves_the_table(qtbot: QtBot, page: TablePage) -> None:
    page.show_what.setFocus()
    met: list[QWidget] = []
    for _n in range(12):
        here = page.focusWidget()
        if here in met:
            break
        met.append(here)
        qtbot.keyClick(here, Qt.Key.Key_Tab)
    assert {page.show_what, page.filter_line, page.only_found, page.only_lacking, page.table} <= set(met)
    assert page.reveal_button in met


def test_the_cell_one_is_in_is_told_below_with_its_help(page: TablePage, judged: Document) -> None:
    page.show_rows("kind:fuse")
    page.go_to(judged.installation.find("F10")[0][1], "rating_a")
    assert page.where_line.text().startswith("F10, rated current of the link: 200 A\n")


def test_the_page_fits_into_a_narrow_place(page: TablePage) -> None:
    page.resize(340, 500)
    assert page.width() == 340
    for widget in (page.show_what, page.filter_line, page.only_found, page.only_lacking, page.reveal_button):
        place = widget.mapTo(page, widget.rect().topLeft())
        assert place.x() >= 0
        assert place.x() + widget.width() <= 340
