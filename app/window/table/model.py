"""The table's model: rows of records, cells that can be typed into, every change one edit of the document."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import msgspec
from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QFont

from app.window.document import Change, Document
from app.window.table.columns import Choice, Column, choices, columns_of, heading
from app.window.table.rows import Facts, Row
from engine.edits import EditError, SetFields, Several
from engine.files.lists.cells import CellError, split_cell
from engine.naming import inside
from engine.record import FieldSpec
from engine.words import _, ngettext

__all__ = ["NOT_RECORDED", "RowsModel"]

AnyIndex = QModelIndex | QPersistentModelIndex
NOT_RECORDED = "–"
_ROLE = Qt.ItemDataRole


class RowsModel(QAbstractTableModel):
    """Rows of one choice of what is shown. Rows keep their ids over edits."""

    refused = Signal(str)  # a sentence: why what was typed was not taken
    done = Signal()  # what was typed was taken

    def __init__(self, document: Document, choice: Choice | None = None) -> None:
        super().__init__()
        self.document = document
        self.facts = Facts(document.snapshot())
        self.facts.judge(document.judgement)
        self.choice = choice or choices(document.snapshot())[0]
        self.columns: tuple[Column, ...] = ()
        self.rows: list[Row] = []
        self.at: dict[str, int] = {}  # id -> row
        self.stamp = 0  # another after every change of what rows say
        self.turned_down: dict[tuple[str, str], tuple[str, str]] = {}  # (id, column) -> what was typed, why not
        self._bold = QFont()
        self._bold.setBold(True)
        self.show(self.choice)

    # -- rows ---------------------------------------------------------------------------------------------------
    def show(self, choice: Choice) -> None:
        """Show something else."""
        self.beginResetModel()
        self.choice = choice
        self.columns = columns_of(choice, self.facts.system)
        self.facts.show_columns(self.columns)
        self.stamp += 1
        self.rows = [Row(table, item, record) for table, item, record in self._wanted()]
        self.at = {row.item: n for n, row in enumerate(self.rows)}
        self.turned_down.clear()
        self.endResetModel()

    def _wanted(self) -> Iterable[tuple[str, str, Any]]:
        snapshot = self.facts.snapshot
        for table in self.choice.tables:
            for item, record in snapshot.tables[table].items():
                if not self.choice.kind or self.choice.kind == record.KIND:
                    yield table, item, record

    def follow(self, change: Change | None = None) -> None:
        """Take over what an edit changed, `None` what several did: rows go, come, say something else; none moves."""
        near = self._near(change) if change is not None else None
        before = self.facts.system
        self.facts.take(self.document.snapshot())
        if self.facts.system != before:
            self.show(self.choice)
            return
        wanted = {item: (table, record) for table, item, record in self._wanted()}
        self._take_out([n for n, row in enumerate(self.rows) if row.item not in wanted])
        for row in self.rows:
            record = wanted[row.item][1]
            if record is not row.record:
                row.record = record
                row.forget()
            elif near is None or row.item in near:
                row.forget()
        new = [Row(table, item, record) for item, (table, record) in wanted.items() if item not in self.at]
        if new:
            self.beginInsertRows(QModelIndex(), len(self.rows), len(self.rows) + len(new) - 1)
            self.rows += new
            self.at = {row.item: n for n, row in enumerate(self.rows)}
            self.endInsertRows()
        for key in [key for key in self.turned_down if key[0] not in self.at]:
            del self.turned_down[key]
        self._tell_changed(range(len(self.columns)))

    def _near(self, change: Change) -> set[str] | None:
        """Ids of rows that say something of what was touched; `None`: any may."""
        if any(table not in ("equipment", "runs") for table, _item in change.items):
            return None
        near: set[str] = set()
        installation = self.document.installation
        for table, item in change.items:
            near.add(item)
            if table == "equipment":
                near.update(installation.runs_at(item))
            for record in (self.facts.snapshot.runs.get(item), installation.get("runs", item)):
                if record is not None:
                    near |= {record.from_end.equipment, record.to_end.equipment}
        return near if self.choice.tables[0] in ("equipment", "runs") else None

    def _take_out(self, numbers: list[int]) -> None:
        while numbers:
            last = first = numbers.pop()
            while numbers and numbers[-1] == first - 1:
                first = numbers.pop()
            self.beginRemoveRows(QModelIndex(), first, last)
            del self.rows[first : last + 1]
            self.at = {row.item: n for n, row in enumerate(self.rows)}
            self.endRemoveRows()

    def put_in_order(self, numbers: Sequence[int]) -> None:
        """Stand the rows in another order, given by their present numbers."""
        self.layoutAboutToBeChanged.emit()
        before = self.persistentIndexList()
        self.rows = [self.rows[n] for n in numbers]
        self.at = {row.item: n for n, row in enumerate(self.rows)}
        place = {old: new for new, old in enumerate(numbers)}
        self.changePersistentIndexList(before, [self.index(place[i.row()], i.column()) for i in before])
        self.layoutChanged.emit()

    def judge(self) -> None:
        """Take over a new judgement: the columns of findings alone change."""
        self.facts.judge(self.document.judgement)
        columns = [n for n, column in enumerate(self.columns) if column.key in ("findings", "gaps")]
        for row in self.rows:
            row.searched = None
            for n in columns:
                row.texts.pop(self.columns[n].key, None)
        self._tell_changed(columns)

    def _tell_changed(self, columns: Sequence[int]) -> None:
        self.stamp += 1
        if self.rows and columns:
            self.dataChanged.emit(self.index(0, columns[0]), self.index(len(self.rows) - 1, columns[-1]), [])

    # -- what Qt asks -------------------------------------------------------------------------------------------
    def rowCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008, D102
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008, D102
        return 0 if parent.isValid() else len(self.columns)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = _ROLE.DisplayRole) -> Any:  # noqa: D102
        if orientation == Qt.Orientation.Vertical:
            if role == _ROLE.DisplayRole and 0 <= section < len(self.rows):
                return self.facts.name(self.rows[section])
            return None
        if not 0 <= section < len(self.columns):
            return None
        column = self.columns[section]
        if role == _ROLE.DisplayRole:
            return heading(column)
        if role in (_ROLE.ToolTipRole, _ROLE.AccessibleDescriptionRole):
            return _sentence(column.help)
        if role == _ROLE.AccessibleTextRole:
            return _("{title}, in {unit}").format(title=column.title, unit=column.unit) if column.unit else column.title
        return None

    def flags(self, index: AnyIndex) -> Qt.ItemFlag:  # noqa: D102
        if not index.isValid():
            return Qt.ItemFlag.NoItemFlags
        flags = Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsEnabled
        return flags | Qt.ItemFlag.ItemIsEditable if self.spec_at(index) is not None else flags

    def data(self, index: AnyIndex, role: int = _ROLE.DisplayRole) -> Any:  # noqa: D102
        if role == _ROLE.DisplayRole:
            row, column = self.rows[index.row()], self.columns[index.column()]
            text = self.facts.text(row, column) or (NOT_RECORDED if self.facts.spec(row, column) else "")
            return f"! {text}" if self.turned_down and (row.item, column.key) in self.turned_down else text
        if role == _ROLE.FontRole:
            if not self.turned_down:
                return None
            return self._bold if self._turned_down(index) is not None else None
        if role == _ROLE.EditRole:
            return self.typed_at(index)
        if role == _ROLE.AccessibleTextRole:
            return self.said_at(index)
        if role == _ROLE.ToolTipRole:
            refusal = self._turned_down(index)
            if refusal is not None:
                return refusal[1]
            text = self.facts.text(self.rows[index.row()], self.columns[index.column()])
            return text if len(text) > 24 else None
        return None

    def setData(self, index: AnyIndex, value: Any, role: int = _ROLE.EditRole) -> bool:  # noqa: D102
        if role != _ROLE.EditRole or not index.isValid():
            return False
        return self.type_in([(index, str(value))])

    # -- cells --------------------------------------------------------------------------------------------------
    def spec_at(self, index: AnyIndex) -> FieldSpec | None:
        """The field that may be typed into at a cell, `None` where there is none."""
        if self.document.read_only:
            return None
        return self.facts.spec(self.rows[index.row()], self.columns[index.column()])

    def record_at(self, index: AnyIndex) -> Any:
        """The record a cell belongs to."""
        return self.rows[index.row()].record

    def typed_at(self, index: AnyIndex) -> str:
        """What an editor begins with: what was refused there, else the value as it may be typed."""
        refusal = self._turned_down(index)
        if refusal is not None:
            return refusal[0]
        return self.facts.edit_text(self.rows[index.row()], self.columns[index.column()])

    def said_at(self, index: AnyIndex, *, with_refusal: bool = True) -> str:
        """A cell in words: *F3, rated current: 200 A*; what was refused there too."""
        row, column = self.rows[index.row()], self.columns[index.column()]
        text = self.facts.text(row, column)
        if not text:
            if column.key == "findings":
                text = _("none") if self.facts.judged else _("not yet judged")
            elif column.key == "gaps":
                text = _("nothing") if self.facts.judged else _("not yet judged")
            elif self.facts.spec(row, column) is not None:
                text = _("not recorded")
            else:
                text = _("does not apply")
        said = _("{name}, {field}: {value}").format(name=self.facts.name(row), field=_small(column.title), value=text)
        refusal = self._turned_down(index) if with_refusal else None
        return _("{said}. Refused: {why}").format(said=said, why=refusal[1]) if refusal is not None else said

    def _turned_down(self, index: AnyIndex) -> tuple[str, str] | None:
        if not self.turned_down:
            return None
        return self.turned_down.get((self.rows[index.row()].item, self.columns[index.column()].key))

    def column_number(self, key: str) -> int:
        """The column of a key or of a field, -1 where there is none."""
        for n, column in enumerate(self.columns):
            if column.key == key or any(field == key for _table, field in column.fields):
                return n
        return -1

    # -- changing -----------------------------------------------------------------------------------------------
    def type_in(self, cells: Sequence[tuple[AnyIndex, str]], words: str = "", *, copied: bool = False) -> bool:
        """Put texts into cells, all in one edit or none. What is refused is marked and told."""
        if self.document.read_only:
            self.refused.emit(self.document.read_only)
            return False
        faults: list[str] = []
        keys = [(self.rows[i.row()].item, self.columns[i.column()].key) for i, _text in cells]
        marks: dict[tuple[str, str], tuple[str, str]] = {}
        edits: dict[str, SetFields] = {}  # by record
        drafts: dict[str, Any] = {}
        for key, (index, text) in zip(keys, cells, strict=True):
            try:
                self._type(index, text, edits, drafts, copied)
            except CellError as fault:
                faults.append(str(fault))
                marks[key] = (text, str(fault))
        if not faults and edits:
            made = tuple(edits.values())
            try:
                self.document.do(made[0] if len(made) == 1 and not words else Several(made, words or made[0].words))
            except EditError as fault:
                faults.append(str(fault))
                marks = {keys[0]: (cells[0][1], str(fault))} if len(cells) == 1 else {}
        for key in keys:
            self.turned_down.pop(key, None)
        self.turned_down |= marks
        for index, _text in cells:
            at = self.index(index.row(), index.column())
            self.dataChanged.emit(at, at, [])
        if faults:
            self.refused.emit(_told(faults))
            return False
        self.done.emit()
        return True

    def _type(
        self, index: AnyIndex, text: str, edits: dict[str, SetFields], drafts: dict[str, Any], copied: bool
    ) -> None:
        """Add what a text in a cell changes to the edits. Raises `CellError`."""
        row, column = self.rows[index.row()], self.columns[index.column()]
        spec = self.facts.spec(row, column)
        if spec is None:
            if split_cell(text).text in ("", self.facts.text(row, column)):
                return
            raise CellError(
                _("{name}, {field}: this is worked out and cannot be changed here, found {text!r}").format(
                    name=self.facts.name(row), field=_small(column.title), text=text
                )
            )
        draft = drafts.get(row.item, row.record)
        edit = self.facts.reading.edit(row.table, row.item, draft, spec, text, copied=copied)
        if edit is None:
            return
        before = edits.get(row.item)
        values = (dict(before.values) if before is not None else {}) | dict(edit.values)
        words = edit.words if before is None else before.words
        edits[row.item] = SetFields(row.table, row.item, tuple(values.items()), words)
        drafts[row.item] = msgspec.structs.replace(draft, **dict(edit.values))


def _told(faults: list[str]) -> str:
    first = _sentence(faults[0])
    more = len(faults) - 1
    if not more:
        return first
    rest = ngettext("{n} more cell is refused", "{n} more cells are refused", more).format(n=more)
    return _("{first} {rest}; nothing was changed.").format(first=first, rest=rest)


def _small(title: str) -> str:
    """A heading inside a sentence; what begins with several capitals keeps them (BMS, AC)."""
    return inside(title)


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "?", "!")) else f"{text}."
