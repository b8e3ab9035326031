"""The list of equipment one types into: every kind by family, with its letters and a small picture of its symbol."""

from __future__ import annotations

import re
import sys
from functools import cache
from typing import NamedTuple

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QColor, QIcon, QKeyEvent, QPalette, QShowEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from app.window.kind_pictures import kind_icon
from engine.equipment import FAMILIES, kinds
from engine.words import N_, _, ngettext

__all__ = ["KindsList", "matching"]

MOST_RECENT = 6
_ICON_PX = 36  # logical
_KIND = Qt.ItemDataRole.UserRole
_LOOKS_CHANGE = (QEvent.Type.PaletteChange, QEvent.Type.DevicePixelRatioChange)
_COMMAND = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier

_FAMILY_NAMES = {
    "storage": N_("Storage"),
    "generation": N_("Generation"),
    "shore": N_("Shore"),
    "conversion": N_("Conversion"),
    "protection": N_("Protection"),
    "switching": N_("Switching"),
    "distribution": N_("Distribution"),
    "measurement": N_("Measurement"),
    "consumption": N_("Consumption"),
    "earthing": N_("Earthing and bonding"),
}
# what people also call it; words to type, never shown
_ALSO = {
    "battery_bank": N_("batteries accumulator cells"),
    "battery_management": N_("bms"),
    "battery_switch": N_("isolator disconnect disconnector master"),
    "bus_bar": N_("busbar rail"),
    "changeover": N_("transfer source selection"),
    "charger": N_("battery charging"),
    "charging_relay": N_("vsr combiner split charge"),
    "circuit_breaker": N_("mcb mccb trip"),
    "combined_inverter": N_("split phase legs"),
    "contactor": N_("relay solenoid"),
    "dc_dc_converter": N_("dcdc step up down"),
    "diode_isolator": N_("splitter split charge"),
    "earth_point": N_("ground plate hull"),
    "engine": N_("block"),
    "galvanic_isolator": N_("zinc saver"),
    "generator": N_("genset"),
    "insulation_monitor": N_("imd earth leakage"),
    "inverter_charger": N_("combined"),
    "junction": N_("splice tap tee joint"),
    "load": N_("consumer lamp light heater fridge radio electronics instrument appliance panel"),
    "meter": N_("voltmeter ammeter battery monitor gauge"),
    "motor": N_("pump windlass thruster winch starter fan blower"),
    "open_end": N_("loose end"),
    "remote_battery_switch": N_("isolator disconnect master emergency"),
    "residual_current_device": N_("rcd rcbo gfci elci earth leakage ground fault"),
    "selector": N_("one two both"),
    "shore_inlet": N_("plug"),
    "shore_supply": N_("pedestal pontoon dock"),
    "socket_outlet": N_("receptacle power point usb"),
    "solar_array": N_("panel module pv photovoltaic"),
    "solar_controller": N_("mppt pwm regulator"),
    "surge_absorber": N_("load dump"),
    "surge_protection": N_("spd lightning arrester"),
    "switching_module": N_("digital switching channels"),
    "terminal": N_("stud post block"),
    "wind_hydro": N_("turbine hydro towed"),
}


class _Entry(NamedTuple):
    """A kind as it is looked for."""

    kind: str
    name: str
    letters: tuple[str, ...]
    family: str
    gloss: str  # what it is, in one sentence
    named: tuple[str, ...]  # words of the name and of the name in files
    also: tuple[str, ...]
    told: tuple[str, ...]  # words of the gloss


def _words(text: str) -> tuple[str, ...]:
    return tuple(re.findall(r"\w+", text.casefold().replace("_", " ")))


def _gloss(cls: type) -> str:
    """The first sentence of the file that holds the kind, without what it goes on to say."""
    doc = (sys.modules[cls.__module__].__doc__ or "").strip()
    return " ".join(doc.split("\n\n")[0].replace("`", "").split())


@cache
def _entries(_language_marker: str) -> tuple[_Entry, ...]:
    made = []
    for kind, cls in kinds().items():
        family = cls.__module__.split(".")[-2]
        name, gloss = _(cls.NAME), _(_gloss(cls))
        also = _words(_(_ALSO[kind])) if kind in _ALSO else ()
        named = tuple(dict.fromkeys((*_words(name), *_words(kind))))
        made.append(_Entry(kind, name, cls.LETTERS, family, gloss, named, also, _words(gloss)))
    return tuple(sorted(made, key=lambda e: (FAMILIES.index(e.family), e.name.casefold())))


def _all() -> tuple[_Entry, ...]:
    return _entries(_("Storage"))  # made anew when the language is another


def _rank(entry: _Entry, word: str) -> int | None:
    """How well a word fits, 0 best; `None` where it does not."""
    if len(word) == 1:
        letters = [letter.casefold() for letter in entry.letters]
        if word in letters:
            return (0 if entry.named[0].startswith(word) else 1) + 2 * letters.index(word)
        return 4 if any(w.startswith(word) for w in entry.named) else None
    if word in entry.named or entry.named[0].startswith(word):
        return 0
    if any(w.startswith(word) for w in entry.named):
        return 1
    if any(w.startswith(word) for w in entry.also):
        return 2
    if any(w.startswith(word) for w in _words(_(_FAMILY_NAMES[entry.family]))):
        return 3
    if any(word in w for w in (*entry.named, *entry.also)):
        return 4
    return 5 if any(w.startswith(word) for w in entry.told) else None


def matching(text: str, recent: tuple[str, ...] = ()) -> list[str]:
    """Kinds that every typed word fits, the best first; of equals those lately used, then by family. All for ""."""
    words = _words(text)
    if text.strip() and not words:
        return []
    found = []
    for n, entry in enumerate(_all()):
        ranks = [_rank(entry, word) for word in words]
        if None not in ranks:
            used = recent.index(entry.kind) if words and entry.kind in recent else len(recent)
            found.append((sum(r for r in ranks if r is not None), used, n, entry.kind))
    return [kind for *_order, kind in sorted(found)]


class KindsList(QWidget):
    """A line to type into, and below it the kinds that fit. Up and Down move, Enter takes, Escape empties the line."""

    chosen = Signal(str)  # the kind's name in files

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._recent: tuple[str, ...] = ()
        self.setAccessibleName(_("Equipment to place"))
        self.line = QLineEdit(self)
        self.line.setPlaceholderText(_("Type a kind: fuse, pump, F …"))
        self.line.setAccessibleName(_("Kind of equipment to look for"))
        self.line.setToolTip(_("Words of the name, or the designation letter. Down goes into the list, Enter takes."))
        self.line.setClearButtonEnabled(True)
        self.list = QListWidget(self)
        self.list.setAccessibleName(_("Kinds of equipment"))
        self.list.setIconSize(QSize(_ICON_PX, _ICON_PX))
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
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.line)
        layout.addWidget(self.list, 1)
        layout.addWidget(self.none, 1)
        self.setFocusProxy(self.line)
        self.line.installEventFilter(self)
        self.list.installEventFilter(self)
        self.line.textChanged.connect(self._fill)
        self.list.itemClicked.connect(self._take)
        self._filled = False

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
        super().showEvent(event)

    def _fill(self) -> None:
        self._filled = True
        text = self.line.text()
        found = matching(text, self._recent)
        by_kind = {entry.kind: entry for entry in _all()}
        self.list.clear()
        if text.strip():
            for kind in found:
                self._row(by_kind[kind], with_family=True)
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
                    self._heading(_(_FAMILY_NAMES[family]))
                self._row(entry, with_family=False)
        self.none.setText(
            ""
            if found
            else _("No kind of equipment answers to “{text}”. With the line empty every kind is listed.").format(
                text=text.strip()
            )
        )
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

    def _row(self, entry: _Entry, with_family: bool) -> None:
        letters = ", ".join(entry.letters)
        second = _("{letters} · {family}").format(letters=letters, family=_(_FAMILY_NAMES[entry.family]))
        item = QListWidgetItem(self._icon(entry.kind), f"{entry.name}\n{second if with_family else letters}")
        item.setData(_KIND, entry.kind)
        item.setData(
            Qt.ItemDataRole.AccessibleTextRole,
            _("{name}, letter {letters}, {family}").format(
                name=entry.name, letters=letters, family=_(_FAMILY_NAMES[entry.family])
            ),
        )
        item.setToolTip(entry.gloss)
        self.list.addItem(item)

    def _icon(self, kind: str) -> QIcon:
        def ink(role: QPalette.ColorRole) -> QColor:
            return self.palette().color(QPalette.ColorGroup.Active, role)

        return kind_icon(
            kind,
            _ICON_PX,
            ink(QPalette.ColorRole.Text).rgba(),
            ink(QPalette.ColorRole.Base).rgba(),
            ink(QPalette.ColorRole.HighlightedText).rgba(),
            ink(QPalette.ColorRole.Highlight).rgba(),
            self.devicePixelRatioF(),
        )

    def _next_row(self, row: int, step: int) -> int | None:
        """The next row from `row` on that is a kind, `None` at the end."""
        row += step
        while 0 <= row < self.list.count():
            if self.list.item(row).data(_KIND):
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
        kind = item.data(_KIND)
        if not kind:
            return
        self._recent = tuple(dict.fromkeys((kind, *self._recent)))[:MOST_RECENT]
        self.line.clear()
        self._fill()
        self.chosen.emit(kind)

    def event(self, event: QEvent) -> bool:
        """Other colours or a finer screen: pictures and headings anew."""
        done = super().event(event)
        if event.type() in _LOOKS_CHANGE and getattr(self, "_filled", False):
            self._fill()
        return done
