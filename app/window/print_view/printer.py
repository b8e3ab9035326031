"""Pages of a PDF on the system's printer, at true size: drawn band by band, one a turn of the event loop."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QMarginsF, QObject, QRect, QRectF, QTimer, Signal
from PySide6.QtGui import QPageLayout, QPageSize, QPainter
from PySide6.QtWidgets import QDialog, QWidget

from app.window.ask import Answer, Question, ask
from app.window.handover.pdf_pages import PdfPages
from engine.units import number
from engine.words import _, ngettext

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter

    from app.window.print_view.view import PrintView

__all__ = ["PaperJob", "begin", "choose_printer"]

MOST_DPI = 600  # beyond it a page takes long and looks the same
BAND = 1_200_000  # pixels drawn at once: some 20 ms
SLACK_MM = 1.0  # papers of one name differ by less
MM_PER_POINT = 25.4 / 72.0
log = logging.getLogger(__name__)


def choose_printer(parent: QWidget, pages: int) -> QPrinter | None:
    """Ask for the printer, its paper and the pages; `None` where nothing is to be printed."""
    from PySide6.QtPrintSupport import QPrintDialog, QPrinter

    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    dialog = QPrintDialog(printer, parent)
    dialog.setMinMax(1, pages)
    dialog.setOption(QPrintDialog.PrintDialogOption.PrintPageRange)
    try:
        return printer if dialog.exec() == QDialog.DialogCode.Accepted else None
    finally:
        dialog.deleteLater()


def begin(view: PrintView) -> PaperJob | None:
    """Ask what has to be asked; the job that prints, `None` where nothing is to be printed."""
    sizes = view.pages.sizes if view.pages is not None else ()
    if not sizes:
        return None
    printer = choose_printer(view.window_of, len(sizes))
    if printer is None:
        return None
    first = max(printer.fromPage(), 1) - 1
    last = min(printer.toPage() or len(sizes), len(sizes))
    wanted = list(range(first, last))
    paper = printer.pageLayout().pageSize().size(QPageSize.Unit.Millimeter)
    too_large = [n for n in wanted if not _fits(_mm(sizes[n]), (paper.width(), paper.height()))]
    fit = False
    if too_large:
        answer = ask(
            view, _question(printer, len(too_large), _mm(sizes[too_large[0]]), (paper.width(), paper.height()))
        )
        if answer == "stay":
            return None
        if answer == "cut":
            name = printer.pageLayout().pageSize().name().partition(" ")[0]
            at = view.tile.findData(name)
            view.tile.setCurrentIndex(at)  # which makes it anew
            return None
        fit = True
    return PaperJob(view.window_of, view.data, printer, wanted, fit)


def _mm(points: tuple[float, float]) -> tuple[float, float]:
    return points[0] * MM_PER_POINT, points[1] * MM_PER_POINT


def _fits(page: tuple[float, float], paper: tuple[float, float]) -> bool:
    """Whether a page lies on a paper, either way round."""
    (short, long), (least, most) = sorted(page), sorted(paper)
    return bool(short <= least + SLACK_MM and long <= most + SLACK_MM)


def _question(printer: QPrinter, n: int, page: tuple[float, float], paper: tuple[float, float]) -> Question:
    name = printer.pageLayout().pageSize().name().partition(" ")[0]
    answers = [Answer("fit", _("Print smaller, to fit"))]
    if name in ("A4", "A3", "Letter", "Tabloid"):
        answers.append(Answer("cut", _("Cut into {paper} and look again").format(paper=name)))
    text = ngettext(
        "{n} page is larger than the paper in the printer: {w} × {h} mm on {pw} × {ph} mm.",
        "{n} pages are larger than the paper in the printer: {w} × {h} mm on {pw} × {ph} mm.",
        n,
    )
    return Question(
        _("The paper is too small"),
        text.format(
            n=n,
            w=number(round(page[0])),
            h=number(round(page[1])),
            pw=number(round(paper[0])),
            ph=number(round(paper[1])),
        ),
        (*answers, Answer("stay", _("Do not print"))),
        "stay",
        _("Printed smaller, nothing on it can be measured, and type may be too small to read."),
    )


class PaperJob(QObject):
    """One print under way. Belongs to its window and ends with it."""

    went = Signal()
    ended = Signal(str, bool)  # a sentence; whether all was printed

    def __init__(self, parent: QObject, data: bytes, printer: QPrinter, wanted: list[int], fit: bool) -> None:
        super().__init__(parent)
        self.setObjectName("printing")  # by which the desk finds it
        self.printer = printer
        self._pages = PdfPages(data)
        self._wanted = wanted
        self._fit = fit
        self._at = 0  # of the pages wanted
        self._painter: QPainter | None = None
        self._bands: list[QRect] = []
        self._size = (0, 0)  # of the page in dots
        self._corner = (0.0, 0.0)
        self._timer = QTimer(self)
        self._timer.setInterval(0)
        self._timer.timeout.connect(self._go_on)

    @property
    def words(self) -> str:
        """How far it is."""
        return _("Page {n} of {all} goes to the printer…").format(
            n=min(self._at + 1, len(self._wanted)), all=len(self._wanted)
        )

    def start(self) -> None:
        """Print."""
        if self.printer.resolution() > MOST_DPI:
            self.printer.setResolution(MOST_DPI)
        self.printer.setFullPage(True)
        self._lay(self._wanted[0])
        painter = QPainter()
        if not painter.begin(self.printer):
            self._end(_("The printer takes nothing; nothing was printed."), False)
            return
        self._painter = painter
        self._begin_page()
        self._timer.start()

    def give_up(self) -> None:
        """The person does not want it any more; what has come out has come out."""
        self.printer.abort()
        self._end(_("Printing was stopped."), False)

    def stop(self) -> None:
        """The window goes."""
        self.blockSignals(True)
        self.give_up()

    # -- page by page ---------------------------------------------------------------------------------------------
    def _lay(self, page: int) -> None:
        """The paper the way round the page is."""
        width, height = self._pages.sizes[page]
        lying = width > height
        way = QPageLayout.Orientation.Landscape if lying else QPageLayout.Orientation.Portrait
        self.printer.setPageOrientation(way)
        self.printer.setPageMargins(QMarginsF(0, 0, 0, 0), QPageLayout.Unit.Millimeter)

    def _begin_page(self) -> None:
        page = self._wanted[self._at]
        dpi = self.printer.resolution()
        wide, high = (round(points / 72.0 * dpi) for points in self._pages.sizes[page])
        paper = self.printer.paperRect(self._dots())
        if self._fit:
            scale = min(paper.width() / wide, paper.height() / high, 1.0)
            wide, high = round(wide * scale), round(high * scale)
        self._size = (wide, high)
        self._corner = (round((paper.width() - wide) / 2), round((paper.height() - high) / 2))
        rows = max(BAND // max(wide, 1), 16)
        self._bands = [QRect(0, top, wide, min(rows, high - top)) for top in range(0, high, rows)]

    @staticmethod
    def _dots() -> Any:
        from PySide6.QtPrintSupport import QPrinter

        return QPrinter.Unit.DevicePixel

    def _go_on(self) -> None:
        """One band; at the end of a page the next."""
        painter = self._painter
        if painter is None:
            return
        if self._bands:
            band = self._bands.pop(0)
            image = self._pages.picture(self._wanted[self._at], *self._size, band)
            x, y = self._corner
            painter.drawImage(QRectF(x, y + band.y(), band.width(), band.height()), image)
            return
        self._at += 1
        if self._at == len(self._wanted):
            n = len(self._wanted)
            self._end(
                ngettext("Sent to the printer: {n} page.", "Sent to the printer: {n} pages.", n).format(n=n), True
            )
            return
        self._lay(self._wanted[self._at])
        if not self.printer.newPage():
            self._end(_("The printer takes no more pages; {n} went to it.").format(n=self._at), False)
            return
        self._begin_page()
        self.went.emit()

    def _end(self, told: str, done: bool) -> None:
        self._timer.stop()
        painter, self._painter = self._painter, None
        if painter is not None and painter.isActive():
            painter.end()
        self._pages.close()
        self.setObjectName("")
        self.ended.emit(told, done)
        self.deleteLater()
