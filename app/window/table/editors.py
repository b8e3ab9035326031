"""Editors of cells: a line to type into; a list where the field takes one of several words or names, or yes and no."""

from __future__ import annotations

from PySide6.QtCore import QAbstractItemModel, QEvent, QModelIndex, QObject, QPersistentModelIndex, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QLineEdit, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from app.window.table.model import RowsModel
from app.window.table.order import RowsInOrder
from app.window.table.reading import CellReading
from app.window.table.rows import natural
from engine.record import FieldSpec
from engine.words import _

__all__ = ["CellEditors", "offers"]

AnyIndex = QModelIndex | QPersistentModelIndex
_FILLED = "linewright_filled"


def offers(spec: FieldSpec, record: object, names: CellReading, every: dict[str, str]) -> list[tuple[str, str]] | None:
    """What a field's list offers: (what is shown, what is typed); `None` where it is typed freely.

    `every`: names of the records the field may refer to, by id.
    """
    nothing = [(_("not recorded"), "")]
    if spec.shape == "yesno":
        return [*(nothing if spec.optional else []), (_("yes"), "yes"), (_("no"), "no")]
    if spec.shape == "choice":
        return [(_(c) if c else _("not recorded"), c) for c in spec.choices]
    if spec.shape == "word" and spec.fact.refers:
        called = sorted({names.name_of(spec.fact.refers, item) for item in every}, key=natural)
        return [*nothing, *((name, name) for name in called)]
    if spec.name == "in_position":
        positions: tuple[str, ...] = getattr(record, "positions", tuple)()
        return [(_("as usual"), ""), *((_(p), p) for p in positions)] if positions else None
    return None


class CellEditors(QStyledItemDelegate):
    """Makes editors. Enter goes to the cell below, Tab to the next one, Escape gives up."""

    def __init__(self, rows: RowsModel, order: RowsInOrder, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.rows, self.order = rows, order
        self.goes_down = False  # the cell to go to next is the one below

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: AnyIndex) -> QWidget:
        """A list or a line."""
        at = self.order.mapToSource(index)
        spec = self.rows.spec_at(at)
        assert spec is not None
        facts = self.rows.facts
        every = facts.snapshot.tables.get(spec.fact.refers, {})
        offered = offers(spec, self.rows.record_at(at), facts.reading, every)
        editor: QComboBox | QLineEdit
        if offered is not None:
            editor = QComboBox(parent)
            for text, typed in offered:
                editor.addItem(text, typed)
        else:
            editor = QLineEdit(parent)
            editor.setFrame(False)
        editor.setAccessibleName(
            _("{name}, {field}").format(
                name=facts.name(self.rows.rows[at.row()]), field=self.rows.columns[at.column()].title
            )
        )
        editor.setAccessibleDescription(_(spec.fact.help))
        return editor

    def setEditorData(self, editor: QWidget, index: AnyIndex) -> None:
        """Fill an editor once: what a person has begun to type stays whatever comes from elsewhere."""
        if editor.property(_FILLED):
            return
        editor.setProperty(_FILLED, True)
        text = self.rows.typed_at(self.order.mapToSource(index))
        if isinstance(editor, QComboBox):
            found = editor.findData(text)
            if found < 0 and text:
                editor.addItem(text, text)
                found = editor.count() - 1
            editor.setCurrentIndex(max(found, 0))
        elif isinstance(editor, QLineEdit):
            editor.setText(text)
            editor.selectAll()

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: AnyIndex) -> None:
        """Hand over what was typed."""
        text = editor.currentData() if isinstance(editor, QComboBox) else editor.text()  # type: ignore[attr-defined]
        model.setData(index, text)

    def eventFilter(self, editor: QObject, event: QEvent) -> bool:
        """Enter commits and goes down; all else as usual."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and isinstance(editor, QWidget):
            key = event.key()
            self.goes_down = key in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
            if self.goes_down:
                self.commitData.emit(editor)
                self.closeEditor.emit(editor, QStyledItemDelegate.EndEditHint.EditNextItem)
                return True
        return bool(super().eventFilter(editor, event))
