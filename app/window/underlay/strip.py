"""What there is to set at the picture under the sheet, in a line above the sheet while one places it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import (
    QCheckBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSlider,
    QSpinBox,
    QVBoxLayout,
)

from app.drawing.changes.underlaying import take_away
from app.window.underlay.laying import Underlays
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["Strip"]

_PAUSE_MS = 400  # after a key at the slider, before the drawing has it: a row of keys is one edit


class Strip(QFrame):
    """Strength, page, whether it is printed; another file, away with it."""

    def __init__(self, window: Window, underlays: Underlays) -> None:
        super().__init__(window)
        self.setObjectName("underlay-strip")
        self.setAccessibleName(_("Picture under the sheet"))
        self.window_of, self.underlays = window, underlays
        self._settling = False
        outer = QVBoxLayout(self)
        outer.setContentsMargins(10, 3, 6, 3)
        line = QHBoxLayout()
        outer.addLayout(line)
        self.name = QLabel()
        self.name.setTextFormat(Qt.TextFormat.PlainText)
        line.addWidget(self.name, 1)
        strength = QLabel(_("&Strength"))
        self.strength = QSlider(Qt.Orientation.Horizontal)
        self.strength.setRange(5, 100)
        self.strength.setPageStep(10)
        self.strength.setSingleStep(5)
        self.strength.setMinimumWidth(140)
        self.strength.setAccessibleName(_("How strongly the picture shows, percent"))
        strength.setBuddy(self.strength)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE_MS)
        self._pause.timeout.connect(self._take_strength)
        self.strength.valueChanged.connect(self._slid)
        self.strength.sliderReleased.connect(self._take_strength)
        self.page_label = QLabel(_("&Page"))
        self.page = QSpinBox()
        self.page.setMinimum(1)
        self.page.setKeyboardTracking(False)
        self.page.setAccessibleName(_("Page of the PDF"))
        self.page_label.setBuddy(self.page)
        self.page.valueChanged.connect(self._paged)
        self.printed = QCheckBox(_("P&rinted too"))
        self.printed.toggled.connect(self._print_toggled)
        for widget in (strength, self.strength, self.page_label, self.page, self.printed):
            line.addWidget(widget)
        for title, spoken, call in (
            (_("Another file…"), _("Show another file in its place"), underlays.look_for),
            (_("Take away"), _("Take the picture under the sheet away"), self._away),
            (_("Done"), _("Done with placing the picture"), self._done),
        ):
            button = QPushButton(title)
            button.setAccessibleName(spoken)
            button.clicked.connect(partial(_call, call))
            line.addWidget(button)
        self.hide()
        underlays.shown_changed.connect(self.refresh)
        window.board.tool_changed.connect(self.refresh)

    def refresh(self, _tool: object = None) -> None:
        """As the drawing has it; seen while the picture is being placed."""
        record, picture = self.underlays.record, self.underlays.picture
        seen = record is not None and self.window_of.board.tool.NAME == "underlay"
        self.setVisible(seen)
        if record is None:
            return
        self._settling = True
        try:
            self.name.setText(record.file.rsplit("/", 1)[-1])
            self.name.setToolTip(record.file)
            if not self._pause.isActive() and not self.strength.isSliderDown():
                self.strength.setValue(round(record.strength_percent))
            pages = picture.pages if picture is not None else record.page
            self.page.setMaximum(max(pages, record.page))
            self.page.setValue(record.page)
            for widget in (self.page, self.page_label):
                widget.setVisible(pages > 1)
            self.printed.setChecked(record.printed)
            for control in (self.strength, self.page, self.printed):
                control.setEnabled(not self.underlays.document.read_only)
        finally:
            self._settling = False

    def _slid(self, value: int) -> None:
        """Seen at once; the drawing has it when the slider is let go."""
        record = self.underlays.record
        if self._settling or record is None:
            return
        from msgspec.structs import replace

        self.underlays.under.place(replace(record, strength_percent=float(value)))
        if not self.strength.isSliderDown():
            self._pause.start()

    def _take_strength(self) -> None:
        self._pause.stop()
        told = _("Show the picture under the sheet at {n} %").format(n=self.strength.value())
        self.underlays.change(told, strength_percent=float(self.strength.value()))

    def _paged(self, page: int) -> None:
        if not self._settling:
            self.underlays.change(_("Show page {page} under the sheet").format(page=page), page=page)

    def _print_toggled(self, on: bool) -> None:
        if not self._settling:
            told = _("Print the picture under the sheet") if on else _("Do not print the picture under the sheet")
            self.underlays.change(told, printed=on)

    def _away(self) -> None:
        document = self.underlays.document
        self.window_of.try_edit(partial(take_away, document.snapshot(), document.sheet))
        self._done()

    def _done(self) -> None:
        self.window_of.take_tool("choose")


def _call(call: object, _checked: bool = False) -> None:
    call()  # type: ignore[operator]  # a function without arguments
