"""What the check says of the things that are shown: findings as buttons, and the fields rules cannot judge without."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app.judgement import Judgement
from app.window.entries import title_of
from app.window.particulars.setting import Subject
from engine.findings import Finding
from engine.installation.model import Snapshot
from engine.wanted import WantedFields
from engine.words import N_, _, ngettext

__all__ = ["FindingStrip", "findings_of", "needed_fields"]

MOST = 4  # findings told on the page; the margin has them all
WORDS = {"danger": N_("Danger"), "warning": N_("Warning"), "caution": N_("Caution"), "notice": N_("Notice")}


def findings_of(judgement: Judgement | None, subjects: Sequence[Subject]) -> tuple[Finding, ...]:
    """The open findings that name one of the things, those that speak of it first before those that mention it."""
    if judgement is None:
        return ()
    ids = {s.id for s in subjects}
    named = [f for f in judgement.result.findings if ids & set(f.ids)]
    return (*(f for f in named if f.ids[0] in ids), *(f for f in named if f.ids[0] not in ids))


def needed_fields(
    judgement: Judgement | None, snapshot: Snapshot, subjects: Sequence[Subject]
) -> dict[str, tuple[str, ...]]:
    """Fields of these records that some rule lacks, each with the rules' names."""
    if judgement is None:
        return {}
    fields, shown = WantedFields(snapshot), {(s.table, s.id or s.table) for s in subjects}
    names = {name for table, item in subjects for name in (table, item, title_of(snapshot, table, item))}
    if not names.isdisjoint(("equipment", "runs")):
        names.add("conditions")  # hours of loads are recorded with the loads too
    found: dict[str, list[str]] = {}
    for gap in judgement.result.not_judged:
        for _missing, every in fields.each(gap, lambda missing: missing.rpartition(".")[0] in names):
            for table, item, path in every:
                rules = found.setdefault(path.partition(".")[0], [])
                if (table, item) in shown and gap.rule not in rules:
                    rules.append(gap.rule)
    return {field: tuple(rules) for field, rules in found.items() if rules}


def first_sentence(text: str) -> str:
    """The first sentence stands alone."""
    return re.split(r"(?<=[.!?])\s+(?=[A-Z\d])", text, maxsplit=1)[0]


class FindingButton(QPushButton):
    """A finding's signal word and first sentence, over as many lines as they need."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 4, 8, 4)
        self._text = QLabel(self)
        self._text.setWordWrap(True)
        self._text.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        box.addWidget(self._text)
        policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def tell(self, number: str, word: str, sentence: str) -> None:
        """Show a finding."""
        from html import escape

        head = f"{number} {_(WORDS[word])}".strip()
        self._text.setText(f"<b>{escape(head)}:</b> {escape(sentence)}")
        self.setAccessibleName(f"{head}: {sentence}")

    def hasHeightForWidth(self) -> bool:
        """Its text wraps."""
        return True

    def heightForWidth(self, width: int) -> int:
        """As high as its text at that width."""
        return self._text.heightForWidth(width - 16) + 10

    def sizeHint(self) -> QSize:
        """As wide as there is room."""
        return QSize(200, self.heightForWidth(max(self.width(), 200)))

    def minimumSizeHint(self) -> QSize:
        """It can be narrow."""
        return QSize(80, self.heightForWidth(max(self.width(), 80)))


class FindingStrip(QWidget):
    """The findings of what is shown. Choosing one leads to its note."""

    noted = Signal(str)  # Finding.key

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 4)
        box.setSpacing(3)
        self._buttons = [FindingButton(self) for _n in range(MOST)]
        self._keys = [""] * MOST
        for number, button in enumerate(self._buttons):
            button.clicked.connect(partial(self._chosen, number))
            button.hide()
            box.addWidget(button)
        self._more = QLabel(self)
        self._more.hide()
        box.addWidget(self._more)
        self.hide()

    def tell(self, judgement: Judgement | None, findings: Sequence[Finding]) -> None:
        """Show these findings."""
        for number, button in enumerate(self._buttons):
            shown = number < len(findings)
            if shown:
                finding = findings[number]
                assert judgement is not None
                self._keys[number] = finding.key
                note = judgement.numbers.get(finding.key)
                button.tell("" if note is None else str(note), finding.word, first_sentence(finding.message))
            button.setVisible(shown)
        more = len(findings) - MOST
        self._more.setText(ngettext("and {n} more", "and {n} more", more).format(n=more) if more > 0 else "")
        self._more.setVisible(more > 0)
        self.setVisible(bool(findings))

    def stops(self) -> list[QWidget]:
        """The buttons that are there."""
        return [button for button in self._buttons if not button.isHidden()]

    def _chosen(self, number: int, _on: bool = False) -> None:
        self.noted.emit(self._keys[number])
