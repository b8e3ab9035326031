"""The launch is drawn from nothing, with mouse and keys, as a person would; what comes of it is the sample."""

from __future__ import annotations

import datetime
import importlib.util
import re
import tomllib
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.drawing.changes import scene_of
from app.drawing.faults import scene_faults
from app.window.entries import title_of
from app.window.main import Window
from app.window.start import Desk
from engine.builder import Builder
from engine.check import check
from engine.edits import Put, apply
from engine.edits.operating import positions_in
from engine.files.drawing import dump, load
from engine.installation import Placement, Sheet, Snapshot
from engine.record import FieldSpec, field_specs

pytestmark = pytest.mark.qt

HERE = Path(__file__).parent
LAUNCH = HERE.parents[2] / "samples/launch"
TODAY = datetime.date(2026, 11, 25)
NONE = Qt.KeyboardModifier.NoModifier
CTRL = Qt.KeyboardModifier.ControlModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier
K = Qt.Key
Shown = Callable[[Window | None], Window]


def _helper() -> Any:
    spec = importlib.util.spec_from_file_location("drawing_hand", HERE / "drawing_hand.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


helper = _helper()


class Draughtsman:
    """Draws a sample, step by step. Everything is read from the sample; nothing is known beforehand."""

    def __init__(self, window: Window, qtbot: QtBot, sample: Snapshot) -> None:
        self.window, self.sample = window, sample
        self.hand = helper.DrawingHand(window, qtbot, sample)
        self.page = window.pages.particulars()
        self.document = window.document

    # -- the drawing as a whole -------------------------------------------------------------------------------------
    def whole(self) -> None:
        """Show the drawing itself: nothing chosen, the page of particulars."""
        self.hand.to_board()
        self.hand.key(K.Key_Escape)
        self.hand.key(K.Key_Escape)
        assert self.document.selection == ()
        self.hand.to_page()
        while self.page._visited:
            self.hand.press_widget(self.page.back)
        assert self.page.shown == ()

    def open_section(self, name: str) -> None:
        """Open a section of the page by key."""
        section = self.page.whole.sections[name]
        if not section.inside.isVisible():
            section.head.isVisible()
            self.hand.press_widget(section.head)
        assert section.inside.isVisible()

    def lone(self, table: str, how: str) -> None:
        self.whole()
        self.open_section(table)
        self.hand.fill(self.page.whole.forms[table], self.sample.lone[table], how)

    def records(self, table: str, how: str) -> None:
        """Records of a table people fill in, each made from the list."""
        for item, record in self.sample.tables[table].items():
            self.whole()
            self.open_section(table)
            self.hand.press_widget(self.page.whole.lists[table].buttons[1])
            made = self.page.shown[0]
            assert made.table == table
            self.hand.mine[item] = made.id
            self.hand.fill(self.page.form, record, how)

    def sheets(self) -> None:
        """The sheets, the first of which a new drawing has."""
        for n, (item, record) in enumerate(sorted(self.sample.sheets.items(), key=lambda s: s[1].number)):
            self.hand.to_board()
            if n:
                self.hand.find_action("New sheet")
            self.hand.mine[item] = self.document.sheet
            self.hand.find_action("Name and size of this sheet")
            assert self.page.shown[0].id == self.document.sheet
            self.hand.to_page()
            self.hand.fill(self.page.form, record, "keys")

    # -- equipment and runs -----------------------------------------------------------------------------------------
    def equipment(self, most: int | None = None) -> None:
        placements = {p.equipment: p for p in self.sample.placements.values()}
        assert len(placements) == len(self.sample.placements), "a piece with several symbols"
        for n, (item, record) in enumerate(list(self.sample.equipment.items())[:most]):
            placement = placements[item]
            self.hand.to_board()
            self.turn_to(placement.sheet)
            self.hand.mine[item] = self.hand.place(record.NAME, placement, by_keys=n % 2 == 1)
            self.hand.to_page()
            self.hand.fill(self.page.form, record, ("keys", "clicks")[n // 2 % 2], leave=("in_position",))

    def runs(self) -> None:
        drawn = [
            (item, run)
            for item, run in self.sample.runs.items()
            if {run.from_end.equipment, run.to_end.equipment} <= self.hand.mine.keys()
        ]
        for n, (item, record) in enumerate(drawn):
            (start, here), (stop, there) = self.ends_of(item)
            self.turn_to(here)
            how = ("clicks", "keys", "drag")[n % 3]
            turns = None if here == there else partial(self.turn_to, there)
            self.hand.mine[item] = self.hand.draw(start, stop, how, turns)
            self.hand.to_page()
            self.hand.fill(self.page.form, record, ("keys", "clicks")[n % 2])

    def ends_of(self, run: str) -> list[tuple[tuple[int, int], str]]:
        """Where the two terminals of a run are in the sample, and on which sheets; of a bus where the line meets it."""
        record = self.sample.runs[run]
        found = []
        for end, word in ((record.from_end, "from"), (record.to_end, "to")):
            (sheet,) = {p.sheet for p in self.sample.placements.values() if p.equipment == end.equipment}
            scene = scene_of(self.sample, sheet)
            (piece,) = (p for p in scene.of[end.equipment] if p.placement.sheet == sheet and p.shows(end.terminal))
            tips = {p.kind: p.points for p in scene.parts_on(sheet) if p.run == run}
            toward = tips["whole"][0 if word == "from" else -1] if "whole" in tips else None
            if toward is None:
                toward = tips[word][0] if word in tips else (piece.placement.x, piece.placement.y)
            found.append((piece.meets(end.terminal, toward), sheet))
        return found

    # -- switches ---------------------------------------------------------------------------------------------------
    def positions(self, condition: str) -> None:
        """Move switches to where they stand in a condition of the sample, "" as drawn: by mouse and by keys in turn."""
        settings: dict[str, str] = {i: e.in_position for i, e in self.sample.equipment.items() if e.in_position}
        if condition:
            settings = {s.equipment: s.position for s in self.sample.conditions[condition].settings}
        hand = self.hand
        hand.press_widget(self.window.conditions._buttons[hand.mine[condition] if condition else ""])
        hand.to_board()
        hand.key(K.Key_O)
        for n, (item, wanted) in enumerate(settings.items()):
            mine = hand.mine[item]
            (placement,) = (p for p in self.sample.placements.values() if p.equipment == item)
            self.turn_to(placement.sheet)
            every = self.document.snapshot().equipment[mine].positions()
            if n % 2:
                for _n in range(20):  # Tab goes on row by row, and with Shift back
                    if self.document.selection == (mine,):
                        break
                    (now,) = (
                        p for p in self.sample.placements.values() if hand.mine[p.equipment] in self.document.selection
                    )
                    is_above = (placement.y, placement.x) < (now.y, now.x)
                    hand.key(K.Key_Backtab if is_above else K.Key_Tab, SHIFT if is_above else NONE)
                assert self.document.selection == (mine,)
            else:
                for _n in every:
                    hand.click((placement.x, placement.y))
                    if self.stands(mine) == wanted:
                        break
            if self.stands(mine) != wanted:
                hand.key(Qt.Key(K.Key_1.value + every.index(wanted)))
            assert self.stands(mine) == wanted, hand.said
        hand.key(K.Key_C)

    def stands(self, item: str) -> str:
        """The position a switch stands in, in the condition that is shown."""
        return positions_in(self.document.snapshot(), self.document.condition)[item]

    def conditions(self) -> None:
        for n, (item, record) in enumerate(self.sample.conditions.items()):
            self.hand.press_widget(self.window.conditions.new)
            self.hand.mine[item] = self.document.condition
            assert self.page.shown == (("conditions", self.document.condition),)
            self.positions(item)
            self.hand.press_widget(self.window.conditions.edit)
            self.hand.to_page()
            self.hand.fill(self.page.form, record, ("keys", "clicks")[n % 2])

    def turn_to(self, sheet: str) -> None:
        """Turn the sheets until that one shows."""
        if self.document.sheet != self.hand.mine[sheet]:
            self.hand.to_board()
        for _n in range(len(self.document.sheets())):
            if self.document.sheet == self.hand.mine[sheet]:
                return
            self.hand.key(K.Key_PageDown, CTRL)
        raise AssertionError(f"sheet {sheet} is not reached")


# -- comparing ------------------------------------------------------------------------------------------------------
def told(snapshot: Snapshot) -> dict[str, Any]:
    """Everything in a drawing by names instead of ids; of routes only which runs are drawn on which sheet."""

    def name(item: str) -> str:
        for table, records in snapshot.tables.items():
            if item in records:
                return f"sheet {records[item].number}" if table == "sheets" else title_of(snapshot, table, item)
        return item

    def plain(spec: FieldSpec, value: Any) -> Any:
        if spec.shape in ("records", "record") and value is not None:
            rows = [fields(row) for row in (value if spec.shape == "records" else (value,))]
            return sorted(rows, key=repr) if spec.name in ("settings", "duties") else rows
        if spec.fact.refers:
            return tuple(map(name, value)) if isinstance(value, tuple) else name(value)
        return float(f"{value:.9g}") if isinstance(value, float) else value

    def fields(record: Any) -> dict[str, Any]:
        made = {spec.name: plain(spec, getattr(record, spec.name)) for spec in field_specs(type(record))}
        return made | {"class": type(record).__name__}

    found: dict[str, Any] = {table: fields(record) for table, record in snapshot.lone.items()}
    for table, records in snapshot.tables.items():
        if table == "routes":
            continue
        called = [name(r.equipment) if table == "placements" else name(item) for item, r in records.items()]
        assert len(set(called)) == len(called), f"two of {table} are called the same"
        found[table] = {c: fields(record) for c, record in zip(called, records.values(), strict=True)}
    return found


def drawn_whole(snapshot: Snapshot) -> set[str]:
    """Runs that are drawn from terminal to terminal; the others end in arrows that name the far end."""
    parts = [part for sheet in snapshot.sheets for part in scene_of(snapshot, sheet).parts_on(sheet)]
    return {snapshot.name(part.run) for part in parts if part.kind == "whole"}


def origins(snapshot: Snapshot) -> set[tuple[str, str, str]]:
    """Where values come from, as far as somebody said: (name, field, origin)."""
    records = [*snapshot.equipment.items(), *snapshot.runs.items()]
    return {(snapshot.name(item), field, origin) for item, record in records for field, origin in record.origins}


def same(made: Snapshot, sample: Snapshot) -> None:
    """Everything is as in the sample."""
    ours, theirs = told(made), told(sample)
    assert ours.keys() == theirs.keys()
    for table, records in theirs.items():
        assert ours[table] == records, table
    assert origins(made) >= origins(sample)


def undone(data: bytes) -> bytes:
    """A file but for the number of the last id: ids are never used again."""
    return re.sub(rb'"last_id": \d+', b"", data, count=1)


@pytest.mark.long
def test_the_launch_is_drawn_from_nothing(
    desk: Desk, shown: Shown, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sample = load(LAUNCH / "launch.linewright").installation.snapshot()
    window = shown(desk.new())
    document = window.document
    at_first = dump(document.installation)
    man = Draughtsman(window, qtbot, sample)
    man.lone("settings", "keys")
    man.lone("vessel", "clicks")
    man.sheets()
    man.records("places", "keys")
    man.records("enclosures", "clicks")
    man.equipment()
    man.runs()
    man.positions("")
    man.conditions()
    man.records("interlocks", "keys")
    man.records("revisions", "keys")
    man.lone("title_block", "clicks")
    assert man.hand.said == []

    made = document.snapshot()
    same(made, sample)
    assert drawn_whole(made) >= drawn_whole(sample)
    assert scene_faults(made) == []

    expected = tomllib.loads((LAUNCH / "expected.toml").read_text(encoding="utf-8"))
    result = check(made, today=TODAY)
    told = [{"rule": f.rule, "word": f.word, "designations": list(f.designations)} for f in result.findings]
    assert (result.waived, result.not_judged) == ((), ())
    assert {"judged_by": {"book": result.book, "law": result.law}, "finding": told} == expected

    path = tmp_path / "petrel.linewright"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_args: (str(path), ""))
    man.hand.to_board()
    man.hand.key(K.Key_S, CTRL)
    as_drawn = dump(document.installation)
    assert path.read_bytes() == as_drawn
    assert not window.isWindowModified()

    edits = 0
    while document.history.undo_words:
        man.hand.key(K.Key_Z, CTRL)
        edits += 1
        assert edits < 5_000
    assert undone(dump(document.installation)) == undone(at_first)
    while document.history.redo_words:
        man.hand.key(K.Key_Z, CTRL | SHIFT)
        edits -= 1
    assert edits == 0
    assert dump(document.installation) == as_drawn
    assert not window.isWindowModified()

    window.close()
    qtbot.waitUntil(lambda: not desk.windows)
    again = shown(desk.open_path(path))
    assert again.document.snapshot() == made
    assert dump(again.document.installation) == as_drawn


def two_sheets() -> Snapshot:
    """What the launch has none of: a second sheet and a run onto it, an interlock, what is turned and mirrored."""
    b = Builder(name="Sandling")
    b.place("Saloon", "accommodation", 30)
    b.add("battery_bank", "G1", unit_v=12, place="Saloon")
    b.add("selector", "S1", in_position="2")
    b.add("battery_switch", "Q1", in_position="open")
    b.add("battery_switch", "Q2")
    b.add("bus_bar", "X1", purpose="positive")
    b.add("load", "E1", dc_v=12, current_a=2.5)
    b.run("W1", "G1.pos", "Q1.in", length_m=1.25, size="35 mm2")
    b.run("W2", "X1.bar", "Q2.in", length_m=0.3)
    b.run("W3", "Q1.out", "E1.in", length_m=4.5, size="2.5 mm2", places=("Saloon",))
    b.interlock("Q1", "Q2", name="one at a time")
    b.condition("At anchor", Q1="closed", Q2="open")
    made = b.installation
    for n in range(2):
        sheet = made.new_id("sheets")
        apply(made, Put("sheets", sheet, Sheet(title=f"Part {n + 1}", number=n + 1, size="A3")))
        for name, at, x, y, rest in (
            ("G1", 0, 20, 60, {}),
            ("S1", 0, 80, 60, {"rotation": 90, "mirrored": True}),
            ("Q1", 0, 20, 30, {"mirrored": True}),
            ("Q2", 0, 70, 30, {"rotation": 270}),
            ("X1", 0, 50, 20, {"rotation": 90, "length": 24}),
            ("E1", 1, 40, 30, {"rotation": 180}),
        ):
            if at == n:
                item = made.find(name)[0][1]
                placement = Placement(equipment=item, sheet=sheet, x=x, y=y, **rest)
                apply(made, Put("placements", made.new_id("placements"), placement))
    return made.snapshot()


def test_two_sheets_an_interlock_and_what_is_turned(desk: Desk, shown: Shown, qtbot: QtBot) -> None:
    sample = two_sheets()
    window = shown(desk.new())
    man = Draughtsman(window, qtbot, sample)
    man.lone("vessel", "keys")
    man.sheets()
    man.records("places", "clicks")
    man.equipment()
    man.runs()
    man.positions("")
    man.conditions()
    man.records("interlocks", "clicks")
    assert man.hand.said == []
    same(window.document.snapshot(), sample)
    assert drawn_whole(window.document.snapshot()) == {"W1", "W2"}


def test_from_the_sheet_a_pages_key_leads_into_the_page(desk: Desk, shown: Shown, qtbot: QtBot) -> None:
    window = shown(desk.new())
    hand = helper.DrawingHand(window, qtbot, window.document.snapshot())
    hand.key(K.Key_F2)
    assert window.pages.isAncestorOf(hand.focus)
    hand.to_board()
    hand.key(K.Key_F2)
    assert window.page == "particulars"
    assert window.pages.isAncestorOf(hand.focus), "the page is not taken away from one who wants to go there"
    hand.key(K.Key_F2)
    assert window.page == ""
    assert window.board.hasFocus()


def test_name_and_size_of_the_sheet_can_be_typed_at_once(desk: Desk, shown: Shown, qtbot: QtBot) -> None:
    window = shown(desk.new())
    hand = helper.DrawingHand(window, qtbot, window.document.snapshot())
    hand.key(K.Key_F2)
    hand.to_board()
    hand.find_action("Name and size of this sheet")
    assert hand.row_of(hand.focus) == "Title of the sheet"
