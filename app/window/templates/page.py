"""The page of templates: choose one, answer what it asks, and put it on the sheet in one go."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.drawing.changes import Made, draw_template
from app.window.document import Change, Document
from app.window.templates.form import Form
from engine.books import BookError, load_beside
from engine.edits import EditError
from engine.templates import Template, fit, templates, uses_metric
from engine.words import _

__all__ = ["TemplatesPage"]


class TemplatesPage(QWidget):
    """Places where there is room, or where one clicks."""

    refused = Signal(str)  # a sentence
    click_wanted = Signal(object)  # a function of column and row that makes the edit
    placed = Signal(object)  # Made

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.setAccessibleName(_("Templates"))
        self.which = QComboBox()
        self.which.setAccessibleName(_("Template"))
        self.which.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        for template in templates().values():
            self.which.addItem(_(template.title), template.name)
            self.which.setItemData(self.which.count() - 1, _(template.purpose), Qt.ItemDataRole.ToolTipRole)
        self.purpose = _wrapped(_("What the template is for"))
        self.form = Form()
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(self.form)
        note = _wrapped(_("About the figures"))
        note.setText(
            _(
                "Figures that nobody gave are proposals, marked as assumed; put in those of what is bought. The rules "
                "judge the whole drawing afterwards."
            )
        )
        self.here = _button(
            _("&Place on this sheet"), _("Put it where this sheet has room, else on another or a new one.")
        )
        self.click = _button(_("Place with a &click…"), _("Then click on the sheet where its middle is to be."))
        row = QHBoxLayout()
        row.addWidget(self.here)
        row.addWidget(self.click)
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addWidget(self.which)
        box.addWidget(self.purpose)
        box.addWidget(scroll, 1)
        box.addWidget(note)
        box.addLayout(row)
        self.which.currentIndexChanged.connect(self._ask)
        self.form.entered.connect(self.place_here)
        self.here.clicked.connect(self.place_here)
        self.click.clicked.connect(self.place_by_click)
        document.changed.connect(self._changed)
        document.headed.connect(self._set_able)
        self._ask()
        self._set_able()

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 320)

    @property
    def template(self) -> Template:
        """The one chosen."""
        return templates()[self.which.currentData()]

    def begin(self) -> None:
        """Take the focus: the list of templates."""
        self.which.setFocus(Qt.FocusReason.TabFocusReason)

    # -- following ------------------------------------------------------------------------------------------------
    def _ask(self) -> None:
        self.purpose.setText(_(self.template.purpose))
        self._metric = self._is_metric()
        self.form.ask(self.template, self.document.snapshot(), is_metric=self._metric)
        self.which.setAccessibleDescription(_(self.template.purpose))

    def _is_metric(self) -> bool:
        """By the drawing's book."""
        book = self.document.snapshot().settings.book
        try:
            return uses_metric(load_beside(book, self.document.folder))
        except BookError:
            return False

    def _changed(self, change: Change) -> None:
        if ("settings", "settings") in change.items and self._is_metric() != self._metric:
            self._ask()
        else:
            self.form.offer(self.document.snapshot())

    def _set_able(self) -> None:
        for button in (self.here, self.click):
            button.setEnabled(not self.document.read_only)

    # -- placing --------------------------------------------------------------------------------------------------
    def place_here(self) -> None:
        """Put it where there is room; told at the foot where it cannot be."""
        if self.document.read_only:
            self.refused.emit(_("The drawing is open to read only: {why}").format(why=self.document.read_only))
            return
        QApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            made = self._made(None)
            self.document.do(made.edit)
        except (EditError, BookError) as fault:
            self.refused.emit(str(fault))
            return
        finally:
            QApplication.restoreOverrideCursor()
        self.placed.emit(made)

    def place_by_click(self) -> None:
        """Have the board ask where; what cannot be is told before."""
        try:
            self._made(None)
        except (EditError, BookError) as fault:
            self.refused.emit(str(fault))
            return
        self.click_wanted.emit(lambda column, row: self._made((column, row)))

    def _made(self, near: tuple[int, int] | None) -> Made:
        """The edit, of the drawing as it is now. Raises `EditError` and `BookError`."""
        document = self.document
        snapshot = document.snapshot()
        book = load_beside(snapshot.settings.book, document.folder)
        fitted = fit(snapshot, document.installation.last_id, self.template, self.form.given(), book)
        return draw_template(snapshot, fitted, document.sheet, near)


def _wrapped(what: str) -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setMinimumWidth(1)
    label.setAccessibleDescription(what)
    return label


def _button(text: str, tip: str) -> QPushButton:
    button = QPushButton(text)
    button.setToolTip(tip)
    button.setAccessibleName(text.replace("&", ""))
    button.setAccessibleDescription(tip)
    return button
