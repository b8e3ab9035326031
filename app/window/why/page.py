"""The page that tells, rule by rule, what is said of the chosen piece and why nothing is said."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, QUrl, Signal
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QCheckBox, QLabel, QTextBrowser, QVBoxLayout, QWidget

from app.window.document import Change, Document
from app.window.small_print import cautions_line
from app.window.why.told import asked, head, page_html
from app.worker_messages import Explained
from engine.words import _

__all__ = ["WhyPage"]


class WhyPage(QWidget):
    """Follows the selection while it is shown; the study process asks the rules to prove what they pass."""

    rule_wanted = Signal(str)  # slug

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.told: Explained | None = None  # what is shown
        self._waiting: tuple[str, ...] = ()  # what is being worked out
        self.setAccessibleName(_("Why nothing is said"))
        self.head = QLabel()
        self.head.setWordWrap(True)
        self.head.setTextFormat(Qt.TextFormat.PlainText)
        self.head.setAccessibleDescription(_("How many rules say what"))
        self.away = QCheckBox(_("rules that do not apply too"))
        self.away.setAccessibleName(_("Show rules that do not apply too"))
        self.away.toggled.connect(self._show)
        self.whole = QTextBrowser()
        self.whole.setAccessibleName(_("What every rule says"))
        self.whole.setOpenLinks(False)
        self.whole.setFrameShape(QTextBrowser.Shape.NoFrame)
        self.whole.anchorClicked.connect(self._follow)
        caution = cautions_line()
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addWidget(self.head)
        box.addWidget(self.away)
        box.addWidget(self.whole, 1)
        box.addWidget(caution)
        document.selected.connect(self._ask)
        document.changed.connect(self._changed)
        document.explained.connect(self._explained)
        document.judged.connect(self._judged)
        self._clear(_("Choose a run or a piece of equipment."))

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 320)

    def begin(self) -> None:
        """Take the focus."""
        self.whole.setFocus(Qt.FocusReason.TabFocusReason)

    # -- asking -------------------------------------------------------------------------------------------------
    def _ask(self) -> None:
        if not self.isVisible():
            return
        snapshot = self.document.snapshot()
        items = asked(snapshot, self.document.selection)
        self._waiting = ()
        if not items:
            self._clear(_("Choose a run or a piece of equipment."))
        elif self.document.judge is None:
            self._clear(_("What rules say cannot be worked out: there is no study process."))
        else:
            names = ", ".join(snapshot.name(item) for item in items)
            self._clear(_("{items}: being worked out…").format(items=names))
            self._waiting = items
            self.document.judge.explain(*items)

    def _changed(self, _change: Change) -> None:
        self._ask()

    def _judged(self, _judgement: object) -> None:
        """There is a study process now, if there was none before."""
        if self.told is None and not self._waiting:
            self._ask()

    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page asks for nothing; it does when it is shown."""
        super().showEvent(event)
        self._ask()

    def hideEvent(self, event: QHideEvent) -> None:
        """What was asked is not wanted any more."""
        self._waiting = ()
        super().hideEvent(event)

    # -- telling ------------------------------------------------------------------------------------------------
    def _clear(self, words: str) -> None:
        self.told = None
        self.whole.clear()
        self.head.setText(words)

    def _explained(self, told: Explained) -> None:
        if not self._waiting or told.items != self._waiting:
            return
        self._waiting = ()
        if told.words:
            self._clear(_("What rules say could not be worked out: {fault}").format(fault=told.words))
            return
        self.told = told
        names = ", ".join(self.document.snapshot().name(item) for item in told.items)
        self.head.setText(f"{names}: {head(told.says)}.")
        self._show()

    def _show(self, _on: bool = False) -> None:
        if self.told is not None:
            snapshot = self.document.snapshot()
            self.whole.setHtml(page_html(snapshot, self.told.items, self.told.says, away=self.away.isChecked()))

    def _follow(self, link: QUrl) -> None:
        self.rule_wanted.emit(link.toString())
