"""The page of conditions, worked with mouse and keys: hours, sources, what is wanted, and what it says of all that."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from app.window.document import Document
from app.window.figures.loads import HOURS
from app.window.figures.page import ConditionsPage
from app.worker_messages import FiguresStopped
from engine.cautions import CAUTIONS

pytestmark = pytest.mark.qt
K = Qt.Key
Tell = Callable[[Document], None]
BANK, SOURCES, ALL, BASIS = 1, 2, 3, 4  # parts of the page


def row_of(page: ConditionsPage, name: str) -> int:
    return next(n for n, row in enumerate(page.loads.rows) if row.name == name)


def cells(page: ConditionsPage, name: str) -> list[str]:
    at = row_of(page, name)
    return [page.loads.index(at, n).data() for n in range(page.loads.columnCount())]


def go_to(page: ConditionsPage, name: str) -> None:
    page.table.setFocus()
    page.table.setCurrentIndex(page.loads.index(row_of(page, name), HOURS))


def type_hours(qtbot: QtBot, page: ConditionsPage, name: str, text: str) -> None:
    """As a person does: in the cell, type, Enter."""
    go_to(page, name)
    qtbot.keyClick(page.table, text[0])
    editor = QApplication.focusWidget()
    assert isinstance(editor, QLineEdit)
    qtbot.keyClicks(editor, text[1:])
    qtbot.keyClick(editor, K.Key_Return)
    QApplication.processEvents()  # what was typed is taken once the key is done with


def duties(document: Document) -> dict[str, float]:
    snapshot = document.snapshot()
    return {snapshot.name(d.equipment): d.hours_a_day for d in snapshot.conditions[document.condition].duties}


# -- loads ------------------------------------------------------------------------------------------------------------
def test_every_load_is_a_row_with_its_watts_hours_and_what_the_bank_gives(page: ConditionsPage) -> None:
    names = [row.name for row in page.loads.rows]
    assert names == ["A13", "E11", "M12", "M13", "P14"]  # no starter: it draws while it starts
    label, watts, hours, share, wh, ah, fed, arrives = cells(page, "E11")
    assert label == "Navigation lights"
    assert share == "100 %"
    assert float(wh) == pytest.approx(float(watts) * float(hours))
    assert float(ah) == pytest.approx(float(wh) / 12, rel=0.01)
    assert fed == "G1"
    assert arrives.endswith("% lost")
    assert page.loads.headerData(0, Qt.Orientation.Vertical) == "A13"


def test_hours_are_typed_and_undone_and_the_row_below_is_next(
    qtbot: QtBot, page: ConditionsPage, launch: Document, tell: Tell
) -> None:
    before = duties(launch)
    type_hours(qtbot, page, "A13", "2,5")
    assert duties(launch)["A13"] == 2.5
    assert page.table.current_item() == page.loads.rows[row_of(page, "A13") + 1].item
    assert launch.history.undo_words == "A13: 2.5 h a day, Under way"
    assert cells(page, "A13")[HOURS] == "2.5"
    assert page.summary_line.text().startswith("Being worked out… Before the last change:")
    tell(launch)
    assert not page.summary_line.text().startswith("Being")
    assert float(cells(page, "A13")[4]) == pytest.approx(2.5 * float(cells(page, "A13")[1]))
    launch.undo()
    assert duties(launch) == before


def test_a_load_is_added_by_giving_it_hours_and_taken_out_by_delete(
    qtbot: QtBot, page: ConditionsPage, launch: Document, tell: Tell
) -> None:
    go_to(page, "P14")
    qtbot.keyClick(page.table, K.Key_Delete)
    tell(launch)
    assert "P14" not in duties(launch)
    assert cells(page, "P14")[HOURS] == ""
    assert cells(page, "P14")[4] == ""
    told = page.totals_line.text()
    type_hours(qtbot, page, "P14", "1")
    tell(launch)
    assert duties(launch)["P14"] == 1.0
    assert page.totals_line.text() != told
    page.only.click()
    assert {row.name for row in page.loads.rows} == {row.name for row in page.loads.rows if row.hours}


@pytest.mark.parametrize(("text", "why"), [("25", "25"), ("-1", "-1"), ("soon", "soon"), ("3 A", "3 A")])
def test_hours_that_cannot_be_are_told_and_change_nothing(
    qtbot: QtBot, page: ConditionsPage, launch: Document, text: str, why: str
) -> None:
    before = launch.snapshot()
    with qtbot.waitSignal(page.refused) as told:
        type_hours(qtbot, page, "E11", text)
    assert why in told.args[0]
    assert launch.snapshot() is before


def test_what_is_half_typed_outlives_figures_that_arrive(
    qtbot: QtBot, page: ConditionsPage, launch: Document, tell: Tell
) -> None:
    go_to(page, "E11")
    qtbot.keyClick(page.table, "7")
    tell(launch)
    editor = QApplication.focusWidget()
    assert isinstance(editor, QLineEdit)
    assert editor.text() == "7"
    page.settle()
    assert duties(launch)["E11"] == 7.0


def test_as_drawn_and_read_only_there_is_nothing_to_fill_in(page: ConditionsPage, launch: Document) -> None:
    launch.set_condition("")
    index = page.loads.index(0, HOURS)
    assert not page.loads.flags(index) & Qt.ItemFlag.ItemIsEditable
    assert "choose one above" in page.totals_line.text()
    page.tabs.setCurrentIndex(SOURCES)
    assert "choose one above" in page.sources_line.text()
    page.tabs.setCurrentIndex(0)
    assert not page.head.fields["required_hours"].isEnabled()
    launch.read_only = "it is open elsewhere"
    launch.set_condition(next(iter(launch.snapshot().conditions)))
    assert not page.loads.flags(index) & Qt.ItemFlag.ItemIsEditable


def test_enter_and_a_double_click_on_a_name_show_the_load(qtbot: QtBot, page: ConditionsPage) -> None:
    page.table.setFocus()
    page.table.setCurrentIndex(page.loads.index(1, 0))
    with qtbot.waitSignal(page.reveal) as told:
        qtbot.keyClick(page.table, K.Key_Return)
    assert told.args == [page.loads.rows[1].item]
    at = page.table.visualRect(page.loads.index(0, 0)).center()
    with qtbot.waitSignal(page.reveal) as told:
        qtbot.mouseClick(page.table.viewport(), Qt.MouseButton.LeftButton, pos=at)
        qtbot.mouseDClick(page.table.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert told.args == [page.loads.rows[0].item]


# -- the condition ----------------------------------------------------------------------------------------------------
def test_a_condition_is_chosen_by_key_and_what_is_wanted_is_judged(
    qtbot: QtBot, page: ConditionsPage, launch: Document, tell: Tell
) -> None:
    line = page.head.fields["required_hours"]
    line.setFocus()
    qtbot.keyClicks(line, "400")
    qtbot.keyClick(line, K.Key_Return)
    assert launch.snapshot().conditions[launch.condition].required_hours == 400
    assert line.text() == "400 h"
    tell(launch)
    assert "400 h wanted: too short" in page.summary_line.text()
    page.tabs.setCurrentIndex(BANK)
    assert dict(page.facts.texts())["Lasts"].endswith("too short")
    launch.undo()
    assert line.text() == ""
    combo = page.head.conditions
    combo.setFocus()
    qtbot.keyClick(combo, K.Key_Down)
    assert launch.snapshot().conditions[launch.condition].name == "Unattended"
    assert combo.currentText() == "Unattended"


def test_what_is_wanted_and_cannot_be_is_told_and_escape_gives_up(
    qtbot: QtBot, page: ConditionsPage, launch: Document
) -> None:
    line = page.head.fields["peak_sun_h"]
    line.setFocus()
    qtbot.keyClicks(line, "30")
    with qtbot.waitSignal(page.refused) as told:
        qtbot.keyClick(line, K.Key_Return)
    assert "30" in told.args[0]
    assert launch.snapshot().conditions[launch.condition].peak_sun_h is None
    qtbot.keyClick(line, K.Key_Escape)
    assert line.text() == ""
    qtbot.keyClicks(line, "30")
    launch.set_condition(next(c for c in launch.snapshot().conditions if c != launch.condition))
    assert line.text() == "", "what was meant for one condition is not given to another"


def test_sources_are_ticked_with_the_space_bar(qtbot: QtBot, page: ConditionsPage, launch: Document) -> None:
    page.tabs.setCurrentIndex(SOURCES)
    names = [page.sources.item(n).text() for n in range(page.sources.count())]
    at = next(n for n, name in enumerate(names) if name.startswith("G2"))
    assert "gives" in names[at]
    assert page.sources.item(at).checkState() == Qt.CheckState.Checked
    page.sources.setFocus()
    page.sources.setCurrentRow(at)
    qtbot.keyClick(page.sources, K.Key_Space)
    assert launch.snapshot().conditions[launch.condition].running == ()
    assert launch.history.undo_words == "G2 Alternator does not run, Under way".replace(" Alternator", "")
    assert page.sources_line.text().startswith("No source is ticked")
    launch.undo()
    assert page.sources.item(at).checkState() == Qt.CheckState.Checked


# -- banks, curves, basis ---------------------------------------------------------------------------------------------
def test_the_bank_tells_what_it_gives_and_what_charges_it(page: ConditionsPage, launch: Document) -> None:
    energy = launch.figures.energies[launch.condition]
    (bank,) = energy.banks
    page.tabs.setCurrentIndex(BANK)
    facts = dict(page.facts.texts())
    assert facts["Usable"] == "37.5 Ah of 75 Ah at 12 V"
    assert facts["Loads take"].startswith(f"{bank.load_wh:.0f} Wh a day")
    assert facts["Refills in"].endswith("from 50 % to 100 %")
    (source,) = page.charging.texts()
    assert source[0] == "G2"
    assert source[4] == "yes"
    page.tabs.setCurrentIndex(ALL)
    conditions = {row[0] for row in page.every.texts()}
    assert conditions == {"Under way", "Unattended"}


def test_curves_have_axes_with_units_and_say_their_figures(page: ConditionsPage) -> None:
    page.tabs.setCurrentIndex(BANK)
    texts = [item.text() for item in page.day.scene().items() if hasattr(item, "text")]
    assert {"0 %", "100 %", "0 h", "24 h"} <= set(texts)
    assert page.day.accessibleName() == "G1: state of charge over a day"
    assert "% at 24 h; lowest" in page.day.accessibleDescription()
    assert "% after" in page.refill.accessibleDescription()
    assert page.day.focusPolicy() & Qt.FocusPolicy.TabFocus


def test_curves_are_seen_on_dark_paper(page: ConditionsPage) -> None:
    page.tabs.setCurrentIndex(BANK)
    dark = QPalette(page.palette())
    dark.setColor(QPalette.ColorRole.Base, QColor("#1e1e1e"))
    dark.setColor(QPalette.ColorRole.Text, QColor("#eeeeee"))
    page.day.setPalette(dark)
    curve = max(
        (item for item in page.day.scene().items() if hasattr(item, "path")), key=lambda item: item.pen().widthF()
    )
    assert curve.pen().color() == QColor("#eeeeee")
    assert page.day.backgroundBrush().color() == QColor("#1e1e1e")


def test_what_is_missing_leads_to_its_field_and_assumptions_are_listed(
    qtbot: QtBot, page: ConditionsPage, launch: Document, tell: Tell
) -> None:
    snapshot = launch.snapshot()
    run = next(item for item, record in snapshot.runs.items() if record.designation == "W6")
    from engine.edits import SetFields

    launch.do(SetFields("runs", run, (("size", ""),)))
    page.tabs.setCurrentIndex(BASIS)
    tell(launch)
    texts = page.basis.texts()
    assert texts[0].startswith("Not recorded: ")
    at = next(n for n, text in enumerate(texts) if text == "Not recorded: W6: conductor size")
    assert any(text.startswith("Taken as so") for text in texts)
    assert any(" W are lost." in text for text in texts)
    page.basis.setFocus()
    page.basis.setCurrentRow(at)
    with qtbot.waitSignal(page.field_wanted) as told:
        qtbot.keyClick(page.basis, K.Key_Return)
    assert told.args == [run, "size"]


def test_what_could_not_be_worked_out_is_said(page: ConditionsPage, launch: Document) -> None:
    page.tabs.setCurrentIndex(BASIS)
    launch.figures.forget()
    launch._figured(FiguresStopped(1, "energy", launch.condition, "KeyError"))
    launch._figured(FiguresStopped(1, "faults", "", "KeyError"))
    QApplication.processEvents()
    assert page.summary_line.text() == "The energy of this condition could not be worked out: KeyError"
    assert "Fault currents could not be worked out: KeyError." in page.basis.texts()


def test_the_cautions_are_always_seen_and_everything_has_a_name(page: ConditionsPage) -> None:
    for text in CAUTIONS:
        assert text in page.caution_line.text()
    assert page.caution_line.isVisible()
    assert page.caution_line.geometry().bottom() <= page.height()
    parts = (page.table, page.facts, page.charging, page.every, page.sources, page.basis, page.day, page.refill)
    for at in range(page.tabs.count()):
        page.tabs.setCurrentIndex(at)
    for part in (*parts, page.head.conditions, page.banks, *page.head.fields.values()):
        assert part.accessibleName()
    index = page.loads.index(row_of(page, "E11"), HOURS)
    assert index.data(Qt.ItemDataRole.AccessibleTextRole).startswith("E11, Hours a day: ")


def test_a_hidden_page_costs_nothing_and_catches_up(page: ConditionsPage, launch: Document) -> None:
    page.hide()
    before = page.loads.rows
    launch.set_condition("")
    assert page.loads.rows is before
    page.show()
    assert page.head.conditions.currentText() == "As drawn"


def test_in_a_narrow_page_nothing_is_cut_off_at_the_side(qtbot: QtBot, page: ConditionsPage) -> None:
    page.resize(300, 700)
    for at in range(page.tabs.count()):
        page.tabs.setCurrentIndex(at)
        QApplication.processEvents()
        for part in (page.head, page.summary_line, page.tabs, page.caution_line):
            assert part.mapTo(page, QPoint(part.width(), 0)).x() <= 300
