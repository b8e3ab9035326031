"""Print: what is seen is the PDF; it is written as it is, and printed at true size, smaller only when asked."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QPageSize
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.paper.pdf import pdf_bytes
from app.window.document import Document
from app.window.handover.pdf_pages import PdfPages
from app.window.main import Window
from app.window.print_view import printer as printing
from app.window.start import Desk
from engine.builder import Builder
from engine.picture import Picture, rectangle

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
LONG = 60_000


def squares(*papers: tuple[float, float]) -> bytes:
    """A PDF of pages with a black square of 100 mm in the middle."""
    pages = []
    for wide, high in papers:
        box = (wide / 2 - 50, high / 2 - 50, wide / 2 + 50, high / 2 + 50)
        pages.append(Picture(wide, high, (rectangle(*box, width=0.0, fill="black"),)))
    return pdf_bytes(pages, title="t", author="a")[0]


def to_file(path: Path, paper: QPageSize.PageSizeId = QPageSize.PageSizeId.A4, dpi: int = 72) -> QPrinter:
    made = QPrinter(QPrinter.PrinterMode.ScreenResolution)
    made.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    made.setOutputFileName(str(path))
    made.setPageSize(QPageSize(paper))
    made.setResolution(dpi)
    return made


def black_mm(path: Path, page: int) -> tuple[float, float, float]:
    """Width and height of what is black on a page, and the width of the page, in mm."""
    pdf = pypdfium2.PdfDocument(path)
    scale = 4.0
    dark = np.asarray(pdf[page].render(scale=scale).to_numpy())[:, :, 0] < 128
    down, across = np.nonzero(dark)
    mm = 25.4 / 72 / scale
    wide = pdf[page].get_size()[0] * 25.4 / 72
    pdf.close()
    return (np.ptp(across) + 1) * mm, (np.ptp(down) + 1) * mm, wide


def on_board(desk: Desk) -> Window:
    b = Builder(name="Turnstone")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("load", "E1", dc_v=12, current_a=2.5)
    return desk.show(Document(b.installation))


def test_pages_are_printed_at_true_size_each_the_way_round_it_is(desk: Desk, tmp_path: Path, qtbot: QtBot) -> None:
    target = tmp_path / "printed.pdf"
    job = printing.PaperJob(desk, squares((210, 297), (297, 210)), to_file(target), [0, 1], fit=False)
    with qtbot.waitSignal(job.ended, timeout=LONG) as told:
        job.start()
    assert told.args is not None
    assert told.args[1] is True
    upright, lying = black_mm(target, 0), black_mm(target, 1)
    assert upright == pytest.approx((100, 100, 210), abs=0.8)
    assert lying == pytest.approx((100, 100, 297), abs=0.8)


def test_only_the_pages_asked_for_are_printed(desk: Desk, tmp_path: Path, qtbot: QtBot) -> None:
    target = tmp_path / "printed.pdf"
    job = printing.PaperJob(desk, squares((210, 297), (297, 210), (210, 297)), to_file(target), [1], fit=False)
    with qtbot.waitSignal(job.ended, timeout=LONG):
        job.start()
    pdf = pypdfium2.PdfDocument(target)
    assert [round(pdf[n].get_size()[0] * 25.4 / 72) for n in range(len(pdf))] == [297]
    pdf.close()


def test_a_print_that_is_given_up_says_so_and_leaves_nothing_going(desk: Desk, tmp_path: Path, qtbot: QtBot) -> None:
    job = printing.PaperJob(desk, squares((420, 297), (420, 297)), to_file(tmp_path / "p.pdf", dpi=300), [0, 1], True)
    with qtbot.waitSignal(job.ended, timeout=LONG) as told:
        job.start()
        job.give_up()
    assert told.args == ["Printing was stopped.", False]


def test_a_paper_that_is_too_small_is_asked_about(
    desk: Desk, shown: Shown, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []
    given = ["stay", "fit"]

    def answer(_parent: object, question: object) -> str:
        asked.append(question)
        return given.pop(0)

    monkeypatch.setattr(printing, "ask", answer)
    target = tmp_path / "small.pdf"
    monkeypatch.setattr(printing, "choose_printer", lambda *_a: to_file(target))
    window = shown(on_board(desk))
    view = window.middle.print_view
    view.data = squares((420, 297))
    view.show_pdf("t", PdfPages(view.data))
    assert printing.begin(view) is None
    assert "420 × 297 mm on 210 × 297 mm" in asked[0].text
    assert [a.key for a in asked[0].answers] == ["fit", "cut", "stay"]
    job = printing.begin(view)
    assert job is not None
    with qtbot.waitSignal(job.ended, timeout=LONG):
        job.start()
    wide, high, paper = black_mm(target, 0)
    assert paper == pytest.approx(297, abs=1)
    assert wide == pytest.approx(100 * 297 / 420, abs=0.8)
    assert high == pytest.approx(wide, abs=0.8)


def test_what_is_seen_is_what_is_written_and_printed(
    desk: Desk, shown: Shown, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(on_board(desk))
    window.menus.call("print")
    view = window.middle.print_view
    assert window.middle.is_paper
    assert view.is_going
    assert not view.write.isEnabled()
    qtbot.waitUntil(lambda: not view.is_going, timeout=LONG)
    assert view.pages is not None
    pages = len(view.pages)
    assert view.data.startswith(b"%PDF")
    written = tmp_path / "set"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(written), ""))
    view.write.click()
    assert (tmp_path / "set.pdf").read_bytes() == view.data
    printed = tmp_path / "out.pdf"
    monkeypatch.setattr(printing, "choose_printer", lambda *_a: to_file(printed, QPageSize.PageSizeId.A3))
    view.print_button.click()
    assert view.job is not None
    assert not view.stop.isHidden()
    qtbot.waitUntil(lambda: view.job is None, timeout=LONG)
    assert window.foot.message == f"Sent to the printer: {pages} pages."
    pdf = pypdfium2.PdfDocument(printed)
    assert [round(x * 25.4 / 72) for x in pdf[0].get_size()] == [420, 297]
    pdf.close()
    assert not window.findChildren(QObject, "printing")
    qtbot.keyClick(view.view, Qt.Key.Key_Escape)
    assert not window.middle.is_paper


def test_an_empty_drawing_is_not_printed(desk: Desk, shown: Shown) -> None:
    window = shown(desk.new())
    window.menus.call("print")
    assert not window.middle.is_paper
    assert window.foot.message == "Not done: Nothing is drawn yet."
