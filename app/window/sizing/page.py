"""The page of sizes: what the chosen run or equipment needs, with its reasons, and buttons that fit it."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QTextBrowser, QVBoxLayout, QWidget

from app.window.document import Change, Document
from app.window.sizing.offers import asked, fitting, label, told
from app.window.small_print import cautions_line
from app.worker_messages import Sized
from engine.edits import EditError
from engine.sizing.results import Answer
from engine.words import _

__all__ = ["SizesPage"]


class SizesPage(QWidget):
    """Follows the selection while it is shown; the study process works the sizes out."""

    reveal = Signal(str)  # id
    refused = Signal(str)  # a sentence

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.answers: tuple[Answer, ...] = ()
        self.buttons: list[QPushButton] = []
        self._waiting: tuple[str, ...] = ()  # what is being worked out
        self._wants_focus = False  # of the first button, when there is one
        self.setAccessibleName(_("Sizes"))
        self.head = QLabel()
        self.head.setWordWrap(True)
        self.head.setTextFormat(Qt.TextFormat.PlainText)
        self.head.setAccessibleDescription(_("Of what the sizes are told"))
        self.whole = QTextBrowser()
        self.whole.setAccessibleName(_("Sizes and their reasons"))
        self.whole.setOpenLinks(False)
        self.whole.setTabChangesFocus(True)
        self.whole.setFrameShape(QTextBrowser.Shape.NoFrame)
        self.row = QVBoxLayout()
        caution = cautions_line()
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addWidget(self.head)
        box.addWidget(self.whole, 1)
        box.addLayout(self.row)
        box.addWidget(caution)
        document.selected.connect(self._ask)
        document.changed.connect(self._changed)
        document.sized.connect(self._sized)
        document.judged.connect(self._judged)
        self._show_nothing()

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 320)

    def begin(self) -> None:
        """Take the focus: the first button, as soon as there is one."""
        self._wants_focus = True
        self.whole.setFocus(Qt.FocusReason.TabFocusReason)
        self._focus_button()

    # -- asking -------------------------------------------------------------------------------------------------
    def _ask(self) -> None:
        if not self.isVisible():
            return
        items = asked(self.document.snapshot(), self.document.selection)
        self._waiting = ()
        self.answers = ()
        self._clear_buttons()
        self.whole.clear()
        if not items:
            self._show_nothing()
            return
        names = ", ".join(self.document.snapshot().name(item) for item in items)
        if self.document.judge is None:
            self.head.setText(_("Sizes cannot be worked out: there is no study process."))
            return
        self._waiting = items
        self.head.setText(_("{items}: being worked out…").format(items=names))
        self.document.judge.size(*items)

    def _changed(self, _change: Change) -> None:
        self._ask()

    def _judged(self, _judgement: object) -> None:
        """There is a study process now, if there was none before."""
        if not self.answers and not self._waiting:
            self._ask()

    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page asks for nothing; it does when it is shown."""
        super().showEvent(event)
        self._ask()

    def hideEvent(self, event: QHideEvent) -> None:
        """What was asked is not wanted any more."""
        self._waiting = ()
        self._wants_focus = False
        super().hideEvent(event)

    def _show_nothing(self) -> None:
        self.head.setText(_("Choose a run, a protective device, a switch, a bus, a bank or an inverter."))
        self.whole.clear()

    # -- telling ------------------------------------------------------------------------------------------------
    def _sized(self, sized: Sized) -> None:
        if not self._waiting or sized.items != self._waiting:
            return
        self._waiting = ()
        self.answers = sized.answers
        snapshot = self.document.snapshot()
        if sized.words:
            self.head.setText(_("Sizes could not be worked out: {fault}").format(fault=sized.words))
            return
        if not sized.answers:
            names = ", ".join(snapshot.name(item) for item in sized.items)
            self.head.setText(_("{items}: there is no size to work out here.").format(items=names))
            return
        short = [answer.designation for answer in sized.answers if answer.suffices is False]
        unknown = [answer.designation for answer in sized.answers if answer.suffices is None]
        if short:
            words = _("Too small, or of the wrong rating: {items}.").format(items=", ".join(short))
        elif unknown:
            words = _("Not known whether it will do: {items}.").format(items=", ".join(unknown))
        else:
            words = _("What is recorded will do.")
        self.head.setText(words)
        self.whole.setHtml("<hr>".join(told(answer) for answer in sized.answers))
        self._offer()

    def _offer(self) -> None:
        snapshot = self.document.snapshot()
        for answer in self.answers:
            if fitting(answer, snapshot) is None:
                continue
            button = QPushButton(
                _("{item}: {what}").format(item=answer.designation or snapshot.name(answer.item), what=label(answer))
            )
            button.setAccessibleName(button.text())
            button.setToolTip(_("Set it on the drawing; Undo takes it back"))
            button.setAccessibleDescription(button.toolTip())
            button.setEnabled(not self.document.read_only)
            button.clicked.connect(partial(self._fit, answer))
            line = QHBoxLayout()
            line.addWidget(button)
            line.addStretch(1)
            self.row.addLayout(line)
            self.buttons.append(button)
        self._focus_button()

    def _focus_button(self) -> None:
        if self._wants_focus and self.buttons:
            self._wants_focus = False
            self.buttons[0].setFocus(Qt.FocusReason.TabFocusReason)

    def _clear_buttons(self) -> None:
        if any(button.hasFocus() for button in self.buttons):
            self._wants_focus = True
            self.whole.setFocus(Qt.FocusReason.OtherFocusReason)
        self.buttons.clear()
        while (line := self.row.takeAt(0)) is not None:
            inner = line.layout()
            while inner is not None and (entry := inner.takeAt(0)) is not None:
                widget = entry.widget()
                if widget is not None:
                    widget.hide()
                    widget.deleteLater()
            line.deleteLater()

    def _fit(self, answer: Answer) -> None:
        edit = fitting(answer, self.document.snapshot())
        if edit is None:
            return
        try:
            self.document.do(edit)
        except EditError as fault:
            self.refused.emit(str(fault))
