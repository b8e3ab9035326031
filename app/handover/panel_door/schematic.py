"""The simplified schematic: each place where supply comes together as an upright bar, the ways from it as level lines.

Read from left to right along a line: bar, fuse, switch, battery. What goes on to another bar ends in that bar's
letter; loads are told beside their bar, by name. Symbols are those of the sheets, 1.4 times as large.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from app.figures.order_report import where
from app.handover.panel_door.card import BODY, Door, plain
from app.handover.panel_door.names import name, rated, said, short
from app.handover.panel_door.net import Circuit, Hub, Net, Way, essential_of
from app.handover.panel_door.rows import BAR, Element, Head, Line, Reference, Row, Words
from app.handover.panel_door.symbol import turned
from engine.installation.model import Snapshot
from engine.picture import cut_text, text_width, wrap_text
from engine.words import _, ngettext

__all__ = ["Schematic"]

_CELL = 28.5  # mm: a device with what is written below it, at least
_COLUMN = 96.0  # mm: columns stand side by side where each has so much
_BETWEEN = 5.0
_HEAD = 26.0  # mm: the head of a hub that goes on, at the highest
_MOST = 4  # lines below a device


class Schematic:
    """Draws a net on cards."""

    def __init__(
        self,
        door: Door,
        snapshot: Snapshot,
        net: Net,
        numbers: dict[str, int],
        placed: frozenset[str],
        tabled: frozenset[str],
    ) -> None:
        self.door, self.snapshot, self.net = door, snapshot, net
        self.numbers = numbers  # of main disconnects
        self.placed = placed  # devices that have a position in a panel
        self.tabled = tabled  # panels whose table stands on the cards
        self.letters = {hub.item: _letter(n) for n, hub in enumerate(net.hubs)}
        self.cut: list[str] = []  # equipment whose name is cut short

        self._count = max(1, int((door.inner + _BETWEEN) // (_COLUMN + _BETWEEN)))  # columns side by side
        self.inner = (door.inner - (self._count - 1) * _BETWEEN) / self._count
        self._columns = max(2, int((self.inner - 2 * BAR) // _CELL))
        self.cell = (self.inner - 2 * BAR) / self._columns
        self.fresh = door.fresh
        self._column, self._top, self._low = 0, 0.0, 0.0

    def draw(self) -> None:
        """Every hub with its ways, one below the other, column by column."""
        self._top = self._low = self.door.y
        for hub in self.net.hubs:
            self._hub(hub)
        self.door.y = max(self._low, self.door.y)

    # -- columns ----------------------------------------------------------------------------------------------------
    def _keep(self, high: float) -> bool:
        """On to the next column or card unless so much room is left; whether it went on."""
        if self.door.room >= high or (self.door.y <= self._top and high > self.fresh):
            return False
        self._low = max(self._low, self.door.y)
        if self._column + 1 < self._count:
            self._column += 1
            self.door.y = self._top
        else:
            self.door.open()
            self._column = 0
            self._top = self._low = self.door.y
        return True

    def _place(self, part: Row, last: bool = False) -> None:
        left = self.door.left + self._column * (self.inner + _BETWEEN)
        self.door.put(*part.draw(left, self.door.y, last))
        self.door.space(part.high)

    # -- a hub ------------------------------------------------------------------------------------------------------
    def _hub(self, hub: Hub) -> None:
        parts: list[Row] = [row for way in sorted(hub.ways, key=_turn) for row in self._way(hub, way)]
        parts += self._circuits(hub)
        if not parts:
            parts = [Words(self, [(_("Nothing is drawn at it."), False)], starless=True)]
        head = self._head(hub, False)
        if not self._keep(head.high + parts[0].high + 3.5) and self.door.y > self._top:
            self.door.space(2.5)
        self._place(head)
        for n, part in enumerate(parts):
            if self._keep(part.high) and not part.follows:
                self._place(self._head(hub, True))
            self._place(part, last=n == len(parts) - 1)

    def _head(self, hub: Hub, goes_on: bool) -> Row:
        record = self.snapshot.equipment[hub.item]
        main = self.numbers.get(hub.item)
        own = (short(self.snapshot.name(hub.item)), rated(record), short(where(self.snapshot, hub.item)))
        words = said(self.snapshot, hub.item)
        if goes_on:
            words = _("{title}, continued").format(title=words)
        return Head(self, self.letters[hub.item], words, "" if goes_on else ", ".join(t for t in own if t), main)

    # -- a way ------------------------------------------------------------------------------------------------------
    def _way(self, hub: Hub, way: Way) -> list[Row]:
        terminal = self._terminal(hub.item, way.terminal)
        if way.again:
            return [Reference(self, self.letters[way.end], said(self.snapshot, way.end), terminal)]
        elements: list[Element | None] = [self._element(link.item, link.enter, link.leave) for link in way.links]
        if way.to_hub:
            elements.append(self._hub_end(way.end))
        else:
            elements.append(self._element(way.end, way.enter, None))
        if terminal and Line.is_wide(self, terminal):
            elements.insert(0, None)
        folded = [elements[n : n + self._columns] for n in range(0, len(elements), self._columns)]
        made: list[Row] = []
        for n, part in enumerate(folded):
            row = Line(self, part, n > 0, n < len(folded) - 1, terminal if n == 0 else "")
            fits = row.shortened(self.fresh - _HEAD)
            if fits is not row:
                self.cut += [e.item for e in part if e is not None]
            made.append(fits)
        return made

    def _terminal(self, item: str, terminal: str) -> str:
        """What a way from a device with several sides is called by; a bus and a battery have one."""
        record = self.snapshot.equipment[item]
        if record.ROLE in ("bus", "junction") or record.store() is not None:
            return ""
        return terminal.replace("_", " ")

    def _element(self, item: str, enter: str, leave: str | None) -> Element:
        record = self.snapshot.equipment[item]
        what = name(self.snapshot, item)
        second = ", ".join(t for t in (short(record.designation), rated(record)) if t and t != what)
        words = [(what, True)]
        label = said(self.snapshot, item)
        if label.casefold() != what.casefold() and record.ROLE in ("source", "converter"):
            words.append((label, False))
        if second:
            words.append((second, False))
        placed = turned(record, self.snapshot.settings.symbols, enter, leave)
        return Element(item, placed, self._fitted(item, words))

    def _hub_end(self, item: str) -> Element:
        return Element(item, None, self._fitted(item, [(said(self.snapshot, item), True)]))

    def _fitted(self, item: str, words: Sequence[tuple[str, bool]]) -> tuple[tuple[str, bool], ...]:
        """Lines that fit below a symbol; a name that is too long is cut, and told in full on the last card."""
        wide = self.cell - 1.2
        made: list[tuple[str, bool]] = []
        for n, (text, bold) in enumerate(words):
            room = _MOST - len(made) - (len(words) - n - 1)
            parts = list(wrap_text(_breakable(plain(text), wide, bold), wide, BODY, bold))
            if len(parts) > max(room, 1):
                parts = [*parts[: max(room, 1) - 1], cut_text(" ".join(parts[max(room, 1) - 1 :]), wide, BODY, bold)]
                if parts[-1].endswith("…") or len(parts) < _MOST:
                    self.cut.append(item)
            made += [(part, bold) for part in parts]
        return tuple(made[:_MOST])

    # -- circuits ---------------------------------------------------------------------------------------------------
    def _circuits(self, hub: Hub) -> list[Row]:
        """Loads that hang on a hub: those a table lists by number alone, with the essential ones named."""
        equipment = self.snapshot.equipment
        listed = [c for c in hub.circuits if c.item in self.placed]
        others = [c for c in hub.circuits if c.item not in self.placed]
        made: list[Row] = []
        panels = dict.fromkeys(equipment[c.item].enclosure for c in listed)
        for panel in panels:
            count = sum(equipment[c.item].enclosure == panel for c in listed)
            if panel in self.tabled:
                told = ngettext(
                    "{count} circuit: see the table of {panel}", "{count} circuits: see the table of {panel}", count
                )
            else:
                told = ngettext("{count} circuit in {panel}", "{count} circuits in {panel}", count)
            made.append(Words(self, [(told.format(count=count, panel=self._panel(panel)), False)]))
        for circuit in [*others, *(c for c in listed if essential_of(equipment, c.loads))]:
            made += self._circuit(circuit)
        return made

    def _panel(self, enclosure: str) -> str:
        return short(self.snapshot.enclosures[enclosure].name) or _("a panel without a name")

    def _circuit(self, circuit: Circuit) -> list[Row]:
        record = self.snapshot.equipment[circuit.item]
        what = name(self.snapshot, circuit.item)
        own = ", ".join(t for t in (short(record.designation), rated(record)) if t and t != what)
        loads = [said(self.snapshot, load) for load in circuit.loads if load != circuit.item]
        loads = [load for load in dict.fromkeys(loads) if load.casefold() != what.casefold()]
        star = bool(essential_of(self.snapshot.equipment, circuit.loads))
        head = f"{what} ({own})" if own else what
        words = [(head, star)]
        if loads:
            shown = loads[:6]
            more = [_("{count} more").format(count=len(loads) - 6)] if len(loads) > 6 else []
            behind = ", ".join([*shown, *more])
            words.append((behind, False))
            both = _("{device}: {loads}").format(device=head, loads=behind)
            if not star and text_width(both, BODY) <= self.inner - 2 * BAR - 7.0:
                words = [(both, False)]
        if not circuit.loads:
            words.append((_("nothing connected"), False))
        return Words(self, words, star=star).split()


def _turn(way: Way) -> tuple[bool, bool]:
    """What a hub is fed by stands first, told already or not."""
    return (not way.again, way.to_hub)


def _breakable(text: str, wide: float, bold: bool) -> str:
    """A text whose words may be broken behind a stroke or hyphen where they are wider than a line."""
    return " ".join(
        word if text_width(word, BODY, bold) <= wide else re.sub(r"(?<=[/-])(?=\w)", " ", word) for word in text.split()
    )


def _letter(n: int) -> str:
    """A, B ... Z, AA ..."""
    text = ""
    n += 1
    while n:
        n, rest = divmod(n - 1, 26)
        text = chr(65 + rest) + text
    return text
