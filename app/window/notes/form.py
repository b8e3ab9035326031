"""The form to waive a finding: why, who, when, until when, and whether it is accepted or will be put right."""

from __future__ import annotations

import datetime

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.text_report import WORD_NAMES
from app.window.notes.lines import first_sentence
from app.window.notes.waiving import Answers, figures_words
from engine.findings import Finding
from engine.words import _

__all__ = ["WaiverForm"]


class WaiverForm(QWidget):
    """Asks what a waiver needs; the page makes the edit."""

    given = Signal(object)  # Answers
    dropped = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Waive a finding"))
        self.finding: Finding | None = None
        self.about = QLabel()
        self.about.setWordWrap(True)
        self.about.setTextFormat(Qt.TextFormat.PlainText)
        self.reason = QPlainTextEdit()
        self.reason.setTabChangesFocus(True)
        self.reason.setFixedHeight(self.fontMetrics().height() * 3 + 12)
        self.who = QLineEdit()
        self.date = QLineEdit()
        self.review = QLineEdit()
        for line in (self.date, self.review):
            line.setPlaceholderText(_("2026-03-31"))
        self.intent = QComboBox()
        self.intent.addItem(_("accepted"), False)
        self.intent.addItem(_("to be put right"), True)
        self.lacking = QLabel()
        self.lacking.setWordWrap(True)
        self.lacking.setTextFormat(Qt.TextFormat.PlainText)
        bold = self.lacking.font()
        bold.setBold(True)
        self.lacking.setFont(bold)
        self.lacking.setAccessibleName(_("What the waiver still needs"))
        self.lacking.hide()
        self.figures = QLabel()
        self.figures.setWordWrap(True)
        self.figures.setTextFormat(Qt.TextFormat.PlainText)
        self.waive_button = QPushButton(_("Waive"))
        self.drop_button = QPushButton(_("Do not waive"))
        rows = QFormLayout()
        rows.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        for name, field, told in (
            (_("Reason"), self.reason, _("Why this is accepted, or when it will be put right. Needed.")),
            (_("Who decides"), self.who, _("Needed for a danger.")),
            (_("Date"), self.date, _("The day of the decision, year-month-day.")),
            (_("Look again by"), self.review, _("Year-month-day. From then on the finding is open again.")),
            (_("Decision"), self.intent, _("Accepted as it is, or to be put right.")),
        ):
            field.setAccessibleName(name)
            field.setAccessibleDescription(told)
            field.setToolTip(told)
            rows.addRow(name, field)
        buttons = QHBoxLayout()
        for button in (self.waive_button, self.drop_button):
            button.setAccessibleName(button.text())
            button.setAutoDefault(False)
            buttons.addWidget(button)
        buttons.addStretch(1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(self.about)
        whole.addLayout(rows)
        whole.addWidget(self.figures)
        whole.addWidget(self.lacking)
        whole.addLayout(buttons)
        whole.addStretch(1)
        self.waive_button.clicked.connect(self._give)
        self.drop_button.clicked.connect(self.dropped)
        for line in (self.who, self.date, self.review):
            line.returnPressed.connect(self._give)
        for field in (self.reason, self.who, self.date, self.review, self.intent):
            field.installEventFilter(self)

    def begin(self, finding: Finding, today: datetime.date) -> None:
        """Ask about a finding, with nothing filled in but the day."""
        self.finding = finding
        self.about.setText(
            _("Waive {word} {rule} of {what}: {message}").format(
                word=_(WORD_NAMES[finding.word]),
                rule=finding.rule,
                what=", ".join(dict.fromkeys(finding.designations)),
                message=first_sentence(finding.message),
            )
        )
        bound = figures_words(finding)
        self.figures.setText(_("It holds while these figures stay: {figures}.").format(figures=bound) if bound else "")
        self.figures.setVisible(bool(bound))
        self.reason.clear()
        self.who.clear()
        self.date.setText(today.isoformat())
        self.review.clear()
        self.intent.setCurrentIndex(0)
        self.lacking.hide()
        self.reason.setFocus(Qt.FocusReason.OtherFocusReason)

    def tell_lacking(self, field: str, sentence: str) -> None:
        """Say what is still needed and go there."""
        self.lacking.setText(sentence)
        self.lacking.show()
        place = {"reason": self.reason, "who": self.who, "date": self.date, "review": self.review}.get(field)
        if place is not None:
            place.setFocus(Qt.FocusReason.OtherFocusReason)

    def _give(self) -> None:
        self.given.emit(
            Answers(
                self.reason.toPlainText(),
                self.who.text(),
                self.date.text(),
                self.review.text(),
                bool(self.intent.currentData()),
            )
        )

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Escape gives up, from wherever one is in the form."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
            self.dropped.emit()
            return True
        return bool(super().eventFilter(watched, event))
