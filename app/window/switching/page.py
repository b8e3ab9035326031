"""The page of failures and switching: three questions over switch positions, answered by the study process."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QTabWidget, QVBoxLayout, QWidget

from app.switching_messages import FailuresTold, Isolated, Ordered, SwitchingSoFar
from app.window.document import Change, Document
from app.window.small_print import make_small
from app.window.switching.dead import DeadPart
from app.window.switching.failures import FailuresPart
from app.window.switching.order import OrderPart
from app.window.switching.part import Part, text_line
from engine.cautions import CAUTIONS
from engine.words import _

__all__ = ["SwitchingPage"]


class SwitchingPage(QWidget):
    """Only the part that is seen asks; what it asked and is not answered is dropped when one turns away."""

    reveal = Signal(str)  # id
    refused = Signal(str)  # a sentence
    paper_wanted = Signal(object)  # Paper

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.setAccessibleName(_("Failures and switching"))
        self.failures = FailuresPart(document)
        self.order = OrderPart(document)
        self.dead = DeadPart(document)
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.setUsesScrollButtons(True)
        self.tabs.tabBar().setAccessibleName(_("Parts of the page"))
        for part, title in (
            (self.failures, _("Failures")),
            (self.order, _("Switching order")),
            (self.dead, _("Make dead")),
        ):
            self.tabs.addTab(part, title)
            part.reveal.connect(self.reveal)
            part.refused.connect(self.refused)
            part.paper_wanted.connect(self.paper_wanted)
        self.tabs.currentChanged.connect(self._turned)
        caution = text_line(_("Cautions"))
        caution.setText(" ".join(_(text) for text in CAUTIONS))
        make_small(caution)
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addWidget(self.tabs, 1)
        box.addWidget(caution)
        document.changed.connect(self._changed)
        document.switched.connect(self._switched)
        document.judged.connect(self._judged)

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 320)

    @property
    def part(self) -> Part:
        """The part that is seen."""
        return self._parts()[self.tabs.currentIndex()]

    def _parts(self) -> tuple[Part, ...]:
        return self.failures, self.order, self.dead

    def begin(self) -> None:
        """Take the focus."""
        self.part.begin()
        if not self.isAncestorOf(self.focusWidget()):
            self.tabs.tabBar().setFocus(Qt.FocusReason.TabFocusReason)

    def make_dead(self, item: str) -> None:
        """Tell how this is made dead."""
        self.tabs.setCurrentWidget(self.dead)
        self.dead.ask_for(item)

    # -- following ------------------------------------------------------------------------------------------------
    def _turned(self, _at: int) -> None:
        for part in self._parts():
            if part is not self.part and part.is_awake:
                part.sleep()
        if self.isVisible():
            self.part.wake()

    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page asks for nothing; it does when it is shown."""
        super().showEvent(event)
        self.part.wake()

    def hideEvent(self, event: QHideEvent) -> None:
        """What was asked is not wanted any more."""
        self.part.sleep()
        super().hideEvent(event)

    def _changed(self, _change: Change) -> None:
        for part in self._parts():
            part.changed()

    def _judged(self, _judgement: object) -> None:
        """There is a study process now, if there was none before."""
        if self.isVisible() and not self.part.is_working and not self.part.is_given_up:
            self.part.wake()

    def _switched(self, told: object) -> None:
        if isinstance(told, FailuresTold):
            self.failures.take(told)
        elif isinstance(told, Ordered):
            self.order.take(told)
        elif isinstance(told, Isolated):
            self.dead.take(told)
        elif isinstance(told, SwitchingSoFar):
            parts: dict[str, Part] = {"failures": self.failures, "order": self.order, "isolate": self.dead}
            parts[told.what].hear(told.done, told.of)
