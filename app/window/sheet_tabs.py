"""The tabs of the sheets at the foot: turn to a sheet, drag it to another place, name it where it stands."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QEvent, QPoint, QRect, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QContextMenuEvent, QFocusEvent, QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QMenu, QTabBar, QToolButton, QWidget

from app.drawing.changes.sheet_set import move_sheet, retitle_sheet
from app.window.document import Document
from engine.edits import Edit, EditError
from engine.words import _

__all__ = ["SheetTabs"]

_LONGEST = 32  # characters of a title on its tab; the whole is its tip


class SheetTabs(QWidget):
    """A tab a sheet, and a button with the list of all."""

    refused = Signal(str)
    wanted = Signal(str)  # the name of an action: the menu of a tab asks for it

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.bar = _Bar()
        self.bar.setObjectName("sheets")
        self.bar.setAccessibleName(_("Sheets"))
        self.bar.setAccessibleDescription(
            _("Left and right turn to a sheet, F2 names it, Shift+F10 shows what else can be done with it.")
        )
        self.every = QToolButton()
        self.every.setObjectName("every_sheet")
        self.every.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.every.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._list = QMenu(self)
        self._list.setObjectName("list_of_sheets")
        self._list.aboutToShow.connect(self._fill_list)
        self.every.setMenu(self._list)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(3)
        row.addWidget(self.every)
        row.addWidget(self.bar, 1)
        self.ids: list[str] = []
        self._entry: _Entry | None = None
        self._named = ""  # the sheet whose title is being written
        self.bar.currentChanged.connect(self._turn)
        self.bar.tabMoved.connect(self._moved)
        self.bar.dropped.connect(self._dropped)
        self.bar.named.connect(self.write_title)
        self.bar.asked.connect(self._menu)
        self._from = ""  # the sheet that is being dragged
        document.changed.connect(self._changed)
        document.turned_to.connect(self.mark)
        document.headed.connect(self._headed)
        self.fill()

    # -- showing ------------------------------------------------------------------------------------------------
    def fill(self) -> None:
        """Show the sheets as they are."""
        sheets = self.document.installation.tables["sheets"]
        self.ids = self.document.sheets()
        if self._named and self._named not in self.ids:
            self._end()
        with QSignalBlocker(self.bar):
            while self.bar.count() > len(self.ids):
                self.bar.removeTab(self.bar.count() - 1)
            while self.bar.count() < len(self.ids):
                self.bar.addTab("")
            for n, item in enumerate(self.ids):
                title = sheets[item].title
                short = title if len(title) <= _LONGEST else title[: _LONGEST - 1].rstrip() + "…"
                self.bar.setTabText(n, f"{n + 1}  {short}".rstrip().replace("&", "&&"))
                told = _("Sheet {n}: {title}") if title else _("Sheet {n}, without a title")
                self.bar.setTabToolTip(n, told.format(n=n + 1, title=title))
                self.bar.setAccessibleTabName(n, told.format(n=n + 1, title=title))
        self.mark()
        self._headed()

    def mark(self) -> None:
        """The sheet that is shown is in front; the button says which of how many it is."""
        at = self.ids.index(self.document.sheet) if self.document.sheet in self.ids else -1
        if at >= 0:
            with QSignalBlocker(self.bar):
                self.bar.setCurrentIndex(at)
        told = _("{n} of {count}").format(n=at + 1, count=len(self.ids)) if at >= 0 else _("No sheet")
        self.every.setText(told)
        spoken = _("Sheet {which}: show the list of sheets").format(which=told)
        self.every.setAccessibleName(spoken)
        self.every.setToolTip(spoken)
        self.every.setEnabled(bool(self.ids))

    def _headed(self) -> None:
        self.bar.setMovable(not self.document.read_only and len(self.ids) > 1)

    def _fill_list(self) -> None:
        self._list.clear()
        sheets = self.document.installation.tables["sheets"]
        for n, item in enumerate(self.ids, 1):
            title = sheets[item].title or _("without a title")
            made = self._list.addAction(f"{n}  {title}".replace("&", "&&"))
            made.setCheckable(True)
            made.setChecked(item == self.document.sheet)
            made.triggered.connect(partial(self._turn_to, item))

    def _turn_to(self, item: str, _checked: bool = False) -> None:
        self.document.turn_to(item)

    def _turn(self, index: int) -> None:
        if 0 <= index < len(self.ids) and not self._from:
            self.document.turn_to(self.ids[index])

    def _changed(self, change: object) -> None:
        if any(table == "sheets" for table, _item in change.items):  # type: ignore[attr-defined]  # a `Change`
            self.fill()

    # -- another place --------------------------------------------------------------------------------------------
    def _moved(self, _old: int, _new: int) -> None:
        """While a tab is dragged: which sheet it is; the drawing follows when it is dropped."""
        self._from = self._from or self.document.sheet

    def _dropped(self) -> None:
        item, self._from = self._from, ""
        if item:
            place = self.bar.currentIndex() + 1
            if place == self.ids.index(item) + 1 or not self._do(
                lambda: move_sheet(self.document.snapshot(), item, place)
            ):
                self.fill()

    # -- its title ------------------------------------------------------------------------------------------------
    def write_title(self, index: int) -> None:
        """Write the title of a sheet where its tab stands; Enter takes it, Escape leaves it."""
        if self.document.read_only:
            self.refused.emit(_("The drawing is open to read only: {why}").format(why=self.document.read_only))
            return
        if not 0 <= index < len(self.ids):
            return
        self._end()
        self._named = self.ids[index]
        entry = self._entry = _Entry(self)
        entry.setObjectName("sheet_title")
        entry.setText(self.document.installation.tables["sheets"][self._named].title)
        entry.setAccessibleName(_("Title of sheet {n}").format(n=index + 1))
        entry.setPlaceholderText(_("Title of the sheet"))
        self._place_entry(index)
        entry.taken.connect(self._take_title)
        entry.left.connect(self._leave_title)
        entry.show()
        entry.raise_()
        entry.selectAll()
        entry.setFocus(Qt.FocusReason.OtherFocusReason)

    def _place_entry(self, index: int) -> None:
        assert self._entry is not None
        at = self.bar.tabRect(index)
        wide = max(at.width(), self.fontMetrics().averageCharWidth() * 24)
        corner = self.bar.mapTo(self, at.topLeft())
        left = max(0, min(corner.x(), self.width() - wide))
        self._entry.setGeometry(QRect(left, 0, min(wide, self.width()), self.height()))

    def _take_title(self, text: str, by_key: bool) -> None:
        item = self._named
        self._end()
        record = self.document.installation.get("sheets", item)
        if record is not None and " ".join(text.split()) != record.title:
            self._do(lambda: retitle_sheet(self.document.snapshot(), item, text))
        if by_key:
            self.bar.setFocus(Qt.FocusReason.OtherFocusReason)

    def _leave_title(self) -> None:
        self._end()
        self.bar.setFocus(Qt.FocusReason.OtherFocusReason)

    def _end(self) -> None:
        entry, self._entry = self._entry, None
        self._named = ""
        if entry is not None:
            entry.is_done = True
            entry.hide()
            entry.deleteLater()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's own name. What is being written keeps its place."""
        super().resizeEvent(event)
        if self._entry is not None and self._named in self.ids:
            self._place_entry(self.ids.index(self._named))

    # -- what else can be done --------------------------------------------------------------------------------------
    def _menu(self, index: int, at: QPoint) -> None:
        if 0 <= index < len(self.ids):
            self.document.turn_to(self.ids[index])
        menu = QMenu(self)
        menu.setObjectName("menu_of_sheet")
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        locked = bool(self.document.read_only)
        if 0 <= index < len(self.ids):
            first, last = index == 0, index == len(self.ids) - 1
            rows: tuple[tuple[str, str, bool], ...] = (
                (_("Name it"), "", not locked),
                (_("Earlier in the set"), "sheet_earlier", not locked and not first),
                (_("Later in the set"), "sheet_later", not locked and not last),
                (_("Name and size"), "name_sheet", True),
                (_("Title block"), "title_block", True),
                (_("List of sheets"), "sheet_list", True),
                (_("New sheet"), "new_sheet", not locked),
                (_("Remove this sheet"), "remove_sheet", not locked and len(self.ids) > 1),
            )
        else:
            rows = ((_("New sheet"), "new_sheet", not locked), (_("List of sheets"), "sheet_list", True))
        for title, name, may in rows:
            made = menu.addAction(title)
            made.setEnabled(may)
            made.triggered.connect(partial(self._chosen, name, index))
        menu.popup(at)

    def _chosen(self, name: str, index: int, _checked: bool = False) -> None:
        if name:
            self.wanted.emit(name)
        else:
            self.write_title(index)

    def _do(self, make: Callable[[], Edit]) -> bool:
        try:
            self.document.do(make())
        except EditError as fault:
            self.refused.emit(str(fault))
            return False
        return True


class _Bar(QTabBar):
    """Tells when a dragged tab is let go, and what is asked with mouse and keys."""

    dropped = Signal()
    named = Signal(int)
    asked = Signal(int, QPoint)

    def __init__(self) -> None:
        super().__init__()
        self.setExpanding(False)
        self.setDrawBase(False)
        self.setUsesScrollButtons(True)
        self.setElideMode(Qt.TextElideMode.ElideNone)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Qt's own name."""
        super().mouseReleaseEvent(event)
        self.dropped.emit()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Qt's own name."""
        index = self.tabAt(event.position().toPoint())
        if event.button() == Qt.MouseButton.LeftButton and index >= 0:
            self.named.emit(index)
        else:
            super().mouseDoubleClickEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name. F2 names the sheet."""
        if event.key() == Qt.Key.Key_F2 and not event.modifiers():
            self.named.emit(self.currentIndex())
        else:
            super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        """Qt's own name. F2 is the tab's here, before any action hears it."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_F2
            and not event.modifiers()
        ):
            event.accept()
            return True
        return super().event(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """Qt's own name."""
        by_key = event.reason() == QContextMenuEvent.Reason.Keyboard
        index = self.currentIndex() if by_key else self.tabAt(event.pos())
        at = self.mapToGlobal(self.tabRect(index).topLeft()) if by_key and index >= 0 else event.globalPos()
        self.asked.emit(index, at)
        event.accept()


class _Entry(QLineEdit):
    """A title being written. Leaving it for elsewhere takes it."""

    taken = Signal(str, bool)  # what was written, and whether Enter gave it
    left = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.is_done = False

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name. Enter takes what is written, Escape leaves what was."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._give(by_key=True)
        elif event.key() == Qt.Key.Key_Escape:
            self.is_done = True
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Qt's own name."""
        super().focusOutEvent(event)
        if event.reason() != Qt.FocusReason.PopupFocusReason:
            self._give(by_key=False)

    def _give(self, *, by_key: bool) -> None:
        if not self.is_done:
            self.is_done = True
            self.taken.emit(self.text(), by_key)
