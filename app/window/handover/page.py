"""The page of what is handed over: which documents, on what paper; looked at in place of the sheet; written."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEvent, QSize, Qt, QTimer, QUrl, Signal
from PySide6.QtGui import QDesktopServices, QKeyEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPlainTextEdit,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

import app.handover.documents
from app.handover.documents import Maker, documents
from app.window.comfort.looks import is_still
from app.window.document import Document
from app.window.enter_key import keeps_enter
from app.window.handover.asking import COMMON, arguments_for, options_of
from app.window.handover.looking import Looking
from app.window.handover.middle import Middle
from app.window.handover.options import OptionFields
from app.window.handover.writing import Writing
from app.window.small_print import cautions_line
from engine.words import _

__all__ = ["HandoverPage"]

_NAME = Qt.ItemDataRole.UserRole


class HandoverPage(QWidget):
    """Nothing is made before it is asked for: the process that makes it is started, told of, and can be stopped."""

    refused = Signal(str)  # a sentence
    noted = Signal(str)  # a sentence

    def __init__(self, document: Document, middle: Middle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.makers: dict[str, Maker] = {}  # once they are read
        self.values: dict[str, str] = {}
        self.settles: Callable[[], str] = lambda: ""  # what is half typed elsewhere is given
        self.setAccessibleName(_("Hand over"))
        self.looking = Looking(self, middle)
        self.writing = Writing(self)
        self._make_parts()
        self._arrange()
        self.looking.refused.connect(self.refused)
        self.writing.refused.connect(self._write_refused)
        self.writing.noted.connect(self._written)
        self.writing.went.connect(self._went)
        document.changed.connect(self.looking.look_at_age)
        self._to_read = [info.name for info in pkgutil.iter_modules(app.handover.documents.__path__)]
        self._reads = QTimer(self)
        self._reads.setInterval(0)
        self._reads.timeout.connect(self._read_one)
        self._reads.start()
        self.about.setText(_("What there is to hand over is being read…"))
        self._count()

    @property
    def is_ready(self) -> bool:
        """Whether the documents are listed."""
        return bool(self.makers)

    def _read_one(self) -> None:
        """A file a turn: all together take half a second."""
        if self._to_read:
            importlib.import_module(f"app.handover.documents.{self._to_read.pop(0)}")
            return
        self._reads.stop()
        self.makers = documents()
        self._fill()

    # -- making ---------------------------------------------------------------------------------------------------
    def _make_parts(self) -> None:
        self.list = _List()
        self.list.setObjectName("documents")
        self.list.setAccessibleName(_("Documents"))
        self.list.setToolTip(_("Tick what belongs to the pack; Enter shows how it prints"))
        self.list.currentRowChanged.connect(self._turned)
        self.list.itemChanged.connect(self._count)
        self.list.itemDoubleClicked.connect(self._look)
        self.list.entered_at.connect(self._look)
        self.about = _words()
        self.look = _button(_("Look at it"), _("Show it as it prints, in place of the sheet"), self._look)
        self.write_one = _button(_("Write it…"), _("Write this document to a file"), self._write_one)
        self.own = OptionFields(self.values)
        self.common = OptionFields(self.values, is_beside=True)
        for fields in (self.own, self.common):
            fields.changed.connect(self.looking.look_at_age)
        self.common.show_options(option for option in options_of(()) if option.name in COMMON)
        self.chosen = _words()
        self.zip = _button(_("Write a zip file…"), _("Write all that is ticked as one zip file"), self._write_zip)
        self.folder = _button(_("Write a folder…"), _("Write all that is ticked into a folder"), self._write_folder)
        self.bar = QProgressBar()
        self.bar.setAccessibleName(_("How far it is"))
        self.bar.setTextVisible(False)
        self.stop = _button(_("Stop"), _("Stop writing; what stood there stays"), self.writing.give_up)
        self.far = _words()
        self.open = _button(_("Open it"), _("Open what was written with the system's own program"), self._open)
        self._opens: Path | None = None  # what was written last
        self.said = QPlainTextEdit()
        self.said.setReadOnly(True)
        self.said.setTabChangesFocus(True)
        self.said.setAccessibleName(_("What was told of the last that was written"))

    def _fill(self) -> None:
        for maker in self.makers.values():
            item = QListWidgetItem(_(maker.title))
            item.setData(_NAME, maker.name)
            item.setToolTip(_(maker.purpose))
            item.setData(Qt.ItemDataRole.AccessibleDescriptionRole, _(maker.purpose))
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Checked)
            self.list.addItem(item)
        rows = self.list.count()
        self.list.setMaximumHeight(self.list.sizeHint().height())
        self.list.setMinimumHeight(min(rows, 3) * self.list.sizeHintForRow(0))
        self.list.setCurrentRow(0)
        self._count()

    def _arrange(self) -> None:
        one, pack, going = QHBoxLayout(), QHBoxLayout(), QHBoxLayout()
        for row, parts in ((one, (self.look, self.write_one)), (pack, (self.zip, self.folder))):
            for part in parts:
                row.addWidget(part, 1)
        going.addWidget(self.bar, 1)
        going.addWidget(self.stop)
        inner = QWidget()
        below = QVBoxLayout(inner)
        below.setContentsMargins(0, 0, 6, 0)
        below.setSpacing(6)
        below.addWidget(self.common)
        below.addWidget(self.own)
        below.addStretch(1)
        below.addWidget(cautions_line())  # large type leaves no room for it beside all the rest
        self.details = QScrollArea()
        self.details.setFrameShape(QFrame.Shape.NoFrame)
        self.details.setWidgetResizable(True)
        self.details.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.details.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.details.setWidget(inner)
        self.details.viewport().setAutoFillBackground(False)
        inner.setAutoFillBackground(False)
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addWidget(self.list)
        box.addWidget(self.about)
        box.addLayout(one)
        box.addWidget(self.details, 1)
        box.addWidget(_title(_("The pack")))
        box.addWidget(self.chosen)
        box.addLayout(pack)
        box.addLayout(going)
        box.addWidget(self.far)
        box.addWidget(self.said)
        box.addWidget(self.open, 0, Qt.AlignmentFlag.AlignRight)
        for each in (self.bar, self.stop, self.far, self.said, self.open):
            each.hide()

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 320)

    def begin(self) -> None:
        """Take the focus."""
        self.list.setFocus(Qt.FocusReason.TabFocusReason)

    # -- what is chosen -------------------------------------------------------------------------------------------
    @property
    def current(self) -> Maker:
        """The document the list stands at."""
        item = self.list.currentItem() or self.list.item(0)
        return self.makers[item.data(_NAME)]

    @property
    def ticked(self) -> list[str]:
        """The documents of the pack."""
        items = (self.list.item(n) for n in range(self.list.count()))
        return [item.data(_NAME) for item in items if item.checkState() == Qt.CheckState.Checked]

    def choose(self, name: str) -> None:
        """Stand at a document."""
        self.list.setCurrentRow(list(self.makers).index(name))

    def arguments(self, names: list[str]) -> tuple[str, ...] | None:
        """What the command line is told for these documents; where something cannot be taken that is told, `None`."""
        told = self.settles()
        if told:
            self.refused.emit(told)
            return None
        try:
            return arguments_for(names, self.values)
        except ValueError as fault:
            self.refused.emit(str(fault))
            return None

    def _turned(self, row: int) -> None:
        if row < 0:
            return
        maker = self.current
        purpose = _(maker.purpose)
        self.about.setText(
            _("{purpose}. For {people}.").format(
                purpose=(purpose[:1].upper() + purpose[1:]).rstrip("."), people=_(maker.held_by)
            )
        )
        self.own.show_options(option for option in options_of((maker.name,)) if option.name not in COMMON)
        self.details.verticalScrollBar().setValue(0)

    def _count(self, _item: object = None) -> None:
        many = len(self.ticked)
        told = _("{n} of {all} documents are ticked; the drawing and what was found come with them.")
        self.chosen.setText(told.format(n=many, all=len(self.makers)))
        self._enable()

    def _enable(self) -> None:
        free = not self.writing.is_going
        self.look.setEnabled(self.is_ready)
        self.write_one.setEnabled(free and self.is_ready)
        for button in (self.zip, self.folder):
            button.setEnabled(free and bool(self.ticked))

    # -- doing ----------------------------------------------------------------------------------------------------
    def _look(self, _item: object = None) -> None:
        if self.is_ready:
            self.looking.show(self.current)

    def _write_one(self) -> None:
        if self.writing.write_one(self.current):
            self._begun()

    def _write_zip(self) -> None:
        if self.writing.write_zip(self.ticked):
            self._begun()

    def _write_folder(self) -> None:
        if self.writing.write_folder(self.ticked):
            self._begun()

    def _begun(self) -> None:
        self.bar.setRange(0, 1 if is_still() else 0)  # 0, 0: a bar that runs to and fro
        self.far.setText(_("Being judged and made…"))
        for part in (self.bar, self.stop, self.far):
            part.show()
        self.said.hide()
        self.open.hide()
        self._enable()

    def _went(self, n: int, of: int, title: str) -> None:
        self.bar.setRange(0, of)
        self.bar.setValue(n - 1)
        self.far.setText(_("{n} of {of}: {title}").format(n=n, of=of, title=title))

    def _ended(self, said: list[str]) -> None:
        if self.stop.hasFocus():
            self.list.setFocus(Qt.FocusReason.OtherFocusReason)
        for part in (self.bar, self.stop, self.far):
            part.hide()
        self.said.setPlainText("\n".join(said))
        self.said.setFixedHeight(self.said.fontMetrics().lineSpacing() * min(5, len(said) + 1) + 14)
        self.said.setVisible(bool(said))
        self._enable()

    def _written(self, where: Path | None, said: list[str]) -> None:
        head = _("Stopped; nothing was written.") if where is None else _("Written: {path}").format(path=where)
        self._ended([head, *said])
        self._opens = where
        self.open.setVisible(where is not None)
        self.noted.emit(head)

    def _open(self) -> None:
        if self._opens is not None and not QDesktopServices.openUrl(QUrl.fromLocalFile(str(self._opens))):
            self.refused.emit(_("The system opens nothing for {path}.").format(path=self._opens))

    def _write_refused(self, why: str, said: list[str]) -> None:
        self._ended([why, *said])
        self.refused.emit(why)

    @property
    def folder_of(self) -> Path:
        """Where to write to, unless the person says otherwise: beside the drawing."""
        path = self.document.path
        return Path.home() if path is None else path.absolute().parent

    @property
    def stem(self) -> str:
        """What files are called after."""
        return "drawing" if self.document.path is None else self.document.path.stem


class _List(QListWidget):
    entered_at = Signal()

    def sizeHint(self) -> QSize:
        return QSize(256, self.count() * max(self.sizeHintForRow(0), 0) + 2 * self.frameWidth() + 4)

    def event(self, event: QEvent) -> bool:
        return keeps_enter(event) or super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.entered_at.emit()
        else:
            super().keyPressEvent(event)


def _words() -> QLabel:
    made = QLabel()
    made.setWordWrap(True)
    made.setTextFormat(Qt.TextFormat.PlainText)
    made.setMinimumWidth(1)
    return made


def _title(text: str) -> QLabel:
    made = QLabel(text)
    font = made.font()
    font.setBold(True)
    made.setFont(font)
    return made


def _button(text: str, tip: str, call: Callable[[], object]) -> QPushButton:
    made = QPushButton(text)
    made.setToolTip(tip)
    made.setAutoDefault(False)
    made.clicked.connect(lambda _on: call())
    return made
