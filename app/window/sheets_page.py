"""The page of the sheets: each with its paper, what stands on it, what was found there; systems that fit nothing."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QGridLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.drawing.changes.sheet_set import off_paper, room_taken
from app.drawing.whole.voltage_systems import systems_words, unlike_systems
from app.window.document import Document
from app.window.enter_key import keeps_enter
from app.window.particulars.scrolling import wrapping
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.judgement import Judgement

__all__ = ["SheetRow", "SheetsPage", "sheet_rows"]

_MOST = 12  # numbers one sentence tells
_FULL = 0.9  # of the drawing area: little more will find a place


class SheetRow(NamedTuple):
    """A sheet as the list tells it."""

    item: str
    number: int
    title: str
    size: str
    equipment: int
    runs: int
    found: int | None  # open findings told in its margin; `None`: not judged yet
    state: str  # empty, overfull, reaching out of its paper: in words, "" nothing of the kind


def sheet_rows(document: Document) -> list[SheetRow]:
    """Every sheet in its order."""
    snapshot, judgement = document.snapshot(), document.judgement
    made = []
    for number, item in enumerate(document.sheets(), 1):
        record = snapshot.sheets[item]
        here = {p.equipment for p in snapshot.placements.values() if p.sheet == item}
        runs = {r.run for r in snapshot.routes.values() if r.sheet == item}
        made.append(
            SheetRow(
                item,
                number,
                record.title,
                record.size,
                len(here),
                len(runs),
                _found(judgement, item),
                _state(snapshot, item, bool(here)),
            )
        )
    return made


def _found(judgement: Judgement | None, sheet: str) -> int | None:
    if judgement is None:
        return None
    keys = {finding.key for finding in judgement.result.findings}
    return sum(1 for key, home in judgement.homes.items() if home == sheet and key in keys)


def _state(snapshot: Any, sheet: str, has_some: bool) -> str:
    if not has_some:
        return _("empty")
    out = off_paper(snapshot, sheet)
    if out:
        names = ", ".join(out[:4]) + ("…" if len(out) > 4 else "")
        return _("too small for {names}").format(names=names)
    taken = room_taken(snapshot, sheet)
    return _("full") if taken >= _FULL else ""


class SheetsPage(QWidget):
    """A table; Enter or a double click turns to the sheet."""

    wanted = Signal(str)  # an action by its name
    refused = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.setAccessibleName(_("List of sheets"))
        self.head = wrapping(QLabel())
        self.table = _Table()
        self.table.setObjectName("list_of_sheets")
        self.table.setAccessibleName(_("Sheets"))
        self.titles = (_("No."), _("Title"), _("Paper"), _("Equipment"), _("Runs"), _("Found"), _("Room"))
        self.table.setColumnCount(len(self.titles))
        self.table.setHorizontalHeaderLabels(list(self.titles))
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(1, QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(6, QHeaderView.ResizeMode.Interactive)
        header.setMinimumSectionSize(24)
        header.setHighlightSections(False)  # bold type would touch the edges of its column
        self.table.itemDoubleClicked.connect(self._go)
        self.table.entered_row.connect(self._go)
        self.table.itemSelectionChanged.connect(self._may)
        self.buttons: dict[str, QPushButton] = {}
        grid = QGridLayout()  # two rows: the words of large type have room
        grid.setSpacing(4)
        for n, (name, text, tip) in enumerate((
            ("go", _("Show"), _("Turn to the sheet")),
            ("sheet_earlier", _("Earlier"), _("Put the sheet before the one in front of it")),
            ("sheet_later", _("Later"), _("Put the sheet behind the one after it")),
            ("name_sheet", _("Name and size"), _("The particulars of the sheet")),
            ("new_sheet", _("New"), _("Add a sheet at the end of the set")),
            ("remove_sheet", _("Remove"), _("Take the sheet away")),
        )):  # fmt: skip
            button = QPushButton(text)
            button.setAccessibleName(tip)
            button.setToolTip(tip)
            button.clicked.connect(partial(self._pressed, name))
            self.buttons[name] = button
            grid.addWidget(button, n // 3, n % 3)
        self.systems = wrapping(QLabel())
        self.systems.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.edit_systems = QPushButton(_("Systems of voltage and units…"))
        self.edit_systems.setAccessibleName(_("Declare the systems of voltage and the units of the drawing"))
        self.edit_systems.clicked.connect(partial(self._pressed, "systems"))
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addWidget(self.head)
        box.addWidget(self.table, 1)
        box.addLayout(grid)
        box.addWidget(self.systems)
        box.addWidget(self.edit_systems, 0, Qt.AlignmentFlag.AlignLeft)
        self._rows: list[SheetRow] = []
        document.changed.connect(self._follow)
        document.judged.connect(self._follow)
        document.turned_to.connect(self._mark)
        document.headed.connect(self._may)
        self._follow()

    def begin(self) -> None:
        """The keyboard goes to the sheet that is shown."""
        self._mark()
        self.table.setFocus(Qt.FocusReason.TabFocusReason)

    def showEvent(self, event: Any) -> None:
        """Qt's own name."""
        super().showEvent(event)
        self._follow()

    def _follow(self, _what: object = None) -> None:
        if not self.isVisible() and self._rows:
            return
        here = self.here()
        rows = self._rows = sheet_rows(self.document)
        self.table.blockSignals(True)
        self.table.setRowCount(len(rows))
        for n, row in enumerate(rows):
            found = _("not judged yet") if row.found is None else str(row.found)
            texts = (
                str(row.number),
                row.title or _("without a title"),
                row.size,
                str(row.equipment),
                str(row.runs),
                found,
                row.state,
            )
            for column, text in enumerate(texts):
                item = self.table.item(n, column) or QTableWidgetItem()
                if self.table.item(n, column) is None:
                    self.table.setItem(n, column, item)
                if item.text() != text:
                    item.setText(text)
                item.setToolTip(_("{column}: {text}").format(column=self.titles[column], text=text))
        self.table.blockSignals(False)
        self._choose(here or self.document.sheet)
        self.head.setText(self._told(rows))
        self._tell_systems()
        self._may()

    @staticmethod
    def _told(rows: list[SheetRow]) -> str:
        told = [ngettext("{n} sheet.", "{n} sheets.", len(rows)).format(n=len(rows))]
        empty = [str(row.number) for row in rows if not row.equipment]
        if empty:
            words = ngettext("Sheet {numbers} is empty.", "Sheets {numbers} are empty.", len(empty))
            numbers = ", ".join(empty[:_MOST])
            if len(empty) > _MOST:
                numbers = _("{names} and {n} more").format(names=numbers, n=len(empty) - _MOST)
            told.append(words.format(numbers=numbers))
        return " ".join(told)

    def _tell_systems(self) -> None:
        snapshot = self.document.snapshot()
        declared = systems_words(snapshot.settings)
        told = [
            _("Systems of voltage: {systems}.").format(systems=declared)
            if declared
            else _("No system of voltage is declared.")
        ]
        told.extend(unlike_systems(snapshot))
        units = _("metric") if snapshot.settings.units == "metric" else _("US")
        told.append(_("Units of lengths: {units}.").format(units=units))
        self.systems.setText("\n".join(told))

    def here(self) -> str:
        """The sheet of the row that is chosen."""
        at = self.table.currentRow()
        return self._rows[at].item if 0 <= at < len(self._rows) else ""

    def _choose(self, item: str) -> None:
        at = next((n for n, row in enumerate(self._rows) if row.item == item), -1)
        if at >= 0 and at != self.table.currentRow():
            self.table.selectRow(at)

    def _mark(self) -> None:
        self._choose(self.document.sheet)

    def _may(self) -> None:
        locked, at, count = bool(self.document.read_only), self.table.currentRow(), len(self._rows)
        for name, may in {
            "go": at >= 0,
            "sheet_earlier": not locked and at > 0,
            "sheet_later": not locked and 0 <= at < count - 1,
            "name_sheet": at >= 0,
            "new_sheet": not locked,
            "remove_sheet": not locked and at >= 0 and count > 1,
        }.items():
            self.buttons[name].setEnabled(may)

    def _go(self, _item: object = None) -> None:
        if self.here():
            self.document.turn_to(self.here())

    def _pressed(self, name: str, _on: bool = False) -> None:
        if name not in ("new_sheet", "systems"):
            self._go()
        if name != "go":
            self.wanted.emit(name)


class _Table(QTableWidget):
    """Reads only; Enter is for it."""

    entered_row = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.verticalHeader().hide()
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.setTabKeyNavigation(False)
        self.setWordWrap(True)

    def event(self, event: QEvent) -> bool:
        """Qt's own name."""
        return keeps_enter(event) or super().event(event)

    def keyPressEvent(self, event: Any) -> None:
        """Qt's own name. Enter turns to the sheet."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.entered_row.emit()
        else:
            super().keyPressEvent(event)
