"""Random edits of a person on a small boat and on the ketch: nothing dangles, all is drawn, undo gives it back."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from app.drawing import changes
from app.drawing.changes import Grip
from app.drawing.layout import drawing_area, lay_out
from app.drawing.placed import set_scene
from app.drawing.routes import find_missing
from app.drawing.sheets import grid_of, pictures
from engine.builder import Builder
from engine.edits import Edit, EditError, History, apply, touched
from engine.edits.copying import Clip, copy
from engine.edits.operating import operate
from engine.edits.removing import remove
from engine.equipment import kinds
from engine.files.drawing import dump, read_bytes
from engine.installation import Installation, Snapshot
from engine.installation.references import dangling

KETCH = (Path(__file__).parents[4] / "samples/ketch/ketch.linewright").read_bytes()
KINDS = ("fuse", "battery_switch", "bus_bar", "load", "selector", "battery_bank", "junction", "inverter", "meter")


def small() -> Installation:
    b = Builder(name="Dunlin")
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=100)
    b.add("battery_switch", "Q1")
    b.add("battery_switch", "Q2")
    b.add("bus_bar", "WC1")
    b.add("load", "E1")
    b.run("W1", "G1.pos", "F1.in", length_m=0.2, size="2 AWG")
    b.run("W2", "F1.out", "Q1.in", length_m=1)
    b.run("W3", "Q1.out", "WC1.bar", length_m=1)
    b.run("W4", "WC1.bar", "E1.in", length_m=4, places=("Bilge",))
    b.run("W5", "WC1.bar", "Q2.in")
    b.interlock("Q1", "Q2", name="either")
    b.condition("Under way", Q1="closed", Q2="open")
    apply(b.installation, lay_out(b.installation.snapshot(), b.installation.last_id))
    return b.installation


def held(installation: Installation) -> bytes:
    """The file without the number of the last id, which undo does not take back: an id is made once."""
    return re.sub(rb'"last_id": \d+', b"", dump(installation), count=1)


class Person(RuleBasedStateMachine):
    """What people do, one edit after the other."""

    made: Callable[[], Installation] = staticmethod(small)
    pictures_every = 6

    @initialize()
    def start(self) -> None:
        self.history = History(self.made())
        self.ever = {(t, i) for t, table in self.snapshot.tables.items() for i in table}
        self.count = 0
        self.clip: Clip | None = None

    # -- what there is ------------------------------------------------------------------------------------------
    @property
    def x(self) -> Installation:
        return self.history.installation

    @property
    def snapshot(self) -> Snapshot:
        return self.x.snapshot()

    def draw(self, data: st.DataObject, table: str) -> str:
        return data.draw(st.sampled_from(sorted(self.snapshot.tables[table]) or [""]), table)

    def point(self, data: st.DataObject, sheet: str) -> tuple[int, int]:
        area = drawing_area(self.snapshot.sheets[sheet].size)
        x = data.draw(st.integers(area.left - 1, area.left + area.width + 1), "column")
        return x, data.draw(st.integers(area.top - 1, area.top + area.height + 1), "row")

    def on_sheet(self, sheet: str) -> list[str]:
        return sorted(i for i, p in self.snapshot.placements.items() if p.sheet == sheet)

    def some(self, data: st.DataObject, sheet: str) -> list[str]:
        here = self.on_sheet(sheet)
        return data.draw(st.lists(st.sampled_from(here), min_size=1, max_size=5, unique=True)) if here else []

    def grip(self, data: st.DataObject, sheet: str) -> Grip:
        x, y = self.point(data, sheet)
        how = data.draw(st.sampled_from(("terminal", "terminal", "terminal", "run", "loose")))
        here = self.on_sheet(sheet)
        if how == "terminal" and here:
            item = data.draw(st.sampled_from(here))
            record = self.snapshot.equipment[self.snapshot.placements[item].equipment]
            names = [t.name for t in record.terminals()]
            if names:
                return Grip(item, data.draw(st.sampled_from(names)), "", x, y)
        if how == "run" and self.snapshot.runs:
            return Grip("", "", self.draw(data, "runs"), x, y)
        return Grip("", "", "", x, y)

    # -- doing --------------------------------------------------------------------------------------------------
    def do(self, make: Callable[[], Edit]) -> bool:
        before = held(self.x)
        try:
            edit = make()
        except EditError as fault:
            told = str(fault)
            assert told[-1] == "."
            assert "invalid" not in told
            assert "{" not in told
            return False
        last_id = self.x.last_id
        self.history.do(edit)  # what could be made can be done
        assert edit.words
        assert "{" not in edit.words
        new = {(t, i) for t, i in touched(edit) if self.x.get(t, i) is not None} - self.ever
        assert all(int(i[1:]) > last_id for _t, i in new), "an id is never used again"
        self.ever |= new
        after = held(self.x)
        self.history.undo()
        assert held(self.x) == before
        self.history.redo()
        assert held(self.x) == after
        self.count += 1
        return True

    @rule(
        data=st.data(), kind=st.sampled_from(KINDS), rotation=st.sampled_from((0, 90, 180, 270)), mirrored=st.booleans()
    )
    def place(self, data: st.DataObject, kind: str, rotation: int, mirrored: bool) -> None:
        sheet = self.draw(data, "sheets")
        x, y = self.point(data, sheet)
        run = self.draw(data, "runs") if data.draw(st.booleans()) else ""
        self.do(
            lambda: (
                changes.place(
                    self.snapshot, self.x.last_id, kind, sheet, x, y, rotation=rotation, mirrored=mirrored, on_run=run
                ).edit
            )
        )

    @rule(data=st.data(), by_hand=st.booleans())
    def connect(self, data: st.DataObject, by_hand: bool) -> None:
        sheet = self.draw(data, "sheets")
        start, stop = self.grip(data, sheet), self.grip(data, sheet)
        corners = [self.point(data, sheet) for _n in range(2)] if by_hand else []
        self.do(lambda: changes.connect(self.snapshot, self.x.last_id, sheet, start, stop, corners).edit)

    @rule(data=st.data(), end=st.sampled_from(("from", "to")))
    def reconnect(self, data: st.DataObject, end: Any) -> None:
        sheet, run = self.draw(data, "sheets"), self.draw(data, "runs")
        grip = self.grip(data, sheet)
        self.do(lambda: changes.reconnect(self.snapshot, self.x.last_id, run, end, sheet, grip))

    @rule(data=st.data(), how=st.sampled_from(("move", "turn", "mirror", "stretch", "to_sheet")))
    def rearrange(self, data: st.DataObject, how: str) -> None:
        sheet = self.draw(data, "sheets")
        some = self.some(data, sheet)
        dx, dy = data.draw(st.integers(-12, 12)), data.draw(st.integers(-12, 12))
        if how == "move":
            self.do(lambda: changes.move(self.snapshot, some, dx, dy))
        elif how == "turn":
            self.do(lambda: changes.turn(self.snapshot, some, data.draw(st.integers(-4, 4))))
        elif how == "mirror":
            self.do(lambda: changes.mirror(self.snapshot, some))
        elif how == "to_sheet":
            other = self.draw(data, "sheets")
            self.do(lambda: changes.to_sheet(self.snapshot, some, other))
        else:
            bars = [i for i in self.on_sheet(sheet) if self.snapshot.placements[i].length] or some
            x, y = self.point(data, sheet)
            length = data.draw(st.integers(0, 30))
            self.do(lambda: changes.stretch(self.snapshot, bars[0] if bars else "", length, x, y))

    @rule(data=st.data())
    def lead(self, data: st.DataObject) -> None:
        sheet, run = self.draw(data, "sheets"), self.draw(data, "runs")
        corners = [self.point(data, sheet) for _n in range(data.draw(st.integers(0, 3)))]
        self.do(lambda: changes.lead(self.snapshot, run, sheet, corners, last_id=self.x.last_id))

    @rule(data=st.data())
    def lead_anew(self, data: st.DataObject) -> None:
        sheet, run = self.draw(data, "sheets"), self.draw(data, "runs")
        self.do(lambda: changes.lead_anew(self.snapshot, [run], sheet, last_id=self.x.last_id))

    @rule(data=st.data(), with_runs=st.booleans(), drawn=st.booleans())
    def remove(self, data: st.DataObject, with_runs: bool, drawn: bool) -> None:
        tables = data.draw(st.lists(st.sampled_from(("equipment", "runs", "placements")), min_size=1, max_size=3))
        items = [item for table in tables if (item := self.draw(data, table))]
        taking = changes.remove_drawn if drawn else remove
        self.do(lambda: taking(self.snapshot, self.x.last_id, items, with_runs=with_runs))

    @rule(data=st.data())
    def copy(self, data: st.DataObject) -> None:
        sheet = self.draw(data, "sheets")
        some = self.some(data, sheet)
        try:
            self.clip = Clip.from_text(copy(self.snapshot, some).to_text())
        except EditError:
            assert not some

    @precondition(lambda self: self.clip is not None)
    @rule(data=st.data())
    def paste(self, data: st.DataObject) -> None:
        clip, sheet = self.clip, self.draw(data, "sheets")
        assert clip is not None
        x, y = self.point(data, sheet)
        self.do(lambda: changes.paste(self.snapshot, self.x.last_id, clip, sheet, x, y).edit)

    @rule(data=st.data(), how=st.sampled_from(("add", "remove")))
    def sheets(self, data: st.DataObject, how: str) -> None:
        if how == "add":
            if len(self.snapshot.sheets) < 10:
                self.do(lambda: changes.add_sheet(self.snapshot, self.x.last_id, "More").edit)
        else:
            sheet = self.draw(data, "sheets")
            self.do(lambda: changes.remove_sheet(self.snapshot, sheet))
        assert sorted(s.number for s in self.snapshot.sheets.values()) == list(range(1, len(self.snapshot.sheets) + 1))

    @rule(data=st.data())
    def place_existing(self, data: st.DataObject) -> None:
        shown = {p.equipment for p in self.snapshot.placements.values()}
        unplaced = sorted(set(self.snapshot.equipment) - shown)
        item = data.draw(st.sampled_from(unplaced)) if unplaced else self.draw(data, "equipment")
        sheet = self.draw(data, "sheets")
        x, y = self.point(data, sheet)
        names = [t.name for t in self.snapshot.equipment[item].terminals()] if item else []
        terminals = tuple(data.draw(st.lists(st.sampled_from(names), max_size=2, unique=True))) if names else ()
        self.do(
            lambda: changes.place_existing(self.snapshot, self.x.last_id, item, sheet, x, y, terminals=terminals).edit
        )

    @rule(data=st.data())
    def operate(self, data: st.DataObject) -> None:
        item = self.draw(data, "equipment")
        condition = data.draw(st.sampled_from(["", *sorted(self.snapshot.conditions)]))
        if not item:
            return
        operated = operate(self.snapshot, item, condition)
        assert bool(operated.edit) != bool(operated.why)
        if operated.edit is not None:
            edit = operated.edit
            self.do(lambda: edit)

    @rule()
    def save_and_load(self) -> None:
        data = dump(self.x)
        opened = read_bytes(data)
        assert not opened.read_only
        assert dump(opened.installation) == data

    # -- what always holds --------------------------------------------------------------------------------------
    @invariant()
    def nothing_dangles_and_all_is_drawn(self) -> None:
        if not hasattr(self, "history"):
            return
        snapshot = self.snapshot
        for table, records in snapshot.tables.items():
            for item, record in records.items():
                assert not list(dangling(record, f"{table}[{item}]", self.x.get))
        pairs = [(r.run, r.sheet) for r in snapshot.routes.values()]
        assert len(pairs) == len(set(pairs)), "one way of a run on a sheet"
        scene = set_scene(snapshot)
        find_missing(scene, {item: grid_of(sheet) for item, sheet in scene.sheets})
        drawn: dict[str, set[str]] = {}
        for part in scene.parts:
            drawn.setdefault(part.run, set()).add(part.kind)
        for item, run in snapshot.runs.items():
            shown = {
                name
                for name, end in (("from", run.from_end), ("to", run.to_end))
                if any(p.shows(end.terminal) for p in scene.of.get(end.equipment, ()))
            }
            kinds_drawn = drawn.get(item, set())
            assert kinds_drawn == ({"whole"} if "whole" in kinds_drawn else shown), (item, shown, kinds_drawn)
        for sheet in snapshot.sheets:
            fast = changes.scene_of(snapshot, sheet)
            assert [p.id for p in fast.on(sheet)] == [p.id for p in scene.on(sheet)]
            whole = {p.run: p for p in scene.parts_on(sheet)}
            assert all(whole[p.run].points == p.points for p in fast.parts_on(sheet) if p.kind == "whole")
        if self.count % self.pictures_every == self.pictures_every - 1:
            self.count += 1
            pictures(snapshot)


class OnKetch(Person):
    """The same on a boat of a hundred pieces on eight sheets."""

    made = staticmethod(lambda: read_bytes(KETCH).installation)
    pictures_every = 12


def _case(machine: type[Person], examples: int, steps: int) -> Any:
    case = machine.TestCase
    case.settings = settings(
        max_examples=examples, stateful_step_count=steps, deadline=None, suppress_health_check=list(HealthCheck)
    )
    return case


class ForLong(Person):
    """Many more on the small boat."""


class OnKetchForLong(OnKetch):
    """Many more on the ketch."""


TestPerson = _case(Person, 25, 15)
TestOnKetch = _case(OnKetch, 3, 12)
TestForLong = pytest.mark.long(_case(ForLong, 400, 30))
TestOnKetchForLong = pytest.mark.long(_case(OnKetchForLong, 20, 25))
assert set(KINDS) <= set(kinds())
