"""Which symbol the chosen pieces are drawn with: a field of their symbols on the sheet, above their particulars."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize, Signal
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QSizePolicy, QWidget

from app.drawing.looks import is_found, known_names
from app.own_symbols import own_symbols, refreshed
from app.window.document import Document
from app.window.kind_pictures import icon_on
from app.window.particulars.setting import Subject
from engine.edits import EditError, SetFields, Several
from engine.equipment import kinds
from engine.installation.records import Placement
from engine.words import _, ngettext
from symbols import catalogue

__all__ = ["DrawnAs", "redrawn_as"]

_ICON_PX = 28
_SEVERAL = "\0"  # the pieces differ


def redrawn_as(placements: dict[str, Placement], symbol: str, names: str) -> Several:
    """The edit that draws these with another symbol; "" with that of what is recorded."""
    if symbol:
        words = _("Draw {names} with the symbol {symbol}").format(names=names, symbol=symbol)
    else:
        words = _("Draw {names} with the symbol of what is recorded").format(names=names)
    return Several(
        tuple(
            SetFields("placements", item, (("symbol", symbol),), words)
            for item, placement in placements.items()
            if placement.symbol != symbol
        ),
        words,
    )


class DrawnAs(QWidget):
    """Shown where pieces of one kind stand on the sheet and there is more than one symbol to choose from."""

    refused = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self._subjects: tuple[Subject, ...] = ()
        self._shown: dict[str, Placement] = {}
        self._stood: tuple[object, ...] = ()
        box = QHBoxLayout(self)
        box.setContentsMargins(0, 2, 0, 4)
        self.title = QLabel(_("Drawn as"))
        self.choice = QComboBox()
        self.choice.setAccessibleName(_("Symbol it is drawn with"))
        self.choice.setToolTip(
            _("The symbol on the sheet; where it is chosen by what is recorded it follows the record")
        )
        self.choice.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.choice.setIconSize(QSize(_ICON_PX, _ICON_PX))
        self.title.setBuddy(self.choice)
        box.addWidget(self.title)
        box.addWidget(self.choice, 1)
        self.choice.activated.connect(self._chosen)
        document.turned_to.connect(self._again)
        document.changed.connect(self._again)
        self.hide()

    def _again(self, _what: object = None) -> None:
        """Another sheet shows other symbols of the same pieces; an edit may have changed them."""
        parent = self.parentWidget()
        if self._subjects and parent is not None and parent.isVisible():
            self.show_subjects(self._subjects)

    def show_subjects(self, subjects: Sequence[Subject]) -> None:
        """Follow what is shown."""
        self._subjects = tuple(subjects)
        snapshot = self.document.snapshot()
        wanted = {subject.id for subject in subjects if subject.table == "equipment"}
        every = {snapshot.equipment[item].KIND for item in wanted if item in snapshot.equipment}
        self._shown = {
            item: placement
            for item, placement in snapshot.placements.items()
            if placement.equipment in wanted and placement.sheet == self.document.sheet
        }
        kind = every.pop() if len(every) == 1 and len(wanted) == len(subjects) else ""
        names = self._names(kind) if kind and self._shown else ()
        symbols = {placement.symbol for placement in self._shown.values()}
        if len(names) < 2 and symbols <= {""}:
            self.hide()
            return
        self._fill(kind, names, symbols, snapshot.settings.symbols)
        self.choice.setEnabled(not self.document.read_only)
        self.show()

    def stops(self) -> list[QWidget]:
        """The widgets the Tab key visits."""
        return [self.choice] if not self.isHidden() else []

    def _names(self, kind: str) -> tuple[str, ...]:
        own = sorted(name for name, of in refreshed().symbols.items() if of.kind == kind)
        return (*sorted(known_names(kind), key=lambda name: (name != kind, name)), *own)

    def _fill(self, kind: str, names: tuple[str, ...], symbols: set[str], standard: str) -> None:
        records = [self.document.snapshot().equipment[p.equipment] for p in self._shown.values()]
        follows = {catalogue.variant_for(kind, lambda f, r=record: getattr(r, f)) for record in records}  # type: ignore[misc]
        stands = (kind, names, tuple(sorted(symbols)), standard, tuple(sorted(follows)), own_symbols().number)
        if stands == self._stood:
            return
        self._stood = stands
        box = self.choice
        box.clear()
        if len(symbols) > 1:
            box.addItem(_("several symbols"), _SEVERAL)
        by = ", ".join(self._title(kind, name) for name in sorted(follows))
        box.addItem(_("as recorded: {name}").format(name=by), "")
        if len(follows) == 1:
            box.setItemIcon(box.count() - 1, self._icon(kind, next(iter(follows)), standard))
        for name in names:
            box.addItem(self._icon(kind, name, standard), self._title(kind, name), name)
        for symbol in sorted(symbols):
            if not is_found(records[0], symbol):
                box.addItem(_("{symbol}: not found on this machine").format(symbol=symbol), symbol)
        chosen = next(iter(symbols)) if len(symbols) == 1 else _SEVERAL
        box.setCurrentIndex(max(0, box.findData(chosen)))

    @staticmethod
    def _title(kind: str, name: str) -> str:
        if name in own_symbols().symbols:
            return _("{name} (your own)").format(name=own_symbols().symbols[name].name)
        return (
            _("{kind}, general").format(kind=_(kinds()[kind].NAME)) if name == kind else _(catalogue.symbol(name).name)
        )

    def _icon(self, kind: str, name: str, standard: str) -> QIcon:
        return icon_on(self, kind, _ICON_PX, standard, name, own_symbols().number)

    def _chosen(self, index: int) -> None:
        symbol = self.choice.itemData(index)
        if symbol == _SEVERAL:
            return
        snapshot = self.document.snapshot()
        told = sorted({snapshot.name(p.equipment) for p in self._shown.values()})
        names = (
            ", ".join(told) if len(told) <= 4 else ngettext("{n} piece", "{n} pieces", len(told)).format(n=len(told))
        )
        edit = redrawn_as(self._shown, symbol, names)
        if not edit.edits:
            return
        try:
            self.document.do(edit)
        except EditError as fault:
            self._stood = ()  # shown as it is
            self.refused.emit(str(fault))
