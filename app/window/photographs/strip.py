"""The photographs of one deficiency in a row: drop, paste or choose files, write captions, enlarge, take off."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QBuffer, QByteArray, QEvent, QIODevice, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QDragEnterEvent,
    QDropEvent,
    QGuiApplication,
    QIcon,
    QImageReader,
    QKeyEvent,
    QKeySequence,
    QPixmap,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QCheckBox,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.photographs import PhotographFault
from app.window.enter_key import keeps_enter
from app.window.photographs.adding import add_photographs, holds_pictures, pasted
from app.window.photographs.keeping import store_for
from app.window.photographs.large import LargeView
from app.window.titling.fields import Line
from engine.edits import EditError, SetFields
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["PhotographStrip", "small_picture"]

_ITEM = Qt.ItemDataRole.UserRole
_WIDE, _HIGH = 112, 84  # px of a small picture


def small_picture(data: bytes, wide: int, high: int) -> QPixmap:
    """A JPEG so large at most; an empty picture where it is none."""
    held = QByteArray(data)
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.ReadOnly)
    reader = QImageReader(buffer, QByteArray(b"jpeg"))
    size = reader.size()
    if size.isValid():
        reader.setScaledSize(size.scaled(QSize(wide, high), Qt.AspectRatioMode.KeepAspectRatio))
    return QPixmap.fromImage(reader.read())


class _Row(QListWidget):
    """Small pictures; Enter enlarges, Delete takes off, Ctrl+V pastes."""

    enlarged = Signal()
    taken_off = Signal()
    pasted = Signal()

    def event(self, event: QEvent) -> bool:
        """Enter is for the row."""
        return keeps_enter(event) or bool(super().event(event))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.enlarged.emit()
        elif event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.taken_off.emit()
        elif event.matches(QKeySequence.StandardKey.Paste):
            self.pasted.emit()
        else:
            super().keyPressEvent(event)


class PhotographStrip(QWidget):
    """Follows one deficiency; `evidence`: the photographs that show it put right."""

    def __init__(self, window: Window, *, evidence: bool = False) -> None:
        super().__init__()
        self.window_of, self.document = window, window.document
        self.field = "evidence_photographs" if evidence else "photographs"
        self.evidence = evidence
        self.item = ""
        self._shown: tuple[str, ...] = ()
        self._waiting: list[str] = []
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self._paint_next)
        self.large: LargeView | None = None
        self.setAcceptDrops(True)
        self._build(_("Photographs that show it put right") if evidence else _("Photographs"))
        self.document.changed.connect(self._changed)

    def _build(self, title: str) -> None:
        self.setAccessibleName(title)
        self.title = QLabel(title)
        bold = self.title.font()
        bold.setBold(True)
        self.title.setFont(bold)
        self.row = _Row()
        self.row.setAccessibleName(title)
        self.row.setAccessibleDescription(
            _("Enter enlarges, Delete takes one off, Ctrl+V pastes; files may be dropped.")
        )
        self.row.setViewMode(QListWidget.ViewMode.IconMode)
        self.row.setFlow(QListWidget.Flow.LeftToRight)
        self.row.setWrapping(False)
        self.row.setMovement(QListWidget.Movement.Static)
        self.row.setIconSize(QSize(_WIDE, _HIGH))
        self.row.setGridSize(QSize(_WIDE + 14, _HIGH + self.fontMetrics().lineSpacing() + 12))
        self.row.setFixedHeight(_HIGH + self.fontMetrics().lineSpacing() + 34)
        self.row.setTextElideMode(Qt.TextElideMode.ElideRight)
        self.row.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.row.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.row.setAcceptDrops(False)
        self.row.currentItemChanged.connect(self._row_changed)
        self.row.itemDoubleClicked.connect(lambda _item: self.enlarge())
        self.row.enlarged.connect(self.enlarge)
        self.row.taken_off.connect(self.take_off)
        self.row.pasted.connect(self.paste)
        self.caption = Line(_("What it shows"))
        self.caption.setPlaceholderText(_("what it shows"))
        self.caption.given.connect(self._caption)
        self.keep_location = QCheckBox(_("Keep where it was taken"))
        self.keep_location.setToolTip(_("The place a camera wrote into the file is left out unless this is ticked."))
        self.choose_button = self._button(
            _("Files…"), _("Choose photographs; they may be dropped here too."), self.choose
        )
        self.paste_button = self._button(_("Paste"), _("Take the picture in the clipboard."), self.paste)
        self.large_button = self._button(_("Enlarge"), _("Look at it as large as there is room."), self.enlarge)
        self.off_button = self._button(_("Take off"), _("Take it off the deficiency; its file stays."), self.take_off)
        buttons = QHBoxLayout()
        for button in (self.choose_button, self.paste_button, self.large_button, self.off_button):
            buttons.addWidget(button)
        buttons.addStretch(1)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 6, 0, 0)
        box.setSpacing(4)
        box.addWidget(self.title)
        box.addWidget(self.row)
        box.addWidget(self.caption)
        box.addLayout(buttons)
        box.addWidget(self.keep_location)

    def _button(self, text: str, tip: str, does: Callable[[], None]) -> QPushButton:
        made = QPushButton(text)
        made.setAccessibleName(text.rstrip("…"))
        made.setAccessibleDescription(tip)
        made.setToolTip(tip)
        made.setAutoDefault(False)
        made.clicked.connect(does)
        return made

    # -- what is shown ------------------------------------------------------------------------------------------------
    def show_for(self, item: str) -> None:
        """Show those of another deficiency."""
        self.item = item
        self.look_again()

    def _changed(self, _change: object) -> None:
        if self.isVisible():
            self.look_again()

    def ids(self) -> tuple[str, ...]:
        """The photographs of the deficiency."""
        record = self.document.installation.get("deficiencies", self.item) if self.item else None
        return () if record is None else getattr(record, self.field)

    def look_again(self) -> None:
        """Show it as the drawing has it now; small pictures come one after the other."""
        ids = self.ids()
        writable = bool(self.item) and not self.document.read_only
        photographs = self.document.snapshot().photographs
        if ids != self._shown:
            self._shown = ids
            here = self.current()
            self.row.clear()
            for item in ids:
                row = QListWidgetItem(QIcon(), "")
                row.setData(_ITEM, item)
                self.row.addItem(row)
                if item == here:
                    self.row.setCurrentItem(row)
            if self.row.currentItem() is None and ids:
                self.row.setCurrentRow(len(ids) - 1)
            self._waiting = list(ids)
            self._soon.start(0)
        for n in range(self.row.count()):
            record = photographs.get(self.row.item(n).data(_ITEM))
            if record is not None:
                self.row.item(n).setText(record.caption or record.name)
                self.row.item(n).setToolTip(record.caption or record.name)
        self.row.setVisible(bool(ids))
        self.caption.setVisible(bool(ids))
        record = photographs.get(self.current())
        self.caption.stand("" if record is None else record.caption)
        for button in (self.choose_button, self.paste_button):
            button.setEnabled(writable)
        self.off_button.setEnabled(writable and bool(ids))
        self.large_button.setEnabled(bool(ids))
        count = ngettext("{n} photograph", "{n} photographs", len(ids)).format(n=len(ids))
        self.row.setAccessibleDescription(count)

    def _paint_next(self) -> None:
        """One small picture in one turn of the event loop."""
        if not self._waiting:
            return
        item = self._waiting.pop(0)
        row = next((r for n in range(self.row.count()) if (r := self.row.item(n)).data(_ITEM) == item), None)
        record = self.document.snapshot().photographs.get(item)
        if row is not None and record is not None:
            try:
                picture = small_picture(store_for(self.window_of).read(record), _WIDE, _HIGH)
                icon = QIcon(picture)
                icon.addPixmap(picture, QIcon.Mode.Selected)  # not in the colour of what is chosen
                row.setIcon(icon)
            except PhotographFault as fault:
                row.setText(_("missing or altered"))
                row.setToolTip(str(fault))
        if self._waiting:
            self._soon.start(0)

    def current(self) -> str:
        """Id of the chosen photograph, "" none."""
        row = self.row.currentItem()
        return "" if row is None else str(row.data(_ITEM))

    def _row_changed(self, _now: object, _before: object) -> None:
        record = self.document.snapshot().photographs.get(self.current())
        self.caption.stand("" if record is None else record.caption)

    # -- what one does ------------------------------------------------------------------------------------------------
    def add(self, paths: list[Path]) -> None:
        """Take files."""
        if self.item:
            add_photographs(
                self.window_of, self.item, paths, evidence=self.evidence, keep_location=self.keep_location.isChecked()
            )

    def choose(self) -> None:
        """Ask for files."""
        told = _("Photographs ({endings})").format(endings="*.jpg *.jpeg *.png *.webp *.tif *.tiff *.bmp *.gif")
        names, _which = QFileDialog.getOpenFileNames(self, _("Choose photographs"), "", f"{told};;{_('All files')} (*)")
        self.add([Path(name) for name in names])

    def paste(self) -> None:
        """What the clipboard holds."""
        if not holds_pictures(QGuiApplication.clipboard().mimeData()):
            self.window_of.foot.refuse(_("There is no picture in the clipboard."))
            return
        self.add(pasted(self.window_of))

    def take_off(self) -> None:
        """The chosen one no longer belongs to the deficiency; record and file stay for others and for undo."""
        gone, record = self.current(), self.document.installation.get("deficiencies", self.item)
        if not gone or record is None:
            return
        left = tuple(i for i in self.ids() if i != gone)
        words = _("Take a photograph off deficiency {n}").format(n=record.number)
        self._try(SetFields("deficiencies", self.item, ((self.field, left),), words))

    def _caption(self, text: str) -> None:
        item = self.current()
        if item:
            self._try(SetFields("photographs", item, (("caption", text),), _("Caption of a photograph")))

    def _try(self, edit: SetFields) -> None:
        try:
            self.document.do(edit)
        except EditError as fault:
            self.window_of.foot.refuse(str(fault))

    def enlarge(self) -> None:
        """The chosen one as large as there is room; left and right go on, Escape leaves."""
        if not self.current():
            return
        if self.large is None:
            self.large = LargeView(self.window_of)
        self.large.show_photographs(self.ids(), self.current())

    def settle(self) -> None:
        """What is half typed is given."""
        if self.caption.is_typed and self.current():
            self.caption.give()

    # -- files let go over it -----------------------------------------------------------------------------------------
    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Qt's own name."""
        if self.item and holds_pictures(event.mimeData()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Qt's own name. Taken when the other program has its pointer back."""
        event.acceptProposedAction()
        paths = pasted(self.window_of, event.mimeData())
        QTimer.singleShot(0, self, lambda: self.add(paths))
