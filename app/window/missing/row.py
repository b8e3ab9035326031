"""One fact on the page: of what and where, its entry, what it would let be judged."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from app.text_report import WORD_NAMES
from app.window.entries import Reading
from app.window.particulars.field import FieldRow, RowHost
from app.window.particulars.scrolling import wrapping
from app.window.particulars.setting import Subject, has_origin, is_recorded
from app.window.particulars.state import State
from app.window.small_print import make_small
from engine.missing import MissingFact
from engine.record import FieldSpec
from engine.words import _, inward

__all__ = ["FactRow", "place_words"]


class FactRow(QWidget):
    """Used again for other facts of the same sort."""

    def __init__(self, sort: str, host: RowHost, parent: QWidget, item: Any = None) -> None:
        super().__init__(parent)
        self.fact: MissingFact | None = None
        self.subject = Subject("", "")
        self.spec: FieldSpec | None = None
        self.sort = (sort, item)
        self.is_done = False  # what was missing is recorded, and the judgement says so
        self.field = FieldRow(sort, host, self, item)
        self._where = wrapping(QLabel(self))
        self._where.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
        make_small(self._where)
        self.show_button = QToolButton(self)
        self.show_button.setText(_("Show"))
        self.show_button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        head = QHBoxLayout()
        head.setSpacing(5)
        head.addWidget(self._where, 1)
        head.addWidget(self.show_button, 0, Qt.AlignmentFlag.AlignTop)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 8, 0, 6)
        box.setSpacing(0)
        box.addWidget(self.field)
        box.addLayout(head)

    def tell(self, fact: MissingFact, subject: Subject, spec: FieldSpec, is_drawn: bool) -> None:
        """Of which fact it is from now on; `stand` shows its value."""
        self.fact, self.subject, self.spec, self.is_done = fact, subject, spec, False
        self._where.setText(place_words(fact))
        self._where.setVisible(bool(self._where.text()) or is_drawn)
        self.show_button.setVisible(is_drawn)
        told = _("Show {name} on its sheet").format(name=fact.name)
        self.show_button.setToolTip(told)
        self.show_button.setAccessibleName(told)
        self.field.need(tuple(f"{u.rule} ({inward(_(WORD_NAMES[u.word]))})" for u in fact.unlocks))

    def stand(self, reading: Reading, record: Any, fresh: bool) -> None:
        """Show what is recorded; unless `fresh`, what is half typed stays."""
        assert self.fact is not None
        assert self.spec is not None
        value = getattr(record, self.spec.name)
        run = self.subject.id if self.subject.table == "runs" else ""
        origin = (record.origin(self.spec.name) or "") if has_origin(self.subject.table, self.spec) else None
        label = _("{name}: {field}").format(name=self.fact.name, field=self.fact.words)
        shown = origin if is_recorded(self.spec, value) else None
        self.field.stand(State(reading, record, self.spec, value, run), label, shown, fresh)

    def has_keyboard(self, focus: QWidget | None) -> bool:
        """Whether the keyboard is in it."""
        return focus is not None and self.isAncestorOf(focus)

    def stops(self) -> list[QWidget]:
        """The widgets the Tab key visits."""
        return [*self.field.stops(), *([] if self.show_button.isHidden() else [self.show_button])]


def place_words(fact: MissingFact) -> str:
    """*Fuse, Bilge pump 1. 24-hour box, 1*; of what it is asked, where the record does not say it."""
    named = [fact.what, "" if fact.label.casefold() == fact.what.casefold() else fact.label]
    told = [", ".join(part for part in named if part), fact.where]
    if fact.kept == "owner" and fact.asked_of:
        told.append(_("for {things}").format(things=", ".join(fact.asked_of)))
    text = ". ".join(part for part in told if part)
    return text[:1].upper() + text[1:]
