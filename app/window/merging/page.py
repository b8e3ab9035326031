"""The page of a merge: the two other files, the questions one at a time, and one act that brings it all in."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QSize, Qt
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QKeyEvent
from PySide6.QtWidgets import (
    QFileDialog,
    QLabel,
    QListView,
    QListWidget,
    QListWidgetItem,
    QScrollArea,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from app.merging.messages import Question
from app.photographs import store_of
from app.window.comfort.dropping import files_of
from app.window.files import ENDING
from app.window.merging.merging import Merging
from app.window.particulars.scrolling import wrapping
from app.window.small_print import cautions_line
from app.window.switching.part import push_button, text_line
from engine.merging import Choice
from engine.words import N_, _, ngettext

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["MergingPage"]

_Index = QModelIndex | QPersistentModelIndex
_SPACING = 2  # between the questions, px
_KEY = Qt.ItemDataRole.UserRole
_SIDES: tuple[tuple[Choice, str, Qt.Key], ...] = (
    ("a", N_("Take this drawing's (1)"), Qt.Key.Key_1),
    ("b", N_("Take the other's (2)"), Qt.Key.Key_2),
    ("base", N_("Take it as it was (3)"), Qt.Key.Key_3),
)
_WHAT = N_(
    "Two people changed copies of one drawing: what only one of them changed is taken, what both did is asked. Nothing "
    "is changed before you say so."
)
_TAKEN: dict[str, str] = {"a": N_("this drawing's"), "b": N_("the other's"), "base": N_("as it was")}


class _Rows(QStyledItemDelegate):
    """Qt measures a row as wide as the list and draws it narrower by the spacing: a last word would be cut off."""

    def sizeHint(self, option: QStyleOptionViewItem, index: _Index) -> QSize:
        """Qt's own name."""
        option.rect = option.rect.adjusted(0, 0, -4 * _SPACING, 0)  # type: ignore[attr-defined]  # Qt's stubs lack it
        return super().sizeHint(option, index)


class MergingPage(QWidget):
    """Begins a merge, puts its questions, does it."""

    def __init__(self, window: Window) -> None:
        super().__init__()
        self.window_of, self.document = window, window.document
        self.merging: Merging | None = None
        self.base: Path | None = None
        self.other: Path | None = None
        self.setAccessibleName(_("Bring in another drawing"))
        self.setAcceptDrops(True)
        self.head = text_line(_("What is brought in"))
        self.choose_base = push_button(_("Both were made from…"), _("Choose the drawing that both were made from."))
        self.choose_base.clicked.connect(self._ask_base)
        self.choose_other = push_button(_("The other drawing…"), _("Choose the drawing that is to be brought in."))
        self.choose_other.clicked.connect(self._ask_other)
        self.list = QListWidget()
        self.list.setAccessibleName(_("What both changed"))
        self.list.setTextElideMode(Qt.TextElideMode.ElideNone)
        self.list.setWordWrap(True)
        self.list.setItemDelegate(_Rows(self.list))
        self.list.setSpacing(_SPACING)
        self.list.setResizeMode(QListView.ResizeMode.Adjust)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.currentRowChanged.connect(self._turned)
        self.list.installEventFilter(self)
        self.asked = wrapping(QLabel())
        bold = self.asked.font()
        bold.setBold(True)
        self.asked.setFont(bold)
        self.sides = {side: push_button(_(text), _(text)) for side, text, _key in _SIDES}
        self.values = {side: wrapping(QLabel()) for side, _text, _key in _SIDES}
        for side, _text, _key in _SIDES:
            self.sides[side].clicked.connect(partial(self._decide, side))
        self.later = push_button(_("Leave it open (0)"), _("Decide it later."))
        self.later.clicked.connect(partial(self._decide, None))
        self.notices = wrapping(QLabel())
        self.do = push_button(_("Bring it in"), _("Change this drawing to the whole of both; Undo takes it back."))
        self.do.clicked.connect(self._bring_in)
        self.end = push_button(_("Give up"), _("Leave this drawing as it is (Esc)."))
        self.end.clicked.connect(self.finish)
        self._arrange()
        self._tell()

    def _arrange(self) -> None:
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        for widget in (self.head, self.choose_base, self.choose_other):
            box.addWidget(widget)
        self.working = QWidget()
        inner = QVBoxLayout(self.working)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.setSpacing(4)
        inner.addWidget(self.list, 2)
        inside = QWidget()
        lines = QVBoxLayout(inside)
        lines.setContentsMargins(0, 0, 6, 0)
        lines.setSpacing(3)
        lines.addWidget(self.asked)
        for side, _text, _key in _SIDES:
            lines.addWidget(self.sides[side])
            lines.addWidget(self.values[side])
        lines.addWidget(self.later)
        lines.addWidget(self.notices)
        lines.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(inside)
        inner.addWidget(scroll, 3)
        inner.addWidget(self.do)
        inner.addWidget(self.end)
        box.addWidget(self.working, 1)
        self.rest = QLabel()
        box.addWidget(self.rest, 1)
        box.addWidget(cautions_line())

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 320)

    def begin(self) -> None:
        """Take the focus: the questions, else what is to be chosen."""
        wanted: QWidget = self.choose_base if self.base is None else self.choose_other
        if self.merging is not None:
            wanted = self.list
        wanted.setFocus(Qt.FocusReason.TabFocusReason)

    # -- the files --------------------------------------------------------------------------------------------------
    def _ask_base(self) -> None:
        path = self._ask_file(_("The drawing both were made from"))
        if path is not None:
            self.take(base=path)

    def _ask_other(self) -> None:
        path = self._ask_file(_("The drawing to bring in"))
        if path is not None:
            self.take(other=path)

    def _ask_file(self, title: str) -> Path | None:
        here = self.document.path
        start = str(here.parent if here is not None else Path.home())
        kinds = _("Drawings (*{ending});;All files (*)").format(ending=ENDING)
        text, _kind = QFileDialog.getOpenFileName(self, title, start, kinds)
        return Path(text) if text else None

    def take(self, base: Path | None = None, other: Path | None = None) -> None:
        """Name one of the two files, or both; it begins once both are known."""
        if self.document.read_only:
            told = _("The drawing is open to read only: {why}")
            self.window_of.foot.refuse(told.format(why=self.document.read_only))
            return
        self._stop()
        self.base, self.other = base or self.base, other or self.other
        if self.base is not None and self.other is not None:
            made = self.merging = Merging(self.window_of, self.document, self.base.absolute(), self.other.absolute())
            made.told.connect(self._tell)
            made.failed.connect(self._failed)
        self._tell()
        if self.isVisible():
            self.begin()

    def _stop(self) -> None:
        made, self.merging = self.merging, None
        if made is not None:
            made.stop()

    def finish(self) -> None:
        """Nothing is brought in; the drawing stays as it is."""
        self._stop()
        self.base = self.other = None
        self.list.clear()
        self._tell()
        if self.isVisible():
            self.begin()

    def _failed(self, why: str) -> None:
        self.merging = None
        self.other = None
        self.window_of.foot.refuse(why)
        self._tell()
        self.head.setText(why)
        if self.isVisible():
            self.choose_other.setFocus(Qt.FocusReason.OtherFocusReason)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Qt's own name. Drawings may be let go over the page."""
        if any(path.suffix.lower() == ENDING for path in files_of(event.mimeData())):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Qt's own name. The first is what both were made from, where that is not known."""
        for path in files_of(event.mimeData()):
            if path.suffix.lower() == ENDING:
                event.acceptProposedAction()
                if self.base is None:
                    self.take(base=path)
                else:
                    self.take(other=path)

    # -- the questions ------------------------------------------------------------------------------------------------
    def current(self) -> Question | None:
        """The question that is put."""
        item = self.list.currentItem()
        key = None if item is None else item.data(_KEY)
        every = () if self.merging is None else self.merging.questions
        return next((question for question in every if question.key == key), None)

    def _decide(self, side: Choice | None, _on: bool = False) -> None:
        question = self.current()
        if self.merging is None or question is None or (side is not None and side not in question.choices):
            return
        self.merging.decide(question.key, side)
        item = self.list.currentItem()
        item.setText(_line(question, side))
        open_rows = [row for row in range(self.list.count()) if self._is_open(row)]
        if side is not None and open_rows:
            here = self.list.currentRow()
            self.list.setCurrentRow(next((row for row in open_rows if row > here), open_rows[0]))
        self._tell_sides()

    def _is_open(self, row: int) -> bool:
        return self.merging is not None and self.list.item(row).data(_KEY) not in self.merging.chosen

    def _turned(self, _row: int) -> None:
        question = self.current()
        self._tell_sides()
        if question is not None:
            here = [item for item in question.ids if self.document.find(item) is not None]
            if here:
                self.window_of.board.reveal(here[0])
                self.document.select(*here)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name: 1, 2, 3 decide, 0 leaves it open, Esc goes a step back."""
        for side, _text, key in _SIDES:
            if event.key() == key:
                self._decide(side)
                return
        if event.key() == Qt.Key.Key_0:
            self._decide(None)
        elif event.key() == Qt.Key.Key_Escape:
            if self.merging is not None:
                self.finish()
            else:
                self.window_of.show_page("")
        else:
            super().keyPressEvent(event)

    def eventFilter(self, watched: object, event: object) -> bool:
        """Qt's own name. Figures typed in the list are answers, not a search in it."""
        if watched is self.list and isinstance(event, QKeyEvent) and event.type() == QKeyEvent.Type.KeyPress:
            keys = {key for _side, _text, key in _SIDES} | {Qt.Key.Key_0, Qt.Key.Key_Escape}
            if event.key() in keys:
                self.keyPressEvent(event)
                return True
        return False

    # -- telling ----------------------------------------------------------------------------------------------------
    def _tell(self) -> None:
        made = self.merging
        self.working.setVisible(made is not None)
        self.rest.setVisible(made is None)
        for button, text, path in (
            (self.choose_base, _("Both were made from…"), self.base),
            (self.choose_other, _("The other drawing…"), self.other),
        ):
            button.setText(
                text if path is None else _("{what} {name}").format(what=text.rstrip("…") + ":", name=path.name)
            )
        if made is None:
            self.head.setText(_(_WHAT))
            return
        if made.answer is None:
            self.head.setText(_("Being worked out…"))
            self.do.setEnabled(False)
            return
        self._fill(made)
        left = sum(question.key not in made.chosen for question in made.questions)
        parts = [
            ngettext("This drawing changed {n} thing.", "This drawing changed {n} things.", made.answer.mine).format(
                n=made.answer.mine
            ),
            ngettext("The other changed {n} thing.", "The other changed {n} things.", made.answer.theirs).format(
                n=made.answer.theirs
            ),
        ]
        if left:
            parts.append(ngettext("{n} is to be decided.", "{n} are to be decided.", left).format(n=left))
        elif made.is_behind:
            parts.append(_("Being worked out…"))
        elif not made.is_ready:
            parts.append(_("Nothing is to be brought in: this drawing has all of it."))
        else:
            parts.append(_("Nothing is left to decide."))
        parts.extend(made.answer.told)
        self.head.setText(" ".join(parts))
        self.notices.setText("\n".join(made.answer.notices))
        self.do.setEnabled(made.is_ready)
        self._tell_sides()

    def _fill(self, made: Merging) -> None:
        kept = self.list.currentItem().data(_KEY) if self.list.currentItem() is not None else None
        keys = [self.list.item(row).data(_KEY) for row in range(self.list.count())]
        if keys != [question.key for question in made.questions]:
            self.list.blockSignals(True)
            self.list.clear()
            for question in made.questions:
                item = QListWidgetItem()
                item.setData(_KEY, question.key)
                self.list.addItem(item)
            self.list.blockSignals(False)
            rows = [question.key for question in made.questions]
            self.list.setCurrentRow(rows.index(kept) if kept in rows else (0 if rows else -1))
        for row, question in enumerate(made.questions):
            self.list.item(row).setText(_line(question, made.chosen.get(question.key)))

    def _tell_sides(self) -> None:
        question = self.current()
        chosen = None if self.merging is None or question is None else self.merging.chosen.get(question.key)
        self.asked.setText("" if question is None else question.words)
        for side, text, _key in _SIDES:
            offered = question is not None and side in question.choices
            self.sides[side].setEnabled(offered)
            self.sides[side].setText(("✓ " if chosen == side and offered else "") + _(text))
            self.values[side].setText("" if question is None else getattr(question, side))
        self.later.setEnabled(chosen is not None)

    # -- doing ------------------------------------------------------------------------------------------------------
    def _bring_in(self) -> None:
        made = self.merging
        edit = None if made is None else made.edit
        if edit is None:
            return
        self.document.select()
        if made is not None and self.window_of.try_edit(lambda: edit):
            self.document.photographs_at = _also(self.document.photographs_at, made.other)
            self.finish()
            self.window_of.foot.say(_("Brought in; Undo takes all of it back."))
            self.window_of.board.setFocus(Qt.FocusReason.OtherFocusReason)


def _also(folders: tuple[Path, ...], other: Path) -> tuple[Path, ...]:
    """Photographs of what was brought in lie beside it until this drawing is saved, which copies them."""
    folder = store_of(other).folder
    return folders if folder in folders else (*folders, folder)


def _line(question: Question, side: Choice | None) -> str:
    if side is None:
        return question.words
    return _("{words} Taken: {side}.").format(words=question.words, side=_(_TAKEN[side]))
