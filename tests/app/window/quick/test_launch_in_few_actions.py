"""The launch drawn from nothing with typed phrases: two actions a device with its run, never more than four."""

from __future__ import annotations

import importlib.util
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.drawing.changes import scene_of
from app.window.main import Window
from app.window.quick.fast import fast_of
from app.window.start import Desk
from engine.edits import Put, Several
from engine.files.drawing import load
from engine.files.lists.values import write_value
from engine.installation import Snapshot
from engine.naming import title_of
from engine.record import field_specs

_spec = importlib.util.spec_from_file_location("drawing_hand", Path(__file__).parents[1] / "drawing_hand.py")
assert _spec is not None
assert _spec.loader is not None
helper = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(helper)

pytestmark = [pytest.mark.qt, pytest.mark.long]
Shown = Callable[[Window | None], Window]
K = Qt.Key
LAUNCH = Path(__file__).parents[4] / "samples" / "launch" / "launch.linewright"
LATER = ("engine", "duty", "in_position", "from_end", "to_end")  # said on pages: references, hours, positions


class _Names:
    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot

    def name_of(self, table: str, item: str) -> str:
        return title_of(self.snapshot, table, item)


def phrase(sample: Snapshot, record: Any) -> str:
    """All that is recorded of a thing as one would type it."""
    parts = []
    for spec in field_specs(type(record)):
        value = getattr(record, spec.name)
        if spec.name in LATER or spec.shape == "record" or (value == spec.default and spec.name != "function"):
            continue
        text = f"{value} m" if spec.fact.unit == "m" else write_value(spec, value, _Names(sample)).text
        origin = record.origin(spec.name)
        parts.append(f'{spec.name}="{text}"' + (f" ~{origin}" if origin else ""))
    return " ".join(parts)


def test_the_launch_takes_at_most_four_actions_a_device(desk: Desk, shown: Shown, qtbot: QtBot) -> None:
    sample = load(LAUNCH).installation.snapshot()
    (old_sheet,) = sample.sheets
    there = {p.record.designation: p for p in scene_of(sample, old_sheet).on(old_sheet)}
    window = shown(desk.new())
    hand = helper.DrawingHand(window, qtbot, sample)
    document, board = window.document, window.board
    sheet = document.sheet
    paper = msgspec.structs.replace(document.snapshot().sheets[sheet], size=sample.sheets[old_sheet].size)
    set_up = [
        Put(table, item, record) for table in ("places", "enclosures") for item, record in sample.tables[table].items()
    ]
    document.do(Several((*set_up, Put("settings", "settings", sample.settings), Put("sheets", sheet, paper)), "Set up"))
    window.resize(1500, 1000)
    board.fit()
    hand.to_board()
    actions: Counter[str] = Counter()

    def piece(name: str) -> Any:
        item = document.installation.find(name)[0][1]
        return next(p for p in scene_of(document.snapshot(), sheet).on(sheet) if p.equipment == item)

    def say(name: str, text: str) -> None:
        line = fast_of(board).line
        assert line.line.window().focusWidget() is line.line
        line.line.setText(text)
        hand.key(K.Key_Return)
        assert not fast_of(board).is_open, (text, line.told.text())
        actions[name] += 1

    def pull(name: str, start: tuple[int, int], stop: tuple[int, int]) -> None:
        hand.drag(start, stop)
        actions[name] += 1

    first = there["G1"]
    hand.key(K.Key_Slash)
    say("G1", f"{first.record.NAME} {phrase(sample, first.record)}")
    hand.click((first.placement.x, first.placement.y))
    actions["G1"] += 1
    hand.key(K.Key_D)
    drawn, left = {"G1"}, dict(sample.runs)
    while left:
        run_id, run = next(
            (i, r) for i, r in left.items()
            if {sample.name(r.from_end.equipment), sample.name(r.to_end.equipment)} & drawn
        )  # fmt: skip
        del left[run_id]
        ends = [(sample.name(e.equipment), e.terminal) for e in (run.from_end, run.to_end)]
        (old, terminal), (new, its) = ends if ends[0][0] in drawn else ends[::-1]
        if new in drawn:
            start = piece(old).meets(terminal, there[new].meets(its, (0, 0)))
            pull(run.designation, start, piece(new).meets(its, start))
            hand.key(K.Key_Equal)
            say(run.designation, phrase(sample, run))
            continue
        at = there[new].meets(its, there[old].meets(terminal, (0, 0)))
        pull(new, piece(old).meets(terminal, at), at)
        say(new, f"{there[new].record.NAME} {phrase(sample, there[new].record)}; {phrase(sample, run)}")
        drawn.add(new)
        if there[new].is_bar:
            hand.key(K.Key_C)
            for mine, wanted in zip(piece(new).ends(), there[new].ends(), strict=True):
                pull(new, mine, (wanted[0], mine[1]))
            hand.key(K.Key_D)

    assert hand.said == []
    made = document.snapshot()
    assert {r.designation for r in made.equipment.values()} == there.keys()
    assert max(actions.values()) <= 4
    assert sum(actions.values()) == 40  # 18 devices and 18 runs, both ends of the bus drawn out
    for table in ("equipment", "runs"):
        mine = {r.designation: r for r in made.tables[table].values()}
        for record in sample.tables[table].values():
            for spec in field_specs(type(record)):
                if spec.name not in LATER:
                    now = getattr(mine[record.designation], spec.name)
                    assert helper.alike(now, getattr(record, spec.name)), (record.designation, spec.name)
    assert [_ends(sample, r) for r in sample.runs.values()] == [
        _ends(made, next(m for m in made.runs.values() if m.designation == r.designation)) for r in sample.runs.values()
    ]


def _ends(snapshot: Snapshot, run: Any) -> set[tuple[str, str]]:
    return {(snapshot.name(e.equipment), e.terminal) for e in (run.from_end, run.to_end)}
