"""All cards of a panel door, in the order in which a frightened person needs them."""

from __future__ import annotations

from typing import NamedTuple

from app.figures.battery_off import Line, banks, never, reconnect, start_engine, still_works
from app.figures.order_report import where
from app.handover.panel_door.card import Cell, Door
from app.handover.panel_door.mains import all_off, mains
from app.handover.panel_door.names import few, long_names, name, said, short
from app.handover.panel_door.net import make_net
from app.handover.panel_door.schematic import Schematic
from app.handover.panel_door.signs import Sign, disc_sign, essential_sign, tile_sign
from app.handover.panel_door.steps import Told, bypass_orders, emergency, inverters, order_steps, still_live
from app.handover.panel_door.tables import (
    Conditions,
    Panel,
    conditions,
    conditions_table,
    label_of,
    mains_table,
    panel_table,
    panels,
    parted,
)
from app.paper.cards_transfer import about
from app.paper.table import Table
from engine.cautions import CAUTIONS
from engine.picture import Picture, text_width
from engine.study import Study
from engine.words import _, ngettext

__all__ = ["Built", "build"]

_NARROW = 118.0  # mm, below which device and rating stand behind the legend
_TIGHT = 18.0  # mm, the narrowest a column of a condition is made


class Built(NamedTuple):
    """The pages, the tables on them, and what could not be told."""

    pictures: tuple[Picture, ...]
    tables: tuple[Table, ...]
    gaps: tuple[str, ...]


def build(
    study: Study,
    size: tuple[float, float],
    boat: str,
    *,
    enclosure: str = "",
    mono: bool = False,
    film: bool = False,
) -> Built:
    """Make the cards. `enclosure`: the panel they hang in, where only its table is wanted."""
    cards = _Cards(study, size, boat, enclosure)
    cards.lay({})
    return cards.made(mono, film)


class _Cards:
    """One set of cards being made."""

    def __init__(self, study: Study, size: tuple[float, float], boat: str, enclosure: str) -> None:
        self.study, self.snapshot = study, study.snapshot
        self.size = size
        self.boat = f"{boat}, {enclosure}" if enclosure else boat
        self.mains = mains(self.study)
        self.off = all_off(self.study, self.mains)
        self.net = make_net(self.snapshot)
        self.numbers = {main.item: main.number for main in self.mains}
        self.panels = panels(self.snapshot, enclosure)
        self.conditions = conditions(self.snapshot)
        self.bypass = bypass_orders(study)
        self.banks = banks(study)

    def lay(self, places: dict[str, int]) -> None:
        """Everything from card to card. `places`: on which card each section begins, where that is known already."""
        self.door = Door(self.size, self.boat, about(self.snapshot), _(CAUTIONS[-1]))
        self.places = places
        self.gaps: list[str] = []
        self.cut: list[str] = []  # equipment whose name is cut short on the schematic
        self.tables: list[Table] = []
        self._emergency()
        self._mains()
        self._schematic()
        self._panels()
        self._conditions()
        self._bypass()
        self._batteries()
        self._last()

    def made(self, mono: bool, film: bool) -> Built:
        """All of them, with where to find what told on the first."""
        for _pass in range(2):  # the list on the first card takes the same room with every number
            self.lay(dict(self.door.sections))
        return Built(self.door.finished(mono=mono, film=film), tuple(self.tables), tuple(self.gaps))

    # -- emergency --------------------------------------------------------------------------------------------------
    def _emergency(self) -> None:
        door, snapshot = self.door, self.snapshot
        door.section(_("EMERGENCY: everything off"), "red", new=True)
        door.text(_("Somebody is held by the current: switch off first, then touch."), bold=True)
        found = self.off
        if found is None:
            self._gap(_("Nothing drawn cuts a source off from a bus: how everything is switched off is not recorded."))
        else:
            self._steps(list(emergency(self.study, found)))
            door.space(1.5)
            if found.remains:
                text = _("WARNING: {sources} is not cut off by this, as far as the drawing tells.")
                door.text(text.format(sources=few(snapshot, found.remains, 8)), bold=True)
            if found.stays:
                door.text(_("Still live after this:"), bold=True)
            for text in still_live(self.study, found):
                door.text(text)
        lines = inverters(self.study)
        if lines:
            door.section(_("EMERGENCY: cut the inverter"), "red", 30.0)
            self._lines(lines, numbered=True)
        if self.places:
            own = _("Where to find it")
            door.section(own, below=30.0)
            for title, card in list(self.places.items())[1:]:
                if title != own:
                    door.found_at(title, card)

    def _mains(self) -> None:
        door, snapshot = self.door, self.snapshot
        door.section(_("Main disconnects"))
        if not self.mains:
            self._gap(_("No main disconnect is recorded: no switch that a person moves parts a source from a bus."))
            return
        titles = (_("No."), _("Marking"), _("Where"), _("What “off” does"))
        rows: list[list[Cell]] = []
        for main in self.mains:
            record = snapshot.equipment[main.item]
            what, own = name(snapshot, main.item), short(record.designation)
            shown = what if own in ("", what) else f"{what} ({own})"
            place = short(where(snapshot, main.item)) or _("not recorded")
            text = parted(snapshot, main)
            if main.position != "open":
                text = _("“{position}”: {what}").format(position=main.position, what=text)
            rows.append([disc_sign(main.number), shown, place, text])
        door.table(titles, rows, bold_cells=lambda _row, column: column == 1)
        self.tables.append(mains_table(snapshot, self.mains))

    # -- schematic --------------------------------------------------------------------------------------------------
    def _schematic(self) -> None:
        door, snapshot = self.door, self.snapshot
        net = self.net
        door.section(_("Schematic, simplified"), below=0.6 * (door.height - 45.0))
        if not net.hubs:
            self._gap(_("No supply is drawn that could be shown."))
        else:
            placed = frozenset(p.item for panel in panels(snapshot) for p in panel.positions if p.item)
            tabled = frozenset(panel.enclosure for panel in self.panels)
            drawn = Schematic(door, snapshot, net, self.numbers, placed, tabled)
            self._key(bool(self.numbers))
            drawn.draw()
            self.cut = list(dict.fromkeys(drawn.cut))
        if net.alone:
            self._gap(_("Joined to nothing on the drawing: {names}.").format(names=few(snapshot, net.alone, 12)))
        if net.unfed:
            self._gap(_("Fed by nothing on the drawing: {names}.").format(names=few(snapshot, net.unfed, 12)))

    def _key(self, has_mains: bool) -> None:
        """What the signs mean, in one line each."""
        door = self.door
        rows: list[tuple[Sign, str]] = []
        if has_mains:
            rows.append((disc_sign(1), _("main disconnect, by its number")))
        rows.append((tile_sign("A"), _("goes on at the bar of this letter")))
        rows.append((essential_sign(), _("essential: keep it on")))
        door.signs(rows)

    # -- panels -----------------------------------------------------------------------------------------------------
    def _panels(self) -> None:
        door = self.door
        if not self.panels:
            door.section(_("Panels"), below=14.0)
            self._gap(_("No panel or enclosure is recorded."))
            return
        for number, panel in enumerate(self.panels, 1):
            door.section(panel.title or _("Panel without a name"), below=30.0)
            if panel.positions:
                self._panel(panel)
                self.tables.append(panel_table(panel, number))
            else:
                text = _("No position of {panel} is recorded.")
                self._gap(text.format(panel=panel.title or _("this panel")))
            if panel.unplaced:
                text = _("In it, at a position that is not recorded: {names}.")
                self._gap(text.format(names=", ".join(label_of(self.snapshot, i) for i in panel.unplaced)))

    def _panel(self, panel: Panel) -> None:
        rows: list[list[Cell]] = []
        narrow = self.door.inner < _NARROW
        for p in panel.positions:
            sign: Cell = ""
            if p.item in self.numbers:
                sign = disc_sign(self.numbers[p.item])
            elif p.essential:
                sign = essential_sign()
            told = ", ".join(text for text in (p.device, p.rating) if text)
            legend = f"{p.legend} ({told})" if narrow and told else p.legend
            rows.append([p.position, sign, legend, *(() if narrow else (p.device, p.rating)), p.feeds])
        titles = [_("Pos."), "", _("Legend"), *(() if narrow else (_("Device"), _("Rating"))), _("Feeds")]
        signs = any(isinstance(row[1], Sign) for row in rows)
        if not signs:
            del titles[1]
            rows = [[row[0], *row[2:]] for row in rows]
        bold = [bool(p.essential) for p in panel.positions]
        self.door.table(titles, rows, bold, bold_cells=lambda _row, column: column == (2 if signs else 1))
        if any(p.essential for p in panel.positions):
            self.door.signs([(essential_sign(), _("essential: keep it on"))])
        silent = list(dict.fromkeys(p.position for p in panel.positions if p.unsaid))
        if silent:
            text = ngettext(
                "Whether it is essential is not recorded: position {positions}.",
                "Whether they are essential is not recorded: positions {positions}.",
                len(silent),
            )
            self.door.text(text.format(positions=", ".join(silent)))

    # -- conditions -------------------------------------------------------------------------------------------------
    def _conditions(self) -> None:
        door, of = self.door, self.conditions
        door.section(_("Operating conditions"), below=40.0)
        if not of.order:
            self._gap(_("No operating condition is recorded."))
            return
        if of.alike:
            door.text(_("Every switch stands alike in all of them: {names}.").format(names=", ".join(self._names(of))))
            return
        self.tables.append(conditions_table(self.snapshot, of))
        door.text(_("Only what differs is listed; in bold what differs from the column before."))
        names = self._names(of)
        most = max(1, int((door.inner * 0.66) // max(_TIGHT, self._widest(of) + 2.5)))
        for first in range(0, len(of.order), most):
            part = range(first, min(first + most, len(of.order)))
            rows = [[what, *(told[n] for n in part)] for what, told in of.rows]

            def differs(row: int, column: int, first: int = first) -> bool:
                n = first + column - 1
                return column > 0 and n > 0 and of.rows[row][1][n] != of.rows[row][1][n - 1]

            door.table((_("Switch or source"), *(names[n] for n in part)), rows, bold_cells=differs)

    def _names(self, of: Conditions) -> list[str]:
        return [short(self.snapshot.conditions[item].name) or _("without a name") for item in of.order]

    @staticmethod
    def _widest(of: Conditions) -> float:
        return max(
            text_width(word, 3.5, True) for _what, told in of.rows for text in told for word in text.split() or [""]
        )

    # -- bypass and batteries ---------------------------------------------------------------------------------------
    def _bypass(self) -> None:
        door, snapshot = self.door, self.snapshot
        found = self.bypass
        if not found.any_bypass:
            return
        if found.orders:
            for each in found.orders:
                start, stop = (short(snapshot.conditions[c].name) for c in (each.start, each.stop))
                door.section(_("Bypass: from “{start}” to “{stop}”").format(start=start, stop=stop), below=40.0)
                if not each.steps:
                    door.text(_("Nothing is to be done: everything stands as it should already."))
                    continue
                self._steps(list(order_steps(snapshot, each)))
                door.space(1.5)
                door.text(_("Each step only when the one before has been seen to be done."), bold=True)
                if each.dark:
                    told = _("Without supply for part of it: {loads}.")
                    door.text(told.format(loads=few(snapshot, each.dark, 12)))
                for text in each.taken:
                    door.text(_("Supposed: {what}.").format(what=text))
        elif found.gaps:
            door.section(_("Bypass"), below=20.0)
        for gap in found.gaps:
            self._gap(gap)

    def _batteries(self) -> None:
        door, study = self.door, self.study
        for bank in self.banks:
            door.section(_("If {bank} shuts itself off").format(bank=said(self.snapshot, bank)), "red", 40.0)
            door.heading(_("What still works"))
            self._lines(list(still_works(study, bank)) or [Line(_("No load is recorded as essential"))])
            door.heading(_("To start the engine"))
            self._lines(list(start_engine(study, bank)))
            door.heading(_("To reconnect"))
            self._lines(list(reconnect(study, bank)), numbered=True)
            door.heading(_("Do not reconnect"))
            self._lines(list(never(study, bank)))

    # -- the last ---------------------------------------------------------------------------------------------------
    def _last(self) -> None:
        door = self.door
        ratings = [
            f"{panel.title} {p.position}"
            for panel in self.panels
            for p in panel.positions
            if p.rating == _("not known")
        ]
        if ratings:
            self.gaps.append(_("Rating not recorded: {where}.").format(where="; ".join(ratings)))
        long = long_names(self.snapshot)
        if self.gaps or self.cut or long:
            door.section(_("What these cards do not tell"), below=20.0)
        for gap in self.gaps:
            door.text(gap)
        if self.cut:
            door.text(_("Names cut short on the schematic, in full:"))
            for item in self.cut:
                own = short(self.snapshot.equipment[item].designation)
                told = dict.fromkeys((own, name(self.snapshot, item), said(self.snapshot, item)))
                door.text("; ".join(text for text in told if text))
        for shown, whole in long:
            door.text(_("“{shown}” is in full: {whole}").format(shown=shown, whole=whole))
        door.section(_("Cautions"), below=30.0)
        for text in CAUTIONS[:-1]:  # the last stands at the foot of every card
            door.text(_(text))

    # -- putting ----------------------------------------------------------------------------------------------------
    def _gap(self, text: str) -> None:
        self.gaps.append(text)
        self.door.text(text, bold=True)

    def _steps(self, told: list[Told]) -> None:
        for n, each in enumerate(told, 1):
            main = self.numbers.get(each.item)
            self.door.step(f"{n}.", each.deed, each.about, disc_sign(main) if main is not None else None)

    def _lines(self, lines: list[Line], numbered: bool = False) -> None:
        for n, each in enumerate(lines, 1):
            self.door.step(f"{n}." if numbered else "", each.deed, (each.about,))
