"""The surveyor opens the ketch, reads what was found, goes to a danger, marks it, and writes the findings on paper."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QToolButton

from app.canvas.remarks import writing
from engine.cautions import CAUTIONS
from engine.missing import missing_facts

pytestmark = [pytest.mark.qt, pytest.mark.long]
K, M = Qt.Key, Qt.KeyboardModifier
DANGER = "Run W18 is 6 AWG, good for 102 A; F5 (200 A) protects it."  # as the sample is drawn on purpose
RULE = "rating-above-ampacity"
REMARK = "Surveyed: fuse too large for this run"


def test_the_surveyor_finds_and_reports(
    opens: Callable[[Path], Any],
    saves_to: Callable[[Path], None],
    reads: Callable[[Path], list[str]],
    ketch: Path,
    tmp_path: Path,
) -> None:
    surveyor = opens(ketch)
    window, hand = surveyor.window, surveyor.hand
    document, board = window.document, window.board
    first = document.sheet

    # the notes, paged through: every one is read in full
    surveyor.press(K.Key_F7)
    notes = window.pages.notes()
    surveyor.wait(lambda: notes.summary_line.text() == "28 found, 23 not judged, 1 waived.")
    assert surveyor.keyboard is notes.notes
    surveyor.press(K.Key_Home)
    read = [_words(notes.whole)]
    rows = notes.notes.model().rowCount()
    for _n in range(rows - 1):
        surveyor.press(K.Key_Down)
        read.append(_words(notes.whole))
    assert notes.notes.currentIndex().row() == rows - 1
    found = document.judgement.result.findings
    assert len(found) == 28
    for finding in found:
        assert any(" ".join(finding.message.split()) in text for text in read), finding.message
    assert document.sheet == first  # reading on leads nowhere

    # to the danger, on its sheet
    surveyor.click_row(notes.notes, DANGER)
    assert document.sheet != first
    run, fuse = (document.installation.find(name)[0][1] for name in ("W18", "F5"))
    assert set(document.selection) == {run, fuse}
    (piece,) = board.scene_now().of[fuse]
    assert piece.placement.sheet == document.sheet
    symbol = (piece.placement.x, piece.placement.y)
    assert board.viewport().rect().contains(hand.pixel(symbol))

    # why: arithmetic, clause, what puts it right; and what the other rules say of the same thing
    told = _words(notes.whole)
    for part in (DANGER, "102 A × 1.5 = 153 A", "E-11 11.10.1.2", "replace F5 by one of 153 A or less"):
        assert part in told, part
    surveyor.press(K.Key_F7, M.ShiftModifier)
    why = window.pages.why()
    surveyor.wait(lambda: why.isVisible() and why.told is not None)
    assert RULE in why.whole.toPlainText()

    # a waiver without a name is refused, and nothing is changed
    before = document.snapshot()
    surveyor.press(K.Key_F7)
    surveyor.wait(notes.isVisible)
    assert DANGER in _words(notes.whole)
    surveyor.click(notes.waive_button)
    surveyor.click(notes.form.reason.viewport())
    surveyor.type("Renewed in spring")
    surveyor.click(notes.form.waive_button)
    assert notes.form.lacking.isVisible()
    assert notes.form.lacking.text() == "The waiver of a danger needs the name of whoever decides."
    assert document.snapshot() is before
    surveyor.click(notes.form.drop_button)
    assert not notes.form.isVisible()

    # a remark instead: written on the sheet, then led to the fuse
    hand.to_board()
    surveyor.press(K.Key_N)
    hand.click((symbol[0], symbol[1] + 33))  # at the foot of the sheet, where nothing is drawn
    assert surveyor.keyboard is writing(board)
    surveyor.type(REMARK)
    surveyor.press(K.Key_Return)
    (remark,) = document.selection
    assert document.snapshot().remarks[remark].text == REMARK
    surveyor.click(board.viewport(), hand.pixel(symbol), M.ShiftModifier)
    assert set(document.selection) == {remark, fuse}
    hand.find_action("Let the remark point at the thing")
    assert document.snapshot().remarks[remark].points_at == fuse

    # a fuse by its rating
    hand.to_board()
    surveyor.press(K.Key_F, M.ControlModifier)
    seeking = window.pages.currentWidget()
    assert surveyor.keyboard is seeking.line
    surveyor.wait(lambda: not seeking._reading.isActive())
    surveyor.type("class t 200 a")
    assert seeking.head.text() == "2 things found"
    assert [seeking.list.item(n).text().split(":")[0] for n in range(2)] == ["F3", "F5"]
    surveyor.press(K.Key_Down, times=2)
    assert document.selection == (fuse,)
    surveyor.press(K.Key_Return)
    assert surveyor.keyboard is board

    # the facts to read, only those that dangers lack
    surveyor.click(window.findChild(QToolButton, "rail_missing"))
    facts = window.pages.missing()
    surveyor.wait(lambda: bool(facts.rows) and not notes.rows.stale)
    every = [row.field.label for row in facts.rows]
    surveyor.click(facts.word)
    surveyor.press(K.Key_Home)
    surveyor.press(K.Key_Return)
    surveyor.wait(lambda: facts.word.currentText() == "danger")
    grave = [row.field.label for row in facts.rows]
    lacking = missing_facts(document.judgement.result, document.snapshot()).down_to("danger")
    assert f"{len(lacking)} facts are not recorded" in facts.head.text()
    assert len(grave) < len(every)
    assert "W122: conductor size" in grave
    assert all(any(unlock.word == "danger" for unlock in row.fact.unlocks) for row in facts.rows)

    # the findings on paper: looked at, written, read back
    hand.to_board()
    surveyor.press(K.Key_P, M.ControlModifier)
    preview = window.middle.print_view
    surveyor.wait(lambda: preview.isVisible() and preview.pages is not None and not preview.is_going)
    assert preview.title.text() == "Drawing set"
    assert surveyor.keyboard is preview.view
    seen = [preview.pages.text(0)]
    for _n in range(preview.number.maximum() - 1):
        surveyor.press(K.Key_PageDown)
        seen.append(preview.pages.text(preview.view.page))
    assert any(DANGER in " ".join(text.split()) for text in seen)
    target = tmp_path / "findings.pdf"
    saves_to(target)
    surveyor.click(preview.write)
    assert window.foot.message == f"Written: {target}"
    pages = reads(target)
    assert len(pages) == len(seen) > 8
    assert f"DANGER: {DANGER}" in pages[0]  # on the cover, among the dangers
    (sheet,) = [page for page in pages if f"DANGER {RULE} {DANGER}" in page]
    for part in ("102 A × 1.5 = 153 A", "replace F5 by one of 153 A or less", "E-11 11.10.1.2", REMARK):
        assert part in sheet, part
    everything = " ".join(pages)
    for finding in found:
        assert " ".join(finding.message.split()) in everything, finding.message
    assert "Waived dangers None." in pages[0]
    for page in pages:
        assert all(text in page for text in CAUTIONS)
    surveyor.press(K.Key_Escape)
    assert surveyor.keyboard is board


def _words(text: Any) -> str:
    """What a text shows, its lines joined."""
    return " ".join(text.toPlainText().split())
