"""Every modal question goes through `ask` or `ask_line`, so that a test answers it and never hangs."""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QInputDialog, QMessageBox, QWidget

__all__ = ["Answer", "Question", "ask", "ask_line"]


class Answer(NamedTuple):
    """A button: its key (what `ask` returns) and what stands on it."""

    key: str
    label: str
    loses: bool = False  # taking it throws something away


class Question(NamedTuple):
    """A question with at least one answer. `safe` is the key Escape and the window's close box stand for."""

    title: str
    text: str  # first sentence: what it is about
    answers: tuple[Answer, ...]
    safe: str
    more: str = ""  # in smaller type below


def ask(parent: QWidget | None, question: Question) -> str:
    """Put the question and wait; returns the key of the answer."""
    box = QMessageBox(parent)
    box.setWindowTitle(question.title)
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setText(question.text)
    box.setInformativeText(question.more)
    keys: dict[QAbstractButton, str] = {}
    for answer in question.answers:
        role = QMessageBox.ButtonRole.DestructiveRole if answer.loses else QMessageBox.ButtonRole.AcceptRole
        if answer.key == question.safe and len(question.answers) > 1:
            role = QMessageBox.ButtonRole.RejectRole
        button = box.addButton(answer.label, role)
        button.setAccessibleName(answer.label)
        keys[button] = answer.key
        if answer.key == question.safe:
            box.setEscapeButton(button)
        if answer == question.answers[0]:
            box.setDefaultButton(button)
    box.exec()
    given = keys.get(box.clickedButton(), question.safe)
    box.deleteLater()
    return given


def ask_line(parent: QWidget | None, title: str, text: str, proposed: str = "") -> str:
    """Ask for a line of text, `proposed` standing there; "" where nothing is to be done."""
    given, is_given = QInputDialog.getText(parent, title, text, text=proposed)
    return given.strip() if is_given else ""
