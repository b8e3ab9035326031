"""The table of failures as the window shows it: what fails downwards, essential loads across. No computing."""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

from PySide6.QtCore import QAbstractTableModel, QEvent, QModelIndex, QObject, QPersistentModelIndex, QSize, Qt, Signal
from PySide6.QtGui import QFont, QIcon, QKeyEvent, QPalette, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QTableView, QWidget

from app.figures.failure_report import called, failure_words
from app.window.enter_key import keeps_enter
from app.window.signs import sign
from engine.circuit.switching.results import Failure, FailureTable, FedBy, Way
from engine.rules.wording import Namer
from engine.words import N_, _

__all__ = ["FailureModel", "FailureView", "Fed", "cell_of", "cell_words", "ways_of"]

AnyIndex = QModelIndex | QPersistentModelIndex
Fate = Literal["normal", "as-before", "otherwise", "dark", "undecided", "never"]
_KEY = Qt.Key
_WIDEST, _NARROWEST = 190, 84  # px

MEANT = {
    "normal": N_("fed from"),
    "as-before": N_("as before"),
    "otherwise": N_("only from"),
    "dark": N_("DARK"),
    "undecided": N_("not decided"),
    "never": N_("nothing feeds it anyway"),
}


class Fed(NamedTuple):
    """One load while something has failed, `failure` is `None` for nothing."""

    load: str
    failure: Failure | None
    fed: FedBy
    fate: Fate

    @property
    def ways(self) -> tuple[Way, ...]:
        """The ways that need no battery beside them."""
        return ways_of(self.fed)


def ways_of(fed: FedBy) -> tuple[Way, ...]:
    """The ways that need no battery beside them."""
    return tuple(way for way in fed.ways if way.stands_alone)


def cell_of(table: FailureTable, load: int, failure: int) -> Fed:
    """A cell by the number of its load and of its failure; -1: nothing has failed."""
    before = table.normal[load]
    if failure < 0:
        fate: Fate = "normal" if ways_of(before) else "undecided" if before.undecided else "never"
        return Fed(table.loads[load], None, before, fate)
    cell = table.cells[load][failure]
    if cell.is_dark:
        fate = "dark" if ways_of(before) or before.undecided else "never"
    elif cell.unchanged:
        fate = "as-before"
    else:
        fate = "otherwise" if cell.ways else "undecided"
    return Fed(cell.load, cell.failure, cell.fed, fate)


def cell_words(names: Namer, fed: Fed) -> str:
    """*only G2, T1*: what a cell says."""
    if fed.fate in ("as-before", "dark", "never"):
        return _(MEANT[fed.fate])
    sources = [names.name(item) for item in dict.fromkeys(way.source for way in fed.ways)]
    sources += [f"{names.name(item)}?" for item in fed.fed.undecided]
    text = ", ".join(sources)
    if fed.fate == "undecided":
        return _("not decided: {sources}").format(sources=text)
    return text if fed.fate == "normal" else _("only {sources}").format(sources=text)


class FailureModel(QAbstractTableModel):
    """Rows are failures, the first: nothing has failed. Columns are loads."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.table: FailureTable | None = None
        self.rows: list[int] = []  # numbers of failures, -1 first
        self._cells: list[list[tuple[Fed, str]]] = []  # of each row: what each cell says
        self.stale = False
        self._names: Namer | None = None
        self._icons: dict[str, QIcon] = {}

    def show_table(self, names: Namer, table: FailureTable | None, everything: bool) -> None:
        """Show a table; without `everything` only failures that some load notices."""
        self.beginResetModel()
        self._names, self.table, self.stale = names, table, False
        self.rows, self._cells = [], []
        if table is not None:
            for j in range(-1, len(table.failures) if table.loads else -1):
                row = [cell_of(table, i, j) for i in range(len(table.loads))]
                if j < 0 or everything or any(fed.fate not in ("as-before", "never") for fed in row):
                    self.rows.append(j)
                    self._cells.append([(fed, cell_words(names, fed)) for fed in row])
        self.endResetModel()

    def set_stale(self, stale: bool) -> None:
        """Whether what is shown is from before the last change."""
        if stale != self.stale:
            self.stale = stale
            if self.rows:
                self.dataChanged.emit(self.index(0, 0), self.index(self.rowCount() - 1, self.columnCount() - 1))

    def set_palette(self, palette: QPalette) -> None:
        """Signs in the colours of the screen."""
        self._icons = {name: sign(name, palette) for name in ("as-before", "otherwise", "dark", "undecided", "never")}

    def rowCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008  # Qt's own default
        """How many failures, and one row for none."""
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008
        """How many loads."""
        return 0 if parent.isValid() or self.table is None else len(self.table.loads)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Loads above, failures beside."""
        if self.table is None or self._names is None:
            return None
        if role not in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            return None
        if orientation == Qt.Orientation.Horizontal:
            load = self.table.loads[section]
            if role == Qt.ItemDataRole.ToolTipRole:
                return called(self._names, load)
            label = self._names.snapshot.equipment[load].label
            return f"{self._names.name(load)}\n{label}" if label else self._names.name(load)
        return self.failure(section)

    def failure(self, row: int) -> str:
        """What a row is about."""
        number = self.rows[row]
        if number < 0 or self.table is None or self._names is None:
            return _("Nothing has failed")
        return failure_words(self._names, self.table.failures[number])

    def fed(self, index: AnyIndex) -> Fed | None:
        """The cell at an index."""
        return self._cells[index.row()][index.column()][0] if index.isValid() else None

    def texts(self, column: int) -> set[str]:
        """What the cells of a load say, each once."""
        return {row[column][1] for row in self._cells}

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """What a cell says; slanted while it is from before the last change."""
        if not index.isValid() or self._names is None:
            return None
        fed, said = self._cells[index.row()][index.column()]
        if role == Qt.ItemDataRole.DisplayRole:
            return said
        if role == Qt.ItemDataRole.DecorationRole:
            return self._icons.get(fed.fate)
        if role in (Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleTextRole):
            told = _("{load}, {failure}: {said}")
            return told.format(load=called(self._names, fed.load), failure=self.failure(index.row()), said=said)
        if role == Qt.ItemDataRole.FontRole and (self.stale or fed.fate == "dark"):
            font = QFont()
            font.setItalic(self.stale)
            font.setBold(fed.fate == "dark")
            return font
        return None


class FailureView(QTableView):
    """Arrows go from cell to cell; Enter or a click shows the sheet in the state of a cell."""

    moved = Signal()
    taken = Signal()

    def __init__(self, model: FailureModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.cells = model
        self.setModel(model)
        self.setTabKeyNavigation(False)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setAlternatingRowColors(True)
        self.setCornerButtonEnabled(False)
        self.setAccessibleName(_("What is fed when something fails"))
        self.setAccessibleDescription(_("Rows are what fails, columns essential loads; Enter shows it on the sheet"))
        heads = self.horizontalHeader()
        heads.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom)
        heads.setHighlightSections(False)
        heads.setAccessibleName(_("Essential loads"))
        rows = self.verticalHeader()
        rows.setHighlightSections(False)
        rows.setAccessibleName(_("What fails"))
        rows.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        rows.setTextElideMode(Qt.TextElideMode.ElideRight)
        model.set_palette(self.palette())
        self.clicked.connect(self._clicked)
        self._fit()

    def fit_columns(self) -> None:
        """Give every load the room its cells need, within bounds."""
        metrics = self.fontMetrics()
        model = self.cells
        for column in range(model.columnCount()):
            texts = sorted(model.texts(column), key=len)[-4:]
            wide = max((metrics.horizontalAdvance(text) for text in texts), default=0) + self.iconSize().width() + 26
            head = str(model.headerData(column, Qt.Orientation.Horizontal)).split("\n")
            wide = max(wide, *(metrics.horizontalAdvance(line) + 16 for line in head))
            self.setColumnWidth(column, min(max(wide, _NARROWEST), max(_WIDEST, self.fontMetrics().height() * 12)))

    def current(self) -> Fed | None:
        """The cell one is in."""
        return self.cells.fed(self.currentIndex())

    def currentChanged(self, current: QModelIndex, previous: QModelIndex) -> None:
        """Qt's own name."""
        super().currentChanged(current, previous)
        self.moved.emit()

    def _clicked(self, _index: QModelIndex) -> None:
        self.taken.emit()

    def _fit(self) -> None:
        high = self.fontMetrics().height()
        self.setIconSize(QSize(high, high))
        self.verticalHeader().setDefaultSectionSize(high + 8)

    def event(self, event: QEvent) -> bool:
        """Enter in the table is for the table, whatever the window does with it."""
        return keeps_enter(event) or bool(super().event(event))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name. Enter takes the cell."""
        if event.key() in (_KEY.Key_Return, _KEY.Key_Enter) and self.currentIndex().isValid():
            self.taken.emit()
            event.accept()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's own name. What fails takes less than half of the width, so that one sees what it does."""
        super().resizeEvent(event)
        wide = max(90, self.width() * 9 // 20)
        if self.verticalHeader().maximumWidth() != wide:
            self.verticalHeader().setMaximumWidth(wide)
            self.updateGeometries()

    def changeEvent(self, event: QEvent) -> None:
        """Qt's own name. Rows are as high as the type, signs in the colours of the screen."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._fit()
            self.fit_columns()
        elif event.type() == QEvent.Type.PaletteChange:
            self.cells.set_palette(self.palette())
