"""The list of equipment one types into: every kind by family, with its letters and a small picture of its symbol.

What is typed may say more than the kind: "class t 300" lists a fuse of that class and rating. Templates come up too.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QIcon, QKeyEvent, QPalette, QShowEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from app.window.kind_pictures import icon_on, with_type
from engine.equipment import kinds
from engine.installation import Installation, Snapshot
from engine.phrases import FAMILY_NAMES, Entry, Proposal, entries, matching, place_phrases, template_phrases
from engine.words import _, ngettext

__all__ = ["KindsList", "matching"]

MOST_RECENT = 6
_ICON_PX = 36  # logical
_KIND = Qt.ItemDataRole.UserRole
_PROPOSAL = _KIND + 1
_LOOKS_CHANGE = (QEvent.Type.PaletteChange, QEvent.Type.DevicePixelRatioChange)
_COMMAND = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier


class KindsList(QWidget):
    """A line to type into, and below it the kinds that fit. Up and Down move, Enter takes, Escape empties the line."""

    chosen = Signal(str)  # the kind's name in files
    proposed = Signal(object)  # Proposal: a kind with values that were typed, or a template

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._recent: tuple[str, ...] = ()
        self.drawing: Callable[[], Snapshot] = _nothing_drawn  # whose units, places and voltages hold for what is typed
        self.setAccessibleName(_("Equipment to place"))
        self.line = QLineEdit(self)
        self.line.setPlaceholderText(_("Type what it is: fuse class T 300 A, pump 12 V …"))
        self.line.setAccessibleName(_("Kind of equipment to look for"))
        self.line.setToolTip(
            _(
                "Words of the name or the designation letter, and ratings with their units. Down goes into the list, "
                "Enter takes."
            )
        )
        self.line.setClearButtonEnabled(True)
        self.list = QListWidget(self)
        self.list.setAccessibleName(_("Kinds of equipment"))
        self.list.setUniformItemSizes(False)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setTextElideMode(Qt.TextElideMode.ElideRight)
        self.list.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.none = QLabel(self)
        self.none.setTextFormat(Qt.TextFormat.PlainText)
        self.none.setWordWrap(True)
        self.none.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.none.setMargin(6)
        self.none.hide()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 8, 8, 8)
        layout.addWidget(self.line)
        layout.addWidget(self.list, 1)
        layout.addWidget(self.none, 1)
        self.setFocusProxy(self.line)
        self.line.installEventFilter(self)
        self.list.installEventFilter(self)
        self.line.textChanged.connect(self._fill)
        self.list.itemClicked.connect(self._take)
        self._filled = False
        self._standard = ""  # the pictures are drawn after

    def begin(self) -> None:
        """Ready to be typed into."""
        self.line.setFocus()
        self.line.selectAll()

    # -- lately used --------------------------------------------------------------------------------------------
    @property
    def recent(self) -> tuple[str, ...]:
        """Kinds lately chosen, the last first; the window remembers them from one day to the next."""
        return self._recent

    def set_recent(self, recent: tuple[str, ...]) -> None:
        """Kinds to list first; those there are none of any more are left out."""
        have = kinds()
        self._recent = tuple(kind for kind in dict.fromkeys(recent) if kind in have)[:MOST_RECENT]
        if self._filled:
            self._fill()

    # -- the rows -----------------------------------------------------------------------------------------------
    def showEvent(self, event: QShowEvent) -> None:
        """Filled when it is first seen: a window that nobody places from never pays for it."""
        if not self._filled:
            self._fill()
        self.look_again()
        super().showEvent(event)

    def look_again(self, _change: object = None) -> None:
        """The drawing has changed: other pictures where it is drawn after another standard now."""
        if self._filled and self._standard != self.drawing().settings.symbols:
            self._fill()

    def _fill(self) -> None:
        self._filled = True
        self._standard = self.drawing().settings.symbols
        text = self.line.text()
        found = matching(text, self._recent)
        why = ""
        by_kind = {entry.kind: entry for entry in entries()}
        self.list.clear()
        self.list.setIconSize(QSize(1, 1) * with_type(_ICON_PX, self))
        if text.strip():
            found, why = self._answers(text, found, by_kind)
        else:
            if self._recent:
                self._heading(_("Lately used"))
                for kind in self._recent:
                    self._row(by_kind[kind], with_family=True)
            family = ""
            for kind in found:
                entry = by_kind[kind]
                if entry.family != family:
                    family = entry.family
                    self._heading(_(FAMILY_NAMES[family]))
                self._row(entry, with_family=False)
        if not found and not why:
            why = _("No kind of equipment answers to “{text}”. With the line empty every kind is listed.").format(
                text=text.strip()
            )
        self.none.setText("" if found else why)
        self.none.setVisible(not found)
        self.list.setVisible(bool(found))
        self.list.setAccessibleDescription(
            ngettext("{n} kind", "{n} kinds", len(found)).format(n=len(found)) if found else self.none.text()
        )
        self.line.setAccessibleDescription(self.list.accessibleDescription())
        first = self._next_row(-1, 1)
        if first is not None:
            self.list.setCurrentRow(first)
            self.list.scrollToTop()

    def _answers(self, text: str, named: list[str], by_kind: dict[str, Entry]) -> tuple[list[str], str]:
        """Rows for a typed line: what is said with its values first, then kinds of that name, then templates."""
        read = place_phrases(text, self.drawing(), self._recent)
        rows = list(read.proposals)
        plain = {p.kind for p in rows if not p.given}
        rows += [Proposal(kind, (), by_kind[kind].name) for kind in named if kind not in plain]
        for proposal in rows:
            self._row(by_kind[proposal.kind], with_family=True, proposal=proposal)
        for name, title, purpose in template_phrases(text):
            rows.append(Proposal("", (), title, name))
            self._template(rows[-1], purpose)
        return [p.kind or p.template for p in rows], read.why

    def _template(self, proposal: Proposal, purpose: str) -> None:
        item = QListWidgetItem(_("{title}\ntemplate").format(title=proposal.told))
        item.setData(_PROPOSAL, proposal)
        item.setData(
            Qt.ItemDataRole.AccessibleTextRole,
            _("{title}, template: {purpose}").format(title=proposal.told, purpose=purpose),
        )
        item.setToolTip(purpose)
        self.list.addItem(item)

    def _heading(self, text: str) -> None:
        item = QListWidgetItem(text)
        item.setFlags(Qt.ItemFlag.NoItemFlags)
        font = self.font()
        font.setBold(True)
        item.setFont(font)
        item.setForeground(self.palette().color(QPalette.ColorGroup.Active, QPalette.ColorRole.Text))
        item.setSizeHint(QSize(0, self.fontMetrics().height() + 12))
        item.setTextAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom)
        self.list.addItem(item)

    def _row(self, entry: Entry, with_family: bool, proposal: Proposal | None = None) -> None:
        letters = ", ".join(entry.letters)
        told = entry.name if proposal is None else proposal.told
        second = _("{letters} · {family}").format(letters=letters, family=_(FAMILY_NAMES[entry.family]))
        item = QListWidgetItem(self._icon(entry.kind), f"{told}\n{second if with_family else letters}")
        item.setData(_KIND, entry.kind)
        if proposal is not None and proposal.given:
            item.setData(_PROPOSAL, proposal)
        item.setData(
            Qt.ItemDataRole.AccessibleTextRole,
            _("{name}, letter {letters}, {family}").format(
                name=told, letters=letters, family=_(FAMILY_NAMES[entry.family])
            ),
        )
        item.setToolTip(entry.gloss)
        self.list.addItem(item)

    def _icon(self, kind: str) -> QIcon:
        return icon_on(self, kind, with_type(_ICON_PX, self), self._standard)

    def _next_row(self, row: int, step: int) -> int | None:
        """The next row from `row` on that is a kind, `None` at the end."""
        row += step
        while 0 <= row < self.list.count():
            if self.list.item(row).data(_KIND) or self.list.item(row).data(_PROPOSAL) is not None:
                return row
            row += step
        return None

    # -- keys ---------------------------------------------------------------------------------------------------
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Keys of the line and of the list."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and self._key(watched, event):
            return True
        return super().eventFilter(watched, event)

    def _key(self, watched: QObject, event: QKeyEvent) -> bool:
        key = event.key()
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            item = self.list.currentItem()
            if item is not None:
                self._take(item)
            return True
        if key in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            row = self._next_row(self.list.currentRow(), 1 if key == Qt.Key.Key_Down else -1)
            if row is not None:
                self.list.setCurrentRow(row)
            elif key == Qt.Key.Key_Up:
                self.line.setFocus()
                self.list.scrollToTop()
            return True
        if key == Qt.Key.Key_Escape and self.line.text():
            self.line.clear()
            self.line.setFocus()
            return True
        page = key in (Qt.Key.Key_PageDown, Qt.Key.Key_PageUp)
        if watched is self.line and page:
            self.list.event(event)
            return True
        if watched is self.list and (
            key == Qt.Key.Key_Backspace
            or (event.text().isprintable() and event.text().strip() and not event.modifiers() & _COMMAND)
        ):
            self.line.setFocus()
            self.line.event(event)
            return True
        return False

    def _take(self, item: QListWidgetItem) -> None:
        kind, proposal = item.data(_KIND), item.data(_PROPOSAL)
        if not kind:
            if proposal is not None:
                self.line.clear()
                self.proposed.emit(proposal)
            return
        self._recent = tuple(dict.fromkeys((kind, *self._recent)))[:MOST_RECENT]
        self.line.clear()
        self._fill()
        if proposal is not None:
            self.proposed.emit(proposal)
        else:
            self.chosen.emit(kind)

    def event(self, event: QEvent) -> bool:
        """Other colours or a finer screen: pictures and headings anew."""
        done = super().event(event)
        if event.type() in _LOOKS_CHANGE and getattr(self, "_filled", False):
            self._fill()
        return done


def _nothing_drawn() -> Snapshot:
    return Installation().snapshot()
