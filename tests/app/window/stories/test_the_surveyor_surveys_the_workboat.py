"""The surveyor comes aboard the workboat: marks, photographs, walks, measures, and hands over the report."""

from __future__ import annotations

import io
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import docx
import pdfplumber
import pytest
from PIL import Image
from PySide6.QtCore import QMimeData, Qt
from PySide6.QtGui import QGuiApplication, QImage

pytestmark = [pytest.mark.qt, pytest.mark.long]
K, M = Qt.Key, Qt.KeyboardModifier
WORKBOAT = Path(__file__).parents[4] / "samples" / "workboat" / "workboat.linewright"


def test_the_surveyor_surveys_the_workboat(
    opens: Callable[[Path], Any], saves_to: Callable[[Path], None], tmp_path: Path
) -> None:
    drawing = Path(shutil.copy(WORKBOAT, tmp_path / "razorbill.linewright"))
    surveyor = opens(drawing)
    window = surveyor.window
    document, board = window.document, window.board

    # a survey is begun and filled in, Enter by Enter
    surveyor.press(K.Key_F5, M.ControlModifier)
    page = window.pages.surveys()
    surveyor.wait(page.isVisible)
    assert surveyor.keyboard is page.new
    surveyor.press(K.Key_Space)
    for text in ("RAZ-9", "Ternholm Yard", "Sale", "P. Sandpiper", "surveyor"):
        surveyor.type(text)
        surveyor.press(K.Key_Return)
    (survey,) = document.snapshot().surveys
    assert document.snapshot().surveys[survey].surveyor == "P. Sandpiper"

    # a deficiency by eye, with the photograph that was just copied
    (relay,) = (item for table, item in document.installation.find("K1") if table == "equipment")
    picture = QImage(640, 480, QImage.Format.Format_RGB32)
    picture.fill(Qt.GlobalColor.darkCyan)
    data = QMimeData()
    data.setImageData(picture)
    QGuiApplication.clipboard().setMimeData(data)
    document.select(relay)
    board.reveal(relay)
    surveyor.hand.to_board()
    surveyor.press(K.Key_M)
    surveyor.type("a studs lie bare; a spanner shorts the banks; fit covers")
    surveyor.press(K.Key_V, M.ControlModifier)
    surveyor.press(K.Key_Return)
    surveyor.wait(lambda: any(d.photographs for d in document.snapshot().deficiencies.values()))

    # and one from a finding, in one step
    surveyor.press(K.Key_F7)
    notes = window.pages.notes()
    surveyor.wait(lambda: document.judgement is not None and notes.notes.model().rowCount() > 30)
    finding = next(f for f in document.judgement.result.findings if f.rule == "sources-meet")
    notes.show_finding(finding.key)
    notes.notes.setFocus()
    surveyor.press(K.Key_M, M.ControlModifier)
    surveyor.wait(lambda: len(document.snapshot().deficiencies) == 2)
    assert {d.survey for d in document.snapshot().deficiencies.values()} == {survey}

    # the walk: the first three things, a digit each
    surveyor.press(K.Key_F7, M.ControlModifier)
    walk = window.pages.walk()
    surveyor.wait(walk.isVisible)
    surveyor.click(walk.list.viewport(), walk.list.visualRect(walk.model.index(0)).center())
    first = walk.model.rows[0]
    for key in (K.Key_1, K.Key_1, K.Key_3):
        surveyor.press(key)
    said = [i.seen for i in document.snapshot().inspections.values()]
    assert sorted(said) == ["not accessible", "seen", "seen"]
    assert first.item in {i.at for i in document.snapshot().inspections.values()}

    # a value measured
    (breaker,) = (item for table, item in document.installation.find("Q13") if table == "equipment")
    document.select(breaker)
    surveyor.press(K.Key_F8, M.ControlModifier)
    readings = window.pages.readings()
    surveyor.wait(readings.isVisible)
    surveyor.click(readings.value)
    surveyor.type("31 ms")
    surveyor.press(K.Key_Return)
    surveyor.wait(lambda: len(document.snapshot().readings) == 1)
    (reading,) = document.snapshot().readings.values()
    assert (reading.at, reading.trip_s, reading.survey) == (breaker, 0.031, survey)

    # the report, looked at, then written in both forms
    surveyor.press(K.Key_F5, M.ControlModifier)
    surveyor.wait(page.isVisible)
    assert "Class A: 2" in page.counts.text()
    surveyor.click(page.look)
    looking = window.pages.handover().looking
    surveyor.wait(lambda: not looking.is_going)
    assert window.middle.is_paper
    assert not looking.is_older
    pdf, text = tmp_path / "report.pdf", tmp_path / "report.docx"
    for target in (pdf, text):
        saves_to(target)
        surveyor.click(page.write)
        surveyor.wait(lambda: not page.writing.is_going)
        assert page.said.text().startswith(f"Written: {target}"), page.said.text()

    # what the client reads
    with pdfplumber.open(pdf) as book:
        pages = [" ".join((p.extract_text() or "").split()) for p in book.pages]
        mine = next(n for n, words in enumerate(pages) if "Deficiency 1, Class A: K1" in words)
        assert len(book.pages[mine].images) == 1
    for words in ("studs lie bare", "a spanner shorts the banks", "fit covers", "P. Sandpiper", "Charging relay"):
        assert words.casefold() in pages[mine].casefold(), words
    whole = " ".join(pages)
    for words in (
        "RAZ-9",
        "Deficiency 2, Class A: ",
        "0.031 s",
        "Not accessible",
        "count as not inspected",
        "Signature",
    ):
        assert words in whole, words
    opened = docx.Document(str(text))
    heads = [p.text for p in opened.paragraphs if p.style.name == "Heading 1"]
    assert heads[0] == "Survey report: Razorbill"
    assert sum(head.startswith("Deficiency ") for head in heads) == 2
    blobs = [part.blob for part in opened.part.package.iter_parts() if part.content_type == "image/jpeg"]
    with Image.open(io.BytesIO(blobs[0])) as image:
        red, green, blue = image.convert("RGB").getpixel((100, 100))
    assert red < 40 < 90 < min(green, blue)  # the photograph that was pasted
