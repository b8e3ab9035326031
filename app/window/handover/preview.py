"""A document as it will lie on the table: the PDF itself, in the place of the sheet."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QAccessible, QKeyEvent, QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QSpinBox,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.window.handover.paper_view import STEP, PaperView
from app.window.handover.pdf_pages import PdfPages
from app.window.handover.thumbnails import Thumbnails
from engine.words import _

__all__ = ["Preview"]


class Preview(QWidget):
    """Pages, their list, and a bar to go about in them."""

    left = Signal()  # back to the drawing
    anew_wanted = Signal()
    stop_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("preview")
        self.setAccessibleName(_("Preview on paper"))
        self.pages: PdfPages | None = None
        self.view = PaperView()
        self.list = Thumbnails()
        self.view.small = self.list.small
        self.back = QPushButton(_("Back to the drawing"))
        self.back.setToolTip(_("Show the sheet again (Esc)"))
        self.back.clicked.connect(self.left)
        self.title = QLabel()
        self.title.setTextFormat(Qt.TextFormat.PlainText)
        self.title.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        bold = self.title.font()
        bold.setBold(True)
        self.title.setFont(bold)
        self.number = QSpinBox()
        self.number.setAccessibleName(_("Page"))
        self.number.setToolTip(_("Go to a page (Ctrl+G)"))
        self.number.setKeyboardTracking(False)
        self.number.setButtonSymbols(QSpinBox.ButtonSymbols.NoButtons)
        self.number.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.number.valueChanged.connect(self._go)
        self.count = QLabel()
        self.before = self._button("‹", _("Page before"), _("Page before (Page up)"))
        self.after = self._button("›", _("Next page"), _("Next page (Page down)"))
        self.smaller = self._button("−", _("Smaller"), _("Smaller (−, or the wheel with Ctrl)"))
        self.larger = self._button("+", _("Larger"), _("Larger (+, or the wheel with Ctrl)"))
        self.scale = self._button("100 %", _("True size"), _("True size, as far as the system knows its screen (1)"))
        self.whole = self._button(_("Page"), _("Whole page"), _("The whole page (0)"))
        self.wide = self._button(_("Width"), _("Page width"), _("As wide as there is room (2)"))
        for button in (self.whole, self.wide):
            button.setCheckable(True)
        self.whole.clicked.connect(self.view.fit)
        self.wide.clicked.connect(self.view.fit_width)
        self.scale.clicked.connect(self.view.show_true_size)
        self.smaller.clicked.connect(lambda: self.view.zoom_by(1 / STEP))
        self.larger.clicked.connect(lambda: self.view.zoom_by(STEP))
        self.before.clicked.connect(lambda: self.view.go_to(self.view.page - 1))
        self.after.clicked.connect(lambda: self.view.go_to(self.view.page + 1))
        self.state = QLabel()
        self.state.setObjectName("preview_state")
        self.state.setTextFormat(Qt.TextFormat.PlainText)
        self.state.setWordWrap(True)
        self.anew = QPushButton(_("Make it anew"))
        self.anew.clicked.connect(self.anew_wanted)
        self.stop = QPushButton(_("Stop"))
        self.stop.clicked.connect(self.stop_wanted)
        self._arrange()
        self.view.turned.connect(self._turned)
        self.view.scaled.connect(self._scaled)
        self.list.wanted.connect(self.view.go_to)
        QShortcut(QKeySequence("Ctrl+G"), self, self._type_page, context=Qt.ShortcutContext.WidgetWithChildrenShortcut)
        self.clear()

    def _button(self, text: str, name: str, tip: str) -> QToolButton:
        made = QToolButton()
        made.setText(text)
        made.setAccessibleName(name)
        made.setToolTip(tip)
        made.setAutoRaise(True)
        made.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        return made

    def _arrange(self) -> None:
        bar = QHBoxLayout()
        bar.setContentsMargins(6, 4, 6, 4)
        bar.setSpacing(4)
        bar.addWidget(self.back)
        bar.addSpacing(6)
        bar.addWidget(self.title, 1)
        for part in (self.before, self.number, self.count, self.after):
            bar.addWidget(part)
        bar.addSpacing(8)
        for part in (self.smaller, self.scale, self.larger, self.whole, self.wide):
            bar.addWidget(part)
        self.notice = QFrame()
        told = QHBoxLayout(self.notice)
        told.setContentsMargins(8, 3, 6, 3)
        told.addWidget(self.state, 1)
        told.addWidget(self.anew)
        told.addWidget(self.stop)
        middle = QHBoxLayout()
        middle.setSpacing(0)
        middle.addWidget(self.list)
        middle.addWidget(self.view, 1)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(0)
        box.addLayout(bar)
        box.addWidget(self.notice)
        box.addLayout(middle, 1)

    # -- what is shown --------------------------------------------------------------------------------------------
    def show_pdf(self, title: str, pages: PdfPages) -> None:
        """Show what was made; what was shown before is closed."""
        self._close_pages()
        self.pages = pages
        self.title.setText(title)
        self.title.setToolTip(title)
        several = len(pages) > 1
        self.number.blockSignals(True)
        self.number.setRange(1, max(1, len(pages)))
        self.number.blockSignals(False)
        self.count.setText(_("of {n}").format(n=len(pages)))
        self.list.show_pages(pages)
        self.list.setVisible(several)
        self.view.show_pages(pages)
        self._enable()
        self._turned(self.view.page)

    def clear(self, title: str = "") -> None:
        """Show nothing."""
        self._close_pages()
        self.title.setText(title)
        self.count.setText("")
        self.list.hide()
        self.tell("")
        self._enable()

    def tell(self, words: str, whole: str = "", *, anew: bool = False, stop: bool = False) -> None:
        """Say how what is shown stands to the drawing, or how far it is; "": all is well. `whole`: more of it."""
        self.state.setText(words)
        self.state.setToolTip(whole)
        self.state.setAccessibleDescription(whole)
        for button, shown in ((self.anew, anew), (self.stop, stop)):
            if not shown and button.hasFocus():
                self.view.setFocus(Qt.FocusReason.OtherFocusReason)
            button.setVisible(shown)
        self.notice.setVisible(bool(words))

    def _close_pages(self) -> None:
        self.view.show_pages(None)
        self.list.show_pages(None)
        if self.pages is not None:
            self.pages.close()
            self.pages = None

    def _enable(self) -> None:
        many = 0 if self.pages is None else len(self.pages)
        for part in (self.smaller, self.scale, self.larger, self.whole, self.wide):
            part.setVisible(many > 0)
        for each in (self.before, self.number, self.count, self.after):
            each.setVisible(many > 1)

    # -- going about ----------------------------------------------------------------------------------------------
    def _go(self, number: int) -> None:
        self.view.go_to(number - 1)

    def _type_page(self) -> None:
        if not self.number.isHidden():
            self.number.setFocus(Qt.FocusReason.ShortcutFocusReason)
            self.number.selectAll()

    def _turned(self, page: int) -> None:
        self.number.blockSignals(True)
        self.number.setValue(page + 1)
        self.number.blockSignals(False)
        self.list.follow(page)
        many = 0 if self.pages is None else len(self.pages)
        self.before.setEnabled(page > 0)
        self.after.setEnabled(page + 1 < many)
        if self.pages is not None:
            words = _("Page {n} of {all}: {title}").format(n=page + 1, all=many, title=self.pages.titles.get(page, ""))
            words = words.rstrip(": ")
            if QAccessible.isActive():  # somebody has it read aloud
                words += "\n" + self.pages.text(page)
            self.view.setAccessibleDescription(words)

    def _scaled(self) -> None:
        self.scale.setText(_("{n} %").format(n=round(self.view.scale * 100)))
        self.whole.setChecked(self.view.fitting == "page")
        self.wide.setChecked(self.view.fitting == "width")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name. Escape: back to the drawing."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def showEvent(self, event: QShowEvent) -> None:
        """Qt's own name."""
        super().showEvent(event)
        self.list.follow(self.view.page)

    def changeEvent(self, event: QEvent) -> None:
        """Qt's own name. In another palette the surroundings are another colour; paper stays white."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self.view.viewport().update()
