"""Thousands of random edits with undo through the window: the drawing is what a replay without a window says it is."""

from __future__ import annotations

import importlib.util
import random
import secrets
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication

from app.window.main import Window
from app.window.start import Desk
from engine.files.drawing import dump, load


def _read(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(f"soak_{name}", Path(__file__).with_name(f"{name}.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


person, watch = _read("person"), _read("watch")

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
SAMPLE = Path(__file__).parents[3] / "samples" / "launch" / "launch.linewright"
EVERY = 500  # edits between two looks


def work(window: Window, seed: int, edits: int, every: int, after: Callable[[int], None] | None = None) -> int:
    """Have somebody work until so many edits were made; acts it took."""
    hand, replay = person.Person(window, random.Random(seed)), watch.Replay(window.document)
    acts, looked, last = 0, 0, ""
    try:
        while replay.edits < edits:
            last = hand.act()
            acts += 1
            assert acts < edits * 20 + 500, f"hardly anything can be done any more: {hand.did}, {hand.refused}"
            if replay.edits - looked >= every:
                looked = replay.edits
                hand.to_board()
                replay.agrees()
                watch.board_is_as_drawn_anew(window)
                if after is not None:
                    after(replay.edits)
        replay.agrees()
        watch.board_is_as_drawn_anew(window)
    except BaseException as fault:
        fault.add_note(f"seed {seed}, after {replay.edits} edits, the last act: {last}")
        raise
    finally:
        hand.leave()
        replay.done()
    print(f"seed {seed}: {replay.edits} edits by {acts} acts, {sum(hand.refused.values())} refused")
    return acts


def left(window: Window) -> None:
    """Close it and have all go that waits to be deleted."""
    window.leaving = True
    window.close()
    for _n in range(3):
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        QApplication.processEvents()


def test_some_hundred_edits_of_any_kind(tmp_path: Path, desk: Desk, shown: Shown, answers: list[str]) -> None:
    path = tmp_path / "tern.linewright"
    path.write_bytes(SAMPLE.read_bytes())
    window = shown(desk.open_path(path))
    work(window, secrets.randbelow(10**6), 300, 50)
    assert dump(load(path).installation) == path.read_bytes(), "what was saved on the way is whole"
