"""The page of notes: what is listed, where choosing leads, waivers, and that nothing ever looks cleaner than it is."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from app.window.document import Document
from app.window.notes import NotesPage
from app.window.notes.lines import Line
from engine.builder import Builder
from engine.cautions import CAUTIONS
from engine.edits import SetFields

pytestmark = pytest.mark.qt
Judge = Callable[[Document], None]


def _rows(page: NotesPage, kind: str) -> list[Line]:
    return [line for line in page.rows.lines if line.kind == kind]


def _number(page: NotesPage, text: str, kind: str = "") -> int:
    return next(n for n, ln in enumerate(page.rows.lines) if text in f"{ln.title} {ln.text}" and kind in ln.kind)


def _click(qtbot: QtBot, page: NotesPage, number: int) -> None:
    index = page.rows.index(number)
    page.notes.scrollTo(index)
    qtbot.mouseClick(page.notes.viewport(), Qt.MouseButton.LeftButton, pos=page.notes.visualRect(index).center())


def _text(page: NotesPage) -> str:
    return page.whole.toPlainText()


# -- what is listed ----------------------------------------------------------------------------------------------
def test_every_finding_is_a_row_with_number_word_rule_sheet_and_first_sentence(
    page: NotesPage, ketch: Document
) -> None:
    assert ketch.judgement is not None
    found = ketch.judgement.result.findings
    rows = _rows(page, "finding")
    assert [row.key for row in rows] == [f.key for f in found]
    said = rows[3].said()
    assert said.startswith("Note 4, DANGER: rating-above-ampacity, sheet 1. Run W29 is 8 AWG, good for 80 A; ")
    assert "F19" not in said  # the second sentence stands in the whole note


def test_the_summary_counts_what_was_not_judged(page: NotesPage) -> None:
    assert page.summary_line.text() == "7 found, 4 not judged, 1 waived."


def test_not_judged_is_grouped_by_rule_and_names_the_field(page: NotesPage, ketch: Document) -> None:
    lines = page.rows.lines
    at = _number(page, "rating-above-ampacity", "rule")
    assert lines[at].text == "rating-above-ampacity, would be DANGER: 2"
    assert [line.text for line in lines[at + 1 : at + 3]] == ["W122: conductor size", "Q29: rated current"]
    assert [line.field for line in lines[at + 1 : at + 3]] == ["size", "rating_a"]
    assert lines[at + 1].item == ketch.installation.find("W122")[0][1]


def test_what_binds_and_the_cautions_are_always_seen(page: NotesPage) -> None:
    for text in CAUTIONS:
        assert text in page.caution_line.text()
    assert page.caution_line.isVisible()
    assert "binds nobody by law" in page.binds_line.text()
    assert page.caution_line.font().pointSizeF() >= 8
    bottom = page.caution_line.geometry().bottom()
    assert bottom <= page.height()
    assert page.caution_line.height() >= page.caution_line.heightForWidth(page.caution_line.width())


def test_silence_of_the_book_and_assumptions_are_told(page: NotesPage) -> None:
    told = " ".join(line.text for line in _rows(page, "text"))
    assert "duplicate-designation, needless-waiver, unconnected" in told
    assert "G4: taken as limiting itself" in told


def test_an_empty_list_is_never_clean(qtbot: QtBot, judge: Judge) -> None:
    b = Builder(name="Dunlin")
    b.add("battery_bank", "G1", unit_v=12, charge_v=14.4)
    b.add("fuse", "F1", rating_a=None, rated_dc_v=32)
    b.add("load", "E1", dc_v=12, power_w=10)
    b.run("W1", "G1.pos", "F1.in", length_m=0.1, size="14 AWG", insulation_c=105, bundle=1)
    b.run("W2", "F1.out", "E1.in", length_m=2, size="14 AWG", insulation_c=105, bundle=1)
    document = Document(b.installation)
    page = NotesPage(document)
    qtbot.addWidget(page)
    page.show()
    assert page.summary_line.text() == "Not yet judged."
    assert page.rows.lines == []
    judge(document)
    assert document.judgement is not None
    assert not document.judgement.result.findings
    n = len(document.judgement.result.not_judged)
    assert n
    assert page.summary_line.text() == f"0 found, {n} not judged."
    assert any(line.text.startswith("Nothing was found in what could be judged; ") for line in _rows(page, "text"))
    assert "F1: rated current of the link" in [line.text for line in _rows(page, "gap")]


def test_an_empty_drawing_says_that_nothing_was_judged(qtbot: QtBot, judge: Judge) -> None:
    document = Document(Builder(name="").installation)
    judge(document)
    page = NotesPage(document)
    qtbot.addWidget(page)
    page.show()
    assert _rows(page, "text")[0].text == "Nothing is drawn, nothing was judged."


# -- where choosing leads ----------------------------------------------------------------------------------------
def test_a_click_and_enter_lead_to_the_thing_and_back(qtbot: QtBot, page: NotesPage) -> None:
    row = _rows(page, "finding")[2]
    with qtbot.waitSignal(page.reveal) as told:
        _click(qtbot, page, page.rows.lines.index(row))
    assert told.args == [row.key]
    with qtbot.waitSignal(page.reveal) as told:
        qtbot.keyClick(page.notes, Qt.Key.Key_Return)
    assert told.args == [row.key]
    with qtbot.waitSignal(page.back):
        qtbot.mouseClick(page.back_button, Qt.MouseButton.LeftButton)


def test_reading_on_with_the_arrows_leads_nowhere(qtbot: QtBot, page: NotesPage) -> None:
    page.show_finding(_rows(page, "finding")[0].key)
    page.notes.setFocus()
    with qtbot.assertNotEmitted(page.reveal, wait=0):
        qtbot.keyClick(page.notes, Qt.Key.Key_Down)
    assert page.current_line() == _rows(page, "finding")[1]
    assert "Q8 (Solar disconnect) is rated 63 V DC" in _text(page)


def test_what_is_missing_leads_to_its_field(qtbot: QtBot, page: NotesPage, ketch: Document) -> None:
    with qtbot.waitSignal(page.field_wanted) as told:
        _click(qtbot, page, _number(page, "Q29: rated current"))
    item, field = told.args
    assert ketch.snapshot().name(item) == "Q29"
    assert field == "rating_a"
    page.notes.go_to_row(_number(page, "W122: conductor size"))
    page.notes.setFocus()
    with qtbot.waitSignal(page.field_wanted) as told:
        qtbot.keyClick(page.notes, Qt.Key.Key_Enter)
    assert (ketch.snapshot().name(told.args[0]), told.args[1]) == ("W122", "size")


def test_headings_lead_nowhere_and_left_and_right_go_between_them(qtbot: QtBot, page: NotesPage) -> None:
    page.begin()
    page.notes.go_to_row(0)
    with qtbot.assertNotEmitted(page.reveal, wait=0), qtbot.assertNotEmitted(page.field_wanted, wait=0):
        qtbot.keyClick(page.notes, Qt.Key.Key_Return)
    seen = [page.current_line().text]
    for _n in range(3):
        qtbot.keyClick(page.notes, Qt.Key.Key_Right)
        seen.append(page.current_line().text)
    assert seen == ["Found: 7", "Not judged: 4", "Waived: 1", "What the judgement rests on"]
    qtbot.keyClick(page.notes, Qt.Key.Key_Left)
    assert page.current_line().text == "Waived: 1"


def test_the_whole_note_tells_all(page: NotesPage, ketch: Document) -> None:
    assert ketch.judgement is not None
    finding = ketch.judgement.result.findings[3]
    page.show_finding(finding.key)
    told = _text(page)
    for part in (
        "4. DANGER  rating-above-ampacity",
        finding.message,
        f"Arithmetic: {finding.arithmetic}",
        "Clause: E-11 11.10.1.2 (from memory, not confirmed); good practice, not law here",
        "To put right, one of:",
        *finding.fixes,
        "feed=440 A; allowed=80 A; ampacity=80 A",
    ):
        assert " ".join(part.split()) in " ".join(told.split()), part


def test_labels_of_the_drawing_are_never_markup(qtbot: QtBot, judge: Judge) -> None:
    b = Builder(name="Dunlin")
    b.add("load", "E<b>1</b>", label="<img src=x>", dc_v=12)
    document = Document(b.installation)
    judge(document)
    page = NotesPage(document)
    qtbot.addWidget(page)
    page.show()
    row = next(line for line in page.rows.lines if line.kind == "finding" and "E<b>1</b>" in line.text)
    page.show_finding(row.key)
    assert "E<b>1</b> (<img src=x>)" in _text(page)


def test_within_a_word_the_numbers_of_the_sheets_are_in_order(page: NotesPage, ketch: Document) -> None:
    assert ketch.judgement is not None
    found = ketch.judgement.result.findings
    ketch._judged(ketch.judgement._replace(numbers={f.key: len(found) - n for n, f in enumerate(found)}))
    rows = _rows(page, "finding")
    assert [row.word for row in rows] == ["danger"] * 4 + ["caution"] * 2 + ["notice"]
    assert [row.number for row in rows] == [4, 5, 6, 7, 2, 3, 1]


# -- while it is judged again ------------------------------------------------------------------------------------
def test_after_an_edit_old_notes_are_said_to_be_old_until_the_new_come(
    page: NotesPage, ketch: Document, judge: Judge
) -> None:
    page.show_finding(_rows(page, "finding")[2].key)
    row = page.current_line()
    ketch.do(SetFields("equipment", "e48", (("rating_a", 100.0),)))  # F5, for the better
    assert page.summary_line.text().startswith("Being judged… Before the last change: 7 found")
    index = page.rows.index(_number(page, "Run W18"))
    assert index.data(Qt.ItemDataRole.AccessibleTextRole).endswith("(before the last change)")
    assert _text(page).startswith("As it was before the last change")
    judge(ketch)
    assert page.summary_line.text() == "6 found, 4 not judged, 1 waived."
    assert row not in page.rows.lines
    ketch.undo()
    judge(ketch)
    assert row in page.rows.lines


def test_the_row_one_reads_stays_over_a_judgement(page: NotesPage, ketch: Document, judge: Judge) -> None:
    row = _rows(page, "gap")[1]
    page.notes.go_to_row(page.rows.lines.index(row))
    ketch.do(SetFields("equipment", "e48", (("rating_a", 100.0),)))
    judge(ketch)
    assert page.current_line() == row


def test_a_hidden_page_catches_up(page: NotesPage, ketch: Document, judge: Judge) -> None:
    page.hide()
    ketch.do(SetFields("equipment", "e48", (("rating_a", 100.0),)))
    judge(ketch)
    assert page.summary_line.text().startswith("7 found")
    page.show()
    assert page.summary_line.text() == "6 found, 4 not judged, 1 waived."


# -- waivers -----------------------------------------------------------------------------------------------------
def _fill_in(qtbot: QtBot, page: NotesPage, **said: str) -> None:
    for name, text in said.items():
        field = getattr(page.form, name)
        if hasattr(field, "selectAll"):
            field.selectAll()
        qtbot.keyClick(field, Qt.Key.Key_Delete)
        qtbot.keyClicks(field, text)


def test_a_danger_is_waived_with_reason_name_and_date(
    qtbot: QtBot, page: NotesPage, ketch: Document, judge: Judge
) -> None:
    assert ketch.judgement is not None
    finding = ketch.judgement.result.findings[2]
    page.show_finding(finding.key)
    qtbot.mouseClick(page.waive_button, Qt.MouseButton.LeftButton)
    assert page.form.isVisible()
    steps = (
        ({}, "A waiver needs a reason."),
        ({"reason": "Renewed in spring"}, "The waiver of a danger needs the name of whoever decides."),
        ({"who": "R. Wren"}, "The waiver of a danger needs a date by which it is looked at again."),
        ({"review": "next year"}, "A date is written like 2026-03-31, found 'next year'."),
        ({"review": "2026-01-01"}, "2026-01-01 has passed; the waiver would not hold."),
    )
    before = ketch.snapshot()
    for said, lacks in steps:
        _fill_in(qtbot, page, **said)
        qtbot.mouseClick(page.form.waive_button, Qt.MouseButton.LeftButton)
        assert page.form.lacking.text() == lacks
        assert ketch.snapshot() is before
    _fill_in(qtbot, page, review="2027-06-01")
    page.form.intent.setFocus()
    qtbot.keyClick(page.form.intent, Qt.Key.Key_Down)
    qtbot.keyClick(page.form.review, Qt.Key.Key_Return)
    assert not page.form.isVisible()
    assert ketch.history.undo_words == "Waive rating-above-ampacity of W18, F5"
    judge(ketch)
    assert page.summary_line.text() == "6 found, 4 not judged, 2 waived."
    row = next(line for line in _rows(page, "waived") if line.key == finding.key)
    assert row.more == (
        "To be put right by R. Wren 2026-11-27: Renewed in spring; to be looked at again by 2027-06-01."
    )
    page.show_finding(finding.key)
    qtbot.mouseClick(page.unwaive_button, Qt.MouseButton.LeftButton)
    judge(ketch)
    assert page.summary_line.text() == "7 found, 4 not judged, 1 waived."
    assert ketch.history.undo_words == "Take back the waiver of rating-above-ampacity for W18, F5"
    ketch.undo()
    ketch.undo()
    assert ketch.snapshot() == before


def test_a_waiver_holds_while_its_figures_stay(qtbot: QtBot, page: NotesPage, ketch: Document, judge: Judge) -> None:
    assert ketch.judgement is not None
    page.show_finding(ketch.judgement.result.findings[2].key)
    qtbot.mouseClick(page.waive_button, Qt.MouseButton.LeftButton)
    assert "feed=200 A" in page.form.figures.text()
    _fill_in(qtbot, page, reason="So", who="R. Wren", review="2027-06-01")
    qtbot.mouseClick(page.form.waive_button, Qt.MouseButton.LeftButton)
    ketch.do(SetFields("equipment", "e48", (("rating_a", 250.0),)))
    judge(ketch)
    page.show_finding(ketch.judgement.result.findings[2].key)
    assert "Its waiver does not hold: feed=200 A was waived, feed=250 A is found" in _text(page)
    assert page.unwaive_button.isVisible()


def test_escape_gives_the_form_up(qtbot: QtBot, page: NotesPage, ketch: Document) -> None:
    page.show_finding(_rows(page, "finding")[0].key)
    page.waive_button.setFocus()
    qtbot.keyClick(page.waive_button, Qt.Key.Key_Space)
    assert page.form.isVisible()
    qtbot.keyClicks(page.form.reason, "half")
    qtbot.keyClick(page.form.reason, Qt.Key.Key_Escape)
    assert not page.form.isVisible()
    assert page.focusWidget() is page.notes
    assert ketch.history.undo_words == ""


def test_a_needless_waiver_is_taken_away_where_it_is_told(
    qtbot: QtBot, page: NotesPage, ketch: Document, judge: Judge
) -> None:
    page.show_finding(_rows(page, "finding")[6].key)
    assert not page.waive_button.isVisible()
    qtbot.mouseClick(page.unwaive_button, Qt.MouseButton.LeftButton)
    judge(ketch)
    assert page.summary_line.text() == "6 found, 4 not judged, 1 waived."


def test_a_drawing_that_may_not_be_changed_is_not_waived(qtbot: QtBot, ketch: Document) -> None:
    ketch.read_only = "Somebody else has it open."
    page = NotesPage(ketch)
    qtbot.addWidget(page)
    page.show_finding(_rows(page, "finding")[0].key)
    assert not page.waive_button.isEnabled()


# -- for whoever does not see or not point -----------------------------------------------------------------------
def test_a_narrow_page_cuts_nothing(page: NotesPage) -> None:
    page.resize(340, 900)
    assert page.width() == 340
    assert page.notes.horizontalScrollBar().maximum() == 0
    for label in page.findChildren(QLabel):
        if label.isVisible():
            assert label.width() <= 340
            assert label.height() >= label.heightForWidth(label.width()), label.text()


def test_in_a_low_window_the_list_has_more_room_than_one_note(qtbot: QtBot, page: NotesPage) -> None:
    page.resize(350, 600)
    assert page.notes.height() > page.below.height()
    _click(qtbot, page, 1)
    qtbot.mouseClick(page.waive_button, Qt.MouseButton.LeftButton)
    page.split.setSizes([1000, 0])
    assert page.below.height() >= page.form.minimumSizeHint().height(), "nothing of the form is cut"
    qtbot.mouseClick(page.form.drop_button, Qt.MouseButton.LeftButton)
    page.split.setSizes([300, 200])
    assert page.notes.height() > page.below.height()
