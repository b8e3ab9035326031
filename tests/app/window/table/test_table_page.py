"""The table page: what a person sees, types, pastes, sorts and narrows, with mouse and keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit
from pytestqt.qtbot import QtBot

from app.window.document import Document
from app.window.table import TablePage
from engine.edits import Put, SetFields

pytestmark = pytest.mark.qt
Click = Callable[..., None]
Judge = Callable[[Document], None]


def cell(page: TablePage, name: str, column: str) -> Any:
    """The index of a cell as it is shown."""
    n = page.rows.column_number(column)
    assert n >= 0, column
    item = next(row.item for row in page.rows.rows if page.rows.facts.name(row) == name)
    index = page.order.mapFromSource(page.rows.index(page.rows.at[item], n))
    assert index.isValid(), name
    return index


def shown(page: TablePage, column: str = "designation") -> list[str]:
    """A column as it is shown, from top to bottom."""
    n = page.rows.column_number(column)
    return [page.order.index(r, n).data() for r in range(page.order.rowCount())]


def record(document: Document, name: str) -> Any:
    """The record of a designation."""
    table, item = document.installation.find(name)[0]
    return document.installation.get(table, item)


@pytest.fixture
def click(qtbot: QtBot, page: TablePage) -> Callable[..., None]:
    """Clicks the cell of a designation and a column."""

    def clicked(name: str, column: str, *, double: bool = False) -> None:
        index = cell(page, name, column)
        page.table.scrollTo(index)
        place: QPoint = page.table.visualRect(index).center()
        press = qtbot.mouseDClick if double else qtbot.mouseClick
        if double:
            qtbot.mouseClick(page.table.viewport(), Qt.MouseButton.LeftButton, pos=place)
        press(page.table.viewport(), Qt.MouseButton.LeftButton, pos=place)

    return clicked


def _editor(page: TablePage) -> QLineEdit | QComboBox:
    found = QApplication.focusWidget()
    assert isinstance(found, (QLineEdit, QComboBox)), found
    assert page.table.isAncestorOf(found)
    return found


def _fill(qtbot: QtBot, page: TablePage, text: str) -> None:
    """Type into the cell one is in: the first letter opens it."""
    page.table.setFocus()
    qtbot.keyClick(page.table, text[0])
    qtbot.keyClicks(_editor(page), text[1:])


def _show(qtbot: QtBot, page: TablePage, key: str) -> None:
    """Choose what to show with the keyboard, as a person would."""
    page.show_what.setFocus()
    number = page.show_what.findData(key)
    assert number >= 0
    qtbot.keyClick(page.show_what, Qt.Key.Key_Home)
    for _n in range(number):
        qtbot.keyClick(page.show_what, Qt.Key.Key_Down)
    assert page.rows.choice.key == key


# -- what is shown -----------------------------------------------------------------------------------------------
def test_everything_drawn_is_a_row_in_natural_order(page: TablePage) -> None:
    assert shown(page) == ["E1", "E2", "E10", "F1", "F2", "F10", "G1", "W1", "W2", "W10", "W10", "W20", "W100"]


def test_ends_of_runs_and_terminals_of_equipment(page: TablePage) -> None:
    said = dict(zip(shown(page), shown(page, "ends"), strict=True))
    assert said["W2"] == "G1.pos – F2.in"
    assert said["F2"] == "in, out"


def test_findings_stand_in_words(page: TablePage) -> None:
    said = dict(zip(shown(page), shown(page, "findings"), strict=True))
    assert "danger" in said["W100"]
    assert said["E1"] == ""


def test_one_kind_alone_brings_its_own_columns_with_units(qtbot: QtBot, page: TablePage) -> None:
    assert page.rows.column_number("rating_a") < 0
    _show(qtbot, page, "kind:fuse")
    assert shown(page) == ["F1", "F2", "F10"]
    assert shown(page, "rating_a") == ["10 A", "–", "200 A"]
    head = page.rows.headerData(page.rows.column_number("rating_a"), Qt.Orientation.Horizontal)
    assert head.replace("\n", " ").endswith("[A]")


def test_places_conditions_interlocks_have_rows_of_their_own(qtbot: QtBot, page: TablePage) -> None:
    _show(qtbot, page, "places")
    assert shown(page, "name") == ["Bilge", "Saloon"]
    assert shown(page, "used") == ["", "6 runs"]
    _show(qtbot, page, "conditions")
    assert shown(page, "name") == []
    qtbot.mouseClick(page.add_button, Qt.MouseButton.LeftButton)
    assert shown(page, "name") == ["Condition 1"]
    qtbot.keyClicks(_editor(page), "At anchor")
    qtbot.keyClick(_editor(page), Qt.Key.Key_Tab)
    assert shown(page, "name") == ["At anchor"]


# -- filling -----------------------------------------------------------------------------------------------------
def test_typing_tab_and_enter_fill_one_cell_after_another(qtbot: QtBot, page: TablePage, judged: Document) -> None:
    _show(qtbot, page, "kind:fuse")
    page.table.setCurrentIndex(cell(page, "F2", "rating_a"))
    _fill(qtbot, page, "1.2 kA")
    qtbot.keyClick(_editor(page), Qt.Key.Key_Return)  # goes down, and the next cell is open
    assert record(judged, "F2").rating_a == 1200
    assert page.table.currentIndex() == cell(page, "F10", "rating_a")
    editor = _editor(page)
    assert editor.text() == "200 A"
    qtbot.keyClicks(editor, "250")
    qtbot.keyClick(editor, Qt.Key.Key_Tab)
    assert record(judged, "F10").rating_a == 250
    assert page.table.currentIndex().column() == page.rows.column_number("rating_a") + 1
    assert page.table.currentIndex().row() == 2
    assert judged.history.undo_words == "Set rated current of the link of F10 to 250 A"
    qtbot.keyClick(_editor(page), Qt.Key.Key_Escape)
    judged.undo()
    judged.undo()
    assert record(judged, "F2").rating_a is None
    assert shown(page, "rating_a") == ["10 A", "–", "200 A"]


def test_shift_tab_goes_back_over_what_cannot_be_changed(qtbot: QtBot, page: TablePage, judged: Document) -> None:
    page.table.setCurrentIndex(cell(page, "F2", "label"))
    page.table.setFocus()
    qtbot.keyClick(page.table, Qt.Key.Key_F2)
    qtbot.keyClicks(_editor(page), "Lights")
    qtbot.keyClick(_editor(page), Qt.Key.Key_Backtab)
    assert record(judged, "F2").label == "Lights"
    assert page.table.currentIndex() == cell(page, "F2", "designation")  # "kind" between them is worked out


def test_enter_in_the_last_row_stays(qtbot: QtBot, page: TablePage, judged: Document) -> None:
    _show(qtbot, page, "kind:fuse")
    page.table.setCurrentIndex(cell(page, "F10", "label"))
    _fill(qtbot, page, "Last")
    qtbot.keyClick(_editor(page), Qt.Key.Key_Enter)
    assert record(judged, "F10").label == "Last"
    assert page.table.currentIndex() == cell(page, "F10", "label")


def test_lengths_and_sizes_are_read_as_in_a_list(qtbot: QtBot, page: TablePage, judged: Document) -> None:
    _show(qtbot, page, "runs")
    for text, field, value in (("10 ft", "length_m", 3.048), ("35 mm2", "size", "35 mm2"), ("3,5 m", "length_m", 3.5)):
        page.table.setCurrentIndex(cell(page, "W2", field))
        _fill(qtbot, page, text)
        qtbot.keyClick(_editor(page), Qt.Key.Key_Tab)
        qtbot.keyClick(_editor(page), Qt.Key.Key_Escape)
        assert getattr(record(judged, "W2"), field) == value


def test_what_is_refused_is_told_and_marked_and_nothing_is_lost(
    qtbot: QtBot, page: TablePage, judged: Document
) -> None:
    _show(qtbot, page, "kind:fuse")
    page.table.setCurrentIndex(cell(page, "F1", "rating_a"))
    _fill(qtbot, page, "ten")
    with qtbot.waitSignal(page.refused) as told:
        qtbot.keyClick(_editor(page), Qt.Key.Key_Tab)
    assert record(judged, "F1").rating_a == 10
    assert told.args[0].startswith("F1, rated current of the link: expected a current")
    assert "'ten'" in told.args[0]
    assert page.refusal_line.isVisible()
    assert page.refusal_line.text() == told.args[0]
    assert page.table.currentIndex() == cell(page, "F1", "rating_a")  # one stays where it was refused
    assert shown(page, "rating_a")[0] == "! 10 A"  # marked by a sign, not by colour alone
    assert "Refused" in page.rows.data(
        page.order.mapToSource(cell(page, "F1", "rating_a")), Qt.ItemDataRole.AccessibleTextRole
    )
    assert judged.history.undo_words == ""
    qtbot.keyClick(page.table, Qt.Key.Key_F2)
    assert _editor(page).text() == "ten"  # what was typed is still there to be put right
    qtbot.keyClicks(_editor(page), "12")
    qtbot.keyClick(_editor(page), Qt.Key.Key_Return)
    qtbot.keyClick(_editor(page), Qt.Key.Key_Escape)
    assert record(judged, "F1").rating_a == 12
    assert not page.refusal_line.isVisible()
    assert shown(page, "rating_a")[0] == "12 A"


@pytest.mark.parametrize("text", ["-5", "1,200", "10 m", "NaN", "inf", "1e999", "=1+1", "\u0007", "9" * 400])
def test_odd_texts_change_nothing(page: TablePage, judged: Document, text: str) -> None:
    page.show_rows("kind:fuse")
    assert page.order.setData(cell(page, "F1", "rating_a"), text) is False
    assert record(judged, "F1").rating_a == 10
    assert page.refusal_line.text()


def test_leaving_a_cell_as_it_is_is_no_edit(qtbot: QtBot, page: TablePage, judged: Document) -> None:
    page.table.setCurrentIndex(cell(page, "F1", "label"))
    page.table.setFocus()
    qtbot.keyClick(page.table, Qt.Key.Key_F2)
    qtbot.keyClick(_editor(page), Qt.Key.Key_Tab)
    qtbot.keyClick(_editor(page), Qt.Key.Key_Escape)
    assert judged.history.undo_words == ""


def test_choices_references_and_yes_no_are_lists(qtbot: QtBot, page: TablePage, judged: Document) -> None:
    for field, wanted, value in (("status", "spare", "spare"), ("ignition_protected", "no", False)):
        page.table.setCurrentIndex(cell(page, "F1", field))
        page.table.setFocus()
        qtbot.keyClick(page.table, Qt.Key.Key_F2)
        box = _editor(page)
        assert isinstance(box, QComboBox)
        if field == "ignition_protected":
            assert [box.itemText(n) for n in range(box.count())] == ["not recorded", "yes", "no"]
        qtbot.keyClicks(box, wanted[:3] if field == "status" else wanted[:2])
        if field == "ignition_protected":
            box.setCurrentIndex(2)  # "no" and "not recorded" begin alike
        qtbot.keyClick(box, Qt.Key.Key_Return)
        if QApplication.focusWidget() is not page.table:
            qtbot.keyClick(_editor(page), Qt.Key.Key_Escape)
        assert getattr(record(judged, "F1"), field) == value
    page.table.setCurrentIndex(cell(page, "F1", "place"))
    qtbot.keyClick(page.table, Qt.Key.Key_F2)
    box = _editor(page)
    assert [box.itemText(n) for n in range(box.count())] == ["not recorded", "Bilge", "Saloon"]
    qtbot.keyClicks(box, "Bil")
    qtbot.keyClick(box, Qt.Key.Key_Tab)
    assert judged.snapshot().name(record(judged, "F1").place) == "Bilge"


def test_a_place_that_is_not_there_is_refused_with_the_nearest(page: TablePage, judged: Document) -> None:
    assert page.order.setData(cell(page, "F1", "place"), "Salon") is False
    assert "'Salon'" in page.refusal_line.text()
    assert "Saloon" in page.refusal_line.text()
    assert record(judged, "F1").place == ""


def test_worked_out_cells_cannot_be_typed_into(page: TablePage) -> None:
    for column in ("ends", "sheets", "findings", "gaps", "ratings"):
        assert not page.table.is_writable(cell(page, "F1", column))
    assert not page.table.is_writable(cell(page, "F1", "length_m"))  # equipment has no length
    assert page.table.is_writable(cell(page, "W1", "length_m"))


def test_a_drawing_that_may_not_be_changed_takes_nothing(qtbot: QtBot, judged: Document) -> None:
    judged.read_only = "Somebody else has it open."
    page = TablePage(judged)
    qtbot.addWidget(page)
    assert not page.table.is_writable(cell(page, "F1", "label"))
    assert page.order.setData(cell(page, "F1", "label"), "x") is False
    assert page.refusal_line.text() == "Somebody else has it open."


# -- blocks ------------------------------------------------------------------------------------------------------
def test_a_block_from_a_spreadsheet_is_one_edit(qtbot: QtBot, page: TablePage, judged: Document) -> None:
    _show(qtbot, page, "kind:fuse")
    page.table.setCurrentIndex(cell(page, "F1", "label"))
    page.table.setFocus()
    QGuiApplication.clipboard().setText('Nav lights\r\nBilge pump 10 ft 6"\r\n"Two\nlines"\r\n')
    qtbot.keyClick(page.table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert [record(judged, n).label for n in ("F1", "F2", "F10")] == ["Nav lights", 'Bilge pump 10 ft 6"', "Two\nlines"]
    assert judged.history.undo_words == "Paste 3 cells"
    judged.undo()
    assert [record(judged, n).label for n in ("F1", "F2", "F10")] == ["Circuit 1", "Circuit 2", "Circuit 10"]


def test_of_a_block_all_or_nothing(qtbot: QtBot, page: TablePage, judged: Document) -> None:
    _show(qtbot, page, "kind:fuse")
    page.table.setCurrentIndex(cell(page, "F1", "rating_a"))
    before = judged.snapshot()
    page.table.paste_text("20 A\nlots\n30 V\n")
    assert judged.snapshot() is before
    told = page.refusal_line.text()
    assert told.startswith("F2, rated current of the link: ")
    assert "'lots'" in told
    assert "1 more cell is refused; nothing was changed." in told
    assert shown(page, "rating_a") == ["10 A", "! –", "! 200 A"]
    page.table.paste_text("20 A\n25 A\n30 A")
    assert shown(page, "rating_a") == ["20 A", "25 A", "30 A"]


def test_a_block_larger_than_the_room_is_refused(page: TablePage, judged: Document) -> None:
    page.table.setCurrentIndex(cell(page, "W100", "label"))
    before = judged.snapshot()
    page.table.paste_text("a\nb")
    assert judged.snapshot() is before
    assert "2 rows by 1 columns" in page.refusal_line.text()


def test_several_fields_of_one_record_come_together_with_their_origins(page: TablePage, judged: Document) -> None:
    page.show_rows("kind:fuse")
    rating = page.rows.column_number("rating_a")
    page.table.setCurrentIndex(cell(page, "F1", "rating_a"))
    page.table.paste_text("20 A ~measured\tclass T")
    fuse = record(judged, "F1")
    assert (fuse.rating_a, fuse.fuse_class) == (20, "class T")
    assert fuse.origin("rating_a") == "measured"
    assert fuse.origin("fuse_class") == "typed"
    assert page.rows.columns[rating + 1].key == "fuse_class"


def test_one_value_fills_all_chosen_cells(qtbot: QtBot, page: TablePage, judged: Document, click: Click) -> None:
    _show(qtbot, page, "kind:fuse")
    click("F1", "label")
    index = cell(page, "F10", "label")
    qtbot.mouseClick(
        page.table.viewport(),
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.ShiftModifier,
        page.table.visualRect(index).center(),
    )
    QGuiApplication.clipboard().setText("Same")
    qtbot.keyClick(page.table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert [record(judged, n).label for n in ("F1", "F2", "F10")] == ["Same"] * 3


def test_what_is_copied_can_be_pasted_back(qtbot: QtBot, page: TablePage, judged: Document) -> None:
    judged.do(SetFields("equipment", judged.installation.find("F1")[0][1], (("label", "=1+1\tx"), ("note", "'q"))))
    page.table.setFocus()
    page.table.selectAll()
    qtbot.keyClick(page.table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    text = QGuiApplication.clipboard().text()
    assert text.count("\n") == page.order.rowCount()
    assert "\t'=1+1" not in text.split("\n")[3]  # the tab inside is quoted
    before = judged.snapshot()
    page.table.setCurrentIndex(page.order.index(0, 0))
    qtbot.keyClick(page.table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert page.refusal_line.text() == ""
    assert judged.snapshot() is before  # nothing differs, so nothing was done


def test_delete_says_that_it_is_not_recorded(qtbot: QtBot, page: TablePage, judged: Document, click: Click) -> None:
    _show(qtbot, page, "kind:fuse")
    click("F10", "rating_a")
    qtbot.keyClick(page.table, Qt.Key.Key_Delete)
    assert record(judged, "F10").rating_a is None
    assert judged.history.undo_words == "Empty 1 cell"


# -- order and filter --------------------------------------------------------------------------------------------
def test_a_click_on_a_heading_sorts_what_is_not_recorded_stands_last(qtbot: QtBot, page: TablePage) -> None:
    _show(qtbot, page, "kind:fuse")
    heads = page.table.horizontalHeader()
    n = page.rows.column_number("rating_a")
    page.table.scrollTo(page.order.index(0, n))
    place = QPoint(heads.sectionViewportPosition(n) + 20, heads.height() // 2)
    qtbot.mouseClick(heads.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert shown(page, "rating_a") == ["10 A", "200 A", "–"]
    qtbot.mouseClick(heads.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert shown(page, "rating_a") == ["200 A", "10 A", "–"]


def test_no_row_jumps_while_one_types(qtbot: QtBot, page: TablePage, judged: Document) -> None:
    page.table.setCurrentIndex(cell(page, "F1", "designation"))
    _fill(qtbot, page, "Z9")
    qtbot.keyClick(_editor(page), Qt.Key.Key_Tab)
    assert shown(page)[3:6] == ["Z9", "F2", "F10"]


def test_the_filter_line_looks_into_all_columns(qtbot: QtBot, page: TablePage) -> None:
    page.filter_line.setFocus()
    qtbot.keyClicks(page.filter_line, "circuit f10")
    qtbot.keyClick(page.filter_line, Qt.Key.Key_Return)
    assert shown(page) == ["F10"]
    assert page.count_line.text() == "1 of 13 rows shown by the filter"
    page.filter_line.clear()
    qtbot.keyClicks(page.filter_line, "SALOON f2.")
    qtbot.waitUntil(lambda: shown(page) == ["W2", "W20"])


def test_only_with_findings_and_only_with_something_not_recorded(qtbot: QtBot, page: TablePage) -> None:
    qtbot.mouseClick(page.only_found, Qt.MouseButton.LeftButton, pos=QPoint(10, page.only_found.height() // 2))
    found = shown(page)
    assert "W100" in found
    assert "E1" not in found
    page.only_found.setFocus()
    qtbot.keyClick(page.only_found, Qt.Key.Key_Space)
    assert len(shown(page)) == 13
    page.only_lacking.setFocus()
    qtbot.keyClick(page.only_lacking, Qt.Key.Key_Space)
    lacking = shown(page)
    assert "F2" in lacking
    assert 0 < len(lacking) <= 13


def test_the_row_one_works_in_stays_though_the_filter_would_drop_it(
    page: TablePage, judged: Document, judge: Judge
) -> None:
    page.only_found.setChecked(True)
    page.table.setCurrentIndex(cell(page, "W100", "label"))
    item = page.table.current_id()
    judged.do(SetFields("runs", item, (("size", "4/0 AWG"),)))
    judge(judged)
    assert page.table.current_id() == item


# -- in step -----------------------------------------------------------------------------------------------------
def test_a_click_chooses_on_the_sheet_too(qtbot: QtBot, page: TablePage, judged: Document, click: Click) -> None:
    click("F2", "label")
    assert judged.selection == (judged.installation.find("F2")[0][1],)
    index = cell(page, "F1", "label")
    qtbot.mouseClick(
        page.table.viewport(),
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.ControlModifier,
        page.table.visualRect(index).center(),
    )
    assert judged.selection == (judged.installation.find("F1")[0][1], judged.installation.find("F2")[0][1])


def test_what_is_chosen_on_the_sheet_is_chosen_here(qtbot: QtBot, page: TablePage, judged: Document) -> None:
    ids = [judged.installation.find(n)[0][1] for n in ("F10", "W1")]
    with qtbot.assertNotEmitted(judged.selected, wait=0):
        pass
    judged.select(*ids)
    assert page.table.chosen_ids() == ids
    assert judged.selection == tuple(ids)
    judged.select()
    assert page.table.chosen_ids() == []


def test_the_selection_does_not_echo(qtbot: QtBot, page: TablePage, judged: Document, click: Click) -> None:
    heard: list[int] = []
    judged.selected.connect(lambda: heard.append(1))
    click("F2", "label")
    judged.select(judged.installation.find("F1")[0][1])
    assert len(heard) == 2


def test_what_the_filter_hides_stays_chosen(page: TablePage, judged: Document) -> None:
    item = judged.installation.find("F1")[0][1]
    judged.select(item)
    page.filter_line.setText("F10")
    page._filter()
    assert judged.selection == (item,)
    page.filter_line.clear()
    page._filter()
    assert page.table.chosen_ids() == [item]


def test_rows_keep_their_place_over_edits(page: TablePage, judged: Document) -> None:
    page.table.setCurrentIndex(cell(page, "F10", "label"))
    here = page.table.current_id()
    lost: list[int] = []
    page.rows.modelReset.connect(lambda: lost.append(1))
    run = judged.installation.find("W100")[0][1]
    kept = judged.installation.get("runs", run)
    judged.do(Put("runs", run))
    assert "W100" not in shown(page)
    judged.undo()
    assert "W100" in shown(page)
    assert judged.installation.get("runs", run) == kept
    item = judged.installation.find("F2")[0][1]
    judged.do(SetFields("equipment", item, (("designation", "F3"),)))
    assert dict(zip(shown(page), shown(page, "ends"), strict=True))["W2"] == "G1.pos – F3.in"
    assert page.table.current_id() == here
    assert not lost


def test_a_hidden_page_catches_up(page: TablePage, judged: Document) -> None:
    page.hide()
    item = judged.installation.find("F2")[0][1]
    judged.do(SetFields("equipment", item, (("designation", "F3"),)))
    judged.select(item)
    assert "F3" not in shown(page)
    page.show()
    assert "F3" in shown(page)
    assert page.table.chosen_ids() == [item]
    assert page.count_line.text() == "13 rows; being judged, findings are those before the last change"


def test_the_last_of_a_kind_may_come_back(page: TablePage, judged: Document) -> None:
    page.show_rows("kind:battery_bank")
    for name in ("W1", "W2", "W10"):
        run = next(
            i for t, i in judged.installation.find(name) if judged.installation.get(t, i).from_end.terminal == "pos"
        )
        judged.do(Put("runs", run))
    judged.do(Put("equipment", judged.installation.find("G1")[0][1]))
    assert shown(page) == []
    assert page.show_what.currentText() == "Only: Battery bank"
    judged.undo()
    assert shown(page) == ["G1"]


def test_what_one_has_begun_to_type_outlives_a_judgement(
    qtbot: QtBot, page: TablePage, judged: Document, judge: Judge
) -> None:
    page.table.setCurrentIndex(cell(page, "F1", "label"))
    _fill(qtbot, page, "Half")
    judge(judged)
    judged.do(SetFields("equipment", judged.installation.find("F2")[0][1], (("label", "Other"),)))
    assert _editor(page).text() == "Half"
    page.settle()
    assert record(judged, "F1").label == "Half"


def test_go_to_a_field_shows_what_has_it(page: TablePage, judged: Document) -> None:
    page.filter_line.setText("nothing like it")
    page._filter()
    item = judged.installation.find("F2")[0][1]
    page.go_to(item, "rating_a")
    assert page.rows.choice.key == "kind:fuse"
    assert page.table.currentIndex() == cell(page, "F2", "rating_a")
    assert judged.selection == (item,)
    run = judged.installation.find("W1")[0][1]
    page.go_to(run, "length_m")
    assert page.table.currentIndex() == cell(page, "W1", "length_m")
    page.go_to("gone")
    page.go_to(item, "no such field")
    assert page.table.current_id() == item


def test_enter_and_double_click_on_what_cannot_be_changed_show_it(
    qtbot: QtBot, page: TablePage, judged: Document, click: Click
) -> None:
    item = judged.installation.find("F2")[0][1]
    page.table.setCurrentIndex(cell(page, "F2", "ends"))
    page.table.setFocus()
    with qtbot.waitSignal(page.reveal) as told:
        qtbot.keyClick(page.table, Qt.Key.Key_Return)
    assert told.args == [item]
    with qtbot.waitSignal(page.reveal) as told:
        click("F2", "ends", double=True)
    assert told.args == [item]
    with qtbot.waitSignal(page.reveal) as told:
        qtbot.mouseClick(page.reveal_button, Qt.MouseButton.LeftButton)
    assert told.args == [item]
