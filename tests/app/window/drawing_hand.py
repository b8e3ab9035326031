"""A person at the window: draws what a sample holds, with mouse and keys alone. Loaded by tests beside it.

What is looked up in the drawing here is only what a person sees on the screen: where a terminal is, which field has the
keyboard, which line of a list is chosen.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

import msgspec
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt, QTimer
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.window.entries import label_of
from app.window.main import Window
from app.window.particulars.field import FieldRow
from app.window.particulars.form import Form
from engine.installation import Snapshot
from engine.record import FieldSpec, field_specs
from engine.units import UNITS

NONE = Qt.KeyboardModifier.NoModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier
CTRL = Qt.KeyboardModifier.ControlModifier
LEFT = Qt.MouseButton.LeftButton
K = Qt.Key
ARROWS = (K.Key_Left, K.Key_Right, K.Key_Up, K.Key_Down)
IN_M, FT_M = 0.0254, 0.3048
ON_THE_SHEET = ("from_end.equipment", "from_end.terminal", "to_end.equipment", "to_end.terminal", "in_position")


def alike(a: Any, b: Any) -> bool:
    """The same value; numbers as far as twelve figures go."""
    if isinstance(a, float | int) and isinstance(b, float | int) and not isinstance(a, bool):
        return math.isclose(a, b, rel_tol=1e-9)
    if isinstance(a, msgspec.Struct) and type(a) is type(b):
        return all(alike(getattr(a, s.name), getattr(b, s.name)) for s in field_specs(type(a)))
    if isinstance(a, tuple) and isinstance(b, tuple):
        return len(a) == len(b) and all(alike(x, y) for x, y in zip(a, b, strict=True))
    return bool(a == b)


class DrawingHand:
    """Mouse and keys in one window. Places on the sheet are grid points (column, row)."""

    def __init__(self, window: Window, qtbot: QtBot, sample: Snapshot) -> None:
        self.window, self.qtbot, self.sample = window, qtbot, sample
        self.board, self.document = window.board, window.document
        self.mine: dict[str, str] = {}  # id in the sample -> id in the drawing that is made
        self.said: list[str] = []
        self._lengths = 0
        self.board.refused.connect(self.said.append)
        window.activateWindow()
        self.board.setFocus()
        qtbot.waitUntil(self.board.hasFocus)

    # -- keys ---------------------------------------------------------------------------------------------------
    @property
    def focus(self) -> QWidget:
        """What has the keyboard."""
        widget = QApplication.focusWidget()
        assert widget is not None, "nothing has the keyboard"
        return widget

    def key(self, key: Qt.Key, keys: Qt.KeyboardModifier = NONE, times: int = 1) -> None:
        """A key, to whatever has the keyboard."""
        for _n in range(times):
            self.qtbot.keyClick(QApplication.focusWidget() or self.window, key, keys)
        if key not in ARROWS:
            QApplication.processEvents()  # nobody is faster: what was made by it is shown

    def type(self, text: str) -> None:
        """A text, to whatever has the keyboard."""
        line = self.focus
        for sign in text:
            if sign.isascii():
                self.qtbot.keyClicks(line, sign)
            else:  # QTest knows no key for it; a keyboard that has one sends its text
                for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
                    QApplication.sendEvent(line, QKeyEvent(kind, K.Key_unknown, NONE, sign))

    def to_board(self) -> None:
        """Go to the sheet, by key."""
        for _n in range(6):
            if self.board.hasFocus():
                return
            self.key(K.Key_F6, SHIFT)
        raise AssertionError(f"the sheet is not reached, {QApplication.focusWidget()} has the keyboard")

    def to_page(self) -> None:
        """Go to the page of particulars, by key."""
        if self.window.page != "particulars":
            self.key(K.Key_F2)
        for _n in range(6):
            if self.window.pages.isAncestorOf(QApplication.focusWidget() or self.window):
                return
            self.key(K.Key_F6)
        raise AssertionError(f"the page is not reached, {QApplication.focusWidget()} has the keyboard")

    def tab_to(self, widgets: Callable[[], Iterable[QWidget]], back: bool = False) -> QWidget:
        """Press Tab until one of these has the keyboard."""
        for _n in range(400):
            now = self.focus
            if now in widgets():
                return now
            self.key(K.Key_Backtab if back else K.Key_Tab, SHIFT if back else NONE)
        raise AssertionError(f"Tab does not reach {widgets()}")

    def find_action(self, words: str) -> None:
        """Ctrl+J, some words, Enter."""
        seen: list[str] = []

        def work() -> None:
            dialog = QApplication.activeModalWidget()
            assert dialog is not None
            try:
                self.qtbot.keyClicks(dialog.line, words)
                seen.append(dialog.list.currentItem().text())
                self.qtbot.keyClick(dialog.line, K.Key_Return)
            finally:
                if dialog.isVisible():
                    dialog.reject()

        QTimer.singleShot(0, work)
        self.key(K.Key_J, CTRL)
        assert seen
        assert words.casefold() in seen[0].casefold(), seen
        self.come_back()

    def come_back(self) -> None:
        """What stood in front is gone, and the window has the keyboard again: a desktop does that by itself."""
        self.qtbot.waitUntil(lambda: QApplication.activeWindow() in (None, self.window))
        self.window.activateWindow()
        self.qtbot.waitUntil(lambda: QApplication.focusWidget() is not None)

    # -- the mouse on the sheet -----------------------------------------------------------------------------------
    def pixel(self, place: tuple[int, int]) -> QPoint:
        """Where a point of the grid is in the window."""
        spot = self.board.spot_at(*place)
        at = self.board.to_viewport(spot.x, spot.y).toPoint()
        assert self.board.viewport().rect().contains(at), f"{place} is not in sight"
        return at

    def move(self, place: tuple[int, int], down: Qt.MouseButton = Qt.MouseButton.NoButton) -> None:
        """Sent by hand: `QTest.mouseMove` goes by the one pointer that all windows share offscreen."""
        view, at = self.board.viewport(), QPointF(self.pixel(place))
        event = QMouseEvent(QEvent.Type.MouseMove, at, view.mapToGlobal(at), Qt.MouseButton.NoButton, down, NONE)
        QApplication.sendEvent(view, event)

    def click(self, place: tuple[int, int]) -> None:
        """Move there and click."""
        self.drag(place, place)

    def drag(self, start: tuple[int, int], stop: tuple[int, int]) -> None:
        """Press at one place, let go at another."""
        view = self.board.viewport()
        self.move(start)
        self.qtbot.mousePress(view, LEFT, NONE, self.pixel(start))
        if stop != start:
            middle = ((start[0] + stop[0]) // 2, (start[1] + stop[1]) // 2)
            self.move(middle, LEFT)
            self.move(stop, LEFT)
        self.qtbot.mouseRelease(view, LEFT, NONE, self.pixel(stop))

    def go(self, place: tuple[int, int]) -> None:
        """Move the keyboard's pointer, by arrow keys."""
        board = self.board
        assert board.hasFocus()
        if not board._cursor_shown:
            self.key(K.Key_Right)
        dx, dy = place[0] - board.cursor_column, place[1] - board.cursor_row
        for way, one, other in ((dx, K.Key_Right, K.Key_Left), (dy, K.Key_Down, K.Key_Up)):
            key = one if way > 0 else other
            self.key(key, SHIFT, abs(way) // 10)
            self.key(key, NONE, abs(way) % 10)
        assert (board.cursor_column, board.cursor_row) == place

    def press_widget(self, widget: QWidget) -> None:
        """Click on a control, scrolled into sight as a person would."""
        self.qtbot.waitUntil(widget.isVisible)
        page = self.window.pages.particulars()
        if page.isAncestorOf(widget):
            page._settle()
            page._scroll.ensureWidgetVisible(widget, 0, 20)
        at = widget.rect().center()
        if widget.width() > 60:
            at = QPoint(14, at.y())
        assert widget.visibleRegion().contains(at), f"{widget.accessibleName()} cannot be clicked"
        self.qtbot.mouseClick(widget, LEFT, NONE, at)

    # -- equipment and runs -----------------------------------------------------------------------------------------
    def place(self, kind_name: str, placement: Any, by_keys: bool) -> str:
        """Place a piece of that kind; its id."""
        before = set(self.document.snapshot().equipment)
        self.to_board()
        self.key(K.Key_E)
        line = self.window.pages.kinds_list().line
        assert line.hasFocus()
        self.type(kind_name)
        self.key(K.Key_Return)
        assert self.board.tool.NAME == "place", kind_name
        assert self.board.hasFocus()
        for _n in range(placement.rotation // 90 if placement.length is None else 0):
            self.key(K.Key_T)
        if placement.mirrored:
            self.key(K.Key_T, SHIFT)
        at = (placement.x, placement.y)
        if placement.length is not None:
            along = (0, placement.length) if placement.rotation % 180 else (placement.length, 0)
            self.drag(at, (at[0] + along[0], at[1] + along[1]))
        elif by_keys:
            self.go(at)
            self.key(K.Key_Return)
        else:
            self.click(at)
        (made,) = set(self.document.snapshot().equipment) - before
        assert self.document.selection == (made,)
        assert self.board.tool.NAME == "choose"
        return made

    def draw(
        self, start: tuple[int, int], stop: tuple[int, int], how: str, turn: Callable[[], None] | None = None
    ) -> str:
        """Draw a run between two points: by "keys", "clicks" or "drag"; `turn`: to the sheet it ends on. Its id."""
        before = set(self.document.snapshot().runs)
        self.to_board()
        if self.board.tool.NAME != "run":
            self.key(K.Key_D)
        assert self.board.tool.NAME == "run"
        if how == "keys":
            self.go(start)
            self.key(K.Key_Return)
            if turn is not None:
                turn()
            self.go(stop)
            self.key(K.Key_Return)
        elif how == "clicks" or turn is not None:
            self.click(start)
            if turn is not None:
                turn()
            self.click(stop)
        else:
            self.drag(start, stop)
        made = set(self.document.snapshot().runs) - before
        assert len(made) == 1, (start, stop, how, made, self.said)
        assert self.document.selection == tuple(made)
        return made.pop()

    # -- the page of particulars --------------------------------------------------------------------------------------
    def translated(self, spec: FieldSpec, value: Any) -> Any:
        """A value of the sample with the ids of the drawing that is made."""
        if spec.shape == "records":
            return tuple(self._struct(each) for each in value)
        if spec.shape == "record":
            return self._struct(value) if value is not None else None
        if spec.fact.refers and spec.shape == "words":
            return tuple(self.mine[each] for each in value)
        return self.mine[value] if spec.fact.refers and value else value

    def _struct(self, value: Any) -> Any:
        fields = {s.name: self.translated(s, getattr(value, s.name)) for s in field_specs(type(value))}
        return type(value)(**fields)

    def fill(self, form: Form, record: Any, how: str, leave: Iterable[str] = ()) -> None:
        """Every field that is not as in `record`: by "keys" from the first to the last with Enter, or by "clicks"."""
        (subject,) = form.subjects
        names = [s.name for s in field_specs(type(record)) if s.name in form.rows and s.name not in leave]
        specs = {s.name: s for s in field_specs(type(record))}

        def is_wanted(name: str) -> bool:
            now = getattr(self.document.installation.get(*subject), name)
            return name in names and not alike(now, self.translated(specs[name], getattr(record, name)))

        if how == "keys":
            order = [n for n, row in form.rows.items() if row.first_stop() is not None]
            last = max((n for n, name in enumerate(order) if is_wanted(name)), default=-1)
            if last >= 0:
                self.tab_to(form.rows[order[0]].stops)
            for n, name in enumerate(order[: last + 1]):
                row = form.rows[name]
                stop = row.first_stop()
                assert stop is not None
                assert stop.hasFocus(), f"{name}: the keyboard is at {self.row_of(self.focus)}"
                if is_wanted(name):
                    self.fill_row(row, specs[name], record)
                    if n < last and not form.rows[order[n + 1]].first_stop().hasFocus():
                        self.tab_to(form.rows[order[n + 1]].stops)
                else:
                    for _n in range(len(row.stops())):  # one for each cell of a table
                        if row.isAncestorOf(self.focus):
                            self.key(K.Key_Return)
        else:
            for name in list(form.rows):
                if is_wanted(name):
                    stop = form.rows[name].first_stop()
                    assert stop is not None
                    self.press_widget(stop)
                    if form.rows[name].sort == "check":
                        assert not is_wanted(name), name
                        continue
                    self.fill_row(form.rows[name], specs[name], record)
        for name in names:
            if name in ("from_end", "to_end"):
                continue
            row = form.rows[name]
            assert not is_wanted(name), f"{label_of(type(record), specs[name])}: {row.fault}"
            wanted = record.origin(name) if hasattr(record, "origin") else None
            now = self.document.installation.get(*subject).origin(name)
            assert wanted in (None, now), f"{name} comes from {wanted}, not {now}"

    def row_of(self, widget: QWidget | None) -> str:
        """The field a control belongs to."""
        while widget is not None and not isinstance(widget, FieldRow):
            widget = widget.parentWidget()
        return "no field" if widget is None else widget.label

    def fill_row(self, row: FieldRow, spec: FieldSpec, record: Any) -> None:
        """Fill the field that has the keyboard."""
        value = self.translated(spec, getattr(record, spec.name))
        origin = record.origin(spec.name) or ""
        if row.sort == "records":
            self.fill_rows(row.entry, value)
        elif row.sort == "record":
            self.fill_cells(row.entry, 0, value)
        else:
            self.fill_entry(row.entry, spec, value, origin)

    def fill_entry(self, entry: Any, spec: FieldSpec, value: Any, origin: str = "") -> None:
        """Give a value with keys to the entry that has the keyboard, and press Enter."""
        sort = type(entry).__name__
        if sort == "LineEntry":
            self.key(K.Key_A, CTRL)
            text = self.text(spec, value)
            self.type(f"{text} ~{origin}" if origin and origin != "typed" else text) if text else self.key(K.Key_Delete)
        elif sort == "CheckEntry":
            if entry.isChecked() != value:
                self.key(K.Key_Space)
        elif sort == "ChecksEntry":
            for box in entry.stops():
                if box.isChecked() != (box.text() in value):
                    self.tab_to(lambda box=box: [box])
                    self.key(K.Key_Space)
            return
        else:
            names = entry.stops()[0]
            target = names._values.index(value)
            if names.view().isVisible():  # it was clicked on: its list is open
                self.pick(names, target)
                return
            assert names.hasFocus()
            self.key(K.Key_Home)
            for _n in range(names.count()):
                if names.currentIndex() == target:
                    break
                self.key(K.Key_Down)
            assert names.currentIndex() == target, names.itemText(target)
        self.key(K.Key_Return)

    def pick(self, names: Any, target: int) -> None:
        """A line of a list that is open."""
        view = names.view()
        self.qtbot.keyClick(view, K.Key_Home)
        for _n in range(target):
            self.qtbot.keyClick(view, K.Key_Down)
        assert view.currentIndex().row() == target, names.itemText(target)
        self.qtbot.keyClick(view, K.Key_Return)
        assert not view.isVisible()
        self.come_back()

    def fill_rows(self, entry: Any, rows: tuple[Any, ...]) -> None:
        """Rows of cells, from the button to add one."""
        for number, row in enumerate(rows):
            if number >= len(entry._cells):
                self.tab_to(lambda: [entry._add])
                self.key(K.Key_Space)
            self.fill_cells(entry, number, row)

    def fill_cells(self, entry: Any, number: int, row: Any) -> None:
        """The cells of one row, one after the other."""
        for cell, spec in zip(entry._cells[number], field_specs(type(row)), strict=True):
            value = getattr(row, spec.name)
            stored = entry._rows()[number]
            stops = [s for s in cell.stops() if s.isVisible() and s.isEnabled()]
            if alike(getattr(stored, spec.name), value) or not stops:
                continue
            self.tab_to(lambda stops=stops: stops[:1])
            self.fill_entry(cell, spec, value)

    def text(self, spec: FieldSpec, value: Any) -> str:
        """What a person types for a value: lengths in three ways, a decimal comma now and then."""
        if value is None or value == () or value == "":
            return ""
        snapshot = self.document.snapshot()
        if spec.shape == "words":
            return ", ".join(snapshot.name(each) if spec.fact.refers else each for each in value)
        if spec.shape != "number":
            return str(value)
        if spec.fact.unit == "m":
            self._lengths += 1
            if self._lengths % 3 == 0:
                figures = f"{value:.12g}"
                is_plain = len(figures.partition(".")[2]) == 3  # with a comma that could be thousands, and is refused
                return f"{figures if is_plain else figures.replace('.', ',')} m"
            return f"{value / IN_M:.10g} in" if self._lengths % 3 == 1 else f"{value / FT_M:.12g} ft"
        sign = UNITS[spec.fact.unit].sign if spec.fact.unit in UNITS else ""
        return f"{value:.12g} {sign}".strip()
