"""The foot of the window: sheets, what is under the pointer or was done, what was found, how large, the caution."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from app.judgement import Judgement
from app.window.document import Change, Document
from app.window.sheet_tabs import SheetTabs
from app.window.viewing import ViewButton
from engine.cautions import CAUTIONS
from engine.words import _

__all__ = ["Foot"]

LATE_MS = 300  # a judgement that comes sooner is not worth a flicker


class _Line(QLabel):
    """A line of text that is cut at its end rather than widening the window; the whole is its tip."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setObjectName(name)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._whole = ""

    def tell(self, text: str) -> None:
        """Show a sentence."""
        self._whole = text
        self.setToolTip(text)
        self.setAccessibleName(text)
        self._cut()

    @property
    def whole(self) -> str:
        """All of it."""
        return self._whole

    def _cut(self) -> None:
        self.setText(self.fontMetrics().elidedText(self._whole, Qt.TextElideMode.ElideRight, max(self.width(), 40)))

    def resizeEvent(self, event: object) -> None:
        """Qt's own name."""
        super().resizeEvent(event)  # type: ignore[arg-type]  # handed on as it came
        self._cut()


class Foot(QWidget):
    """Below the sheet."""

    notes_wanted = Signal()

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("foot")
        self.setAccessibleName(_("Foot of the window"))
        self.document = document
        self.tabs = SheetTabs(document)
        self.sheets = self.tabs.bar
        self.tabs.refused.connect(self.refuse)
        self.views = ViewButton(document)
        self.found = QToolButton()
        self.found.setObjectName("found")
        self.found.setText(_("Not judged yet"))
        self._late = QTimer(self)
        self._late.setSingleShot(True)
        self._late.timeout.connect(self._tell_late)
        self.found.clicked.connect(self._want_notes)
        self._line = _Line("message")
        caution = QLabel(_("Assists a competent person; does not certify. Isolate and prove dead before work."))
        caution.setObjectName("caution")
        caution.setToolTip("\n\n".join(_(text) for text in CAUTIONS))
        top = QHBoxLayout()
        top.setContentsMargins(4, 0, 6, 0)
        top.addWidget(self.tabs, 1)
        top.addWidget(self.views)
        top.addWidget(self.found)
        low = QHBoxLayout()
        low.setContentsMargins(8, 0, 8, 3)
        low.setSpacing(12)
        low.addWidget(self._line, 1)
        low.addWidget(caution)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 2, 0, 0)
        whole.setSpacing(1)
        whole.addLayout(top)
        whole.addLayout(low)
        document.changed.connect(self._changed)
        document.judged.connect(self._judged)

    def say(self, text: str) -> None:
        """What is under the pointer, or what was done."""
        if text:
            self._line.tell(text)

    def refuse(self, text: str) -> None:
        """Why something was not done."""
        self._line.tell(_("Not done: {why}").format(why=text))

    def hint(self, text: str) -> None:
        """What the tool in hand does: stands there until there is something else to say."""
        self._line.tell(text)

    @property
    def message(self) -> str:
        """What stands there now."""
        return self._line.whole

    def take_focus(self) -> None:
        """Give the focus to the sheets."""
        self.sheets.setFocus(Qt.FocusReason.TabFocusReason)

    def _changed(self, change: Change) -> None:
        if self.document.judgement is not None and not self._late.isActive():
            self._late.start(LATE_MS)

    def _judged(self, judgement: Judgement) -> None:
        self._late.stop()
        snapshot = self.document.snapshot()
        is_empty = not snapshot.equipment and not snapshot.runs
        self._tell_found(_("Nothing is drawn yet") if is_empty else judgement.result.summary())

    def _tell_late(self) -> None:
        """A change has not been judged yet: what stands there was found before it."""
        judgement = self.document.judgement
        if judgement is not None:
            told = _("Being judged… Before the last change: {summary}")
            self._tell_found(told.format(summary=judgement.result.summary()))

    def _tell_found(self, text: str) -> None:
        self.found.setText(text)
        self.found.setToolTip(_("{summary}: show the notes").format(summary=text))
        self.found.setAccessibleName(self.found.toolTip())

    def _want_notes(self, _checked: bool = False) -> None:
        self.notes_wanted.emit()
