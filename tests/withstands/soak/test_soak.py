"""Thousands of random edits with undo through the window: the drawing is what a replay without a window says it is."""

from __future__ import annotations

import importlib.util
import json
import os
import secrets
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from types import ModuleType

import pytest
from pytestqt.qtbot import QtBot

from app.drawing.screen import Screen
from app.window.main import Window
from app.window.start import Desk
from engine.check import check
from engine.edits import SetFields
from engine.files.drawing import dump, load
from engine.picture import Primitive


def _read(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(f"soak_{name}", Path(__file__).with_name(f"{name}.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


long_run = _read("long_run")

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
SAMPLE = Path(__file__).parents[3] / "samples" / "launch" / "launch.linewright"
SCRIPT = Path(__file__).with_name("long_run.py")
PROCESSES, EDITS = 2, 10_000  # of each
LONGEST_S = 1500
# after a chapter its window is closed and all that was its own must have gone: what then still grows is a leak. Growth
# for 1000 edits: of memory, what the allocator scatters; of objects, what caches keep of words and shapes once seen
GROWTH = {"resident_mb": 2.0, "python": 500, "qt": 0.2, "widgets": 0.2, "files": 0.2}  # half an object an edit
JOURNAL = 1_000_000  # bytes: it is begun anew now and then, and may not grow with the edits of a day


def test_some_hundred_edits_of_any_kind(tmp_path: Path, desk: Desk, shown: Shown, answers: list[str]) -> None:
    path = tmp_path / "tern.linewright"
    path.write_bytes(SAMPLE.read_bytes())
    window = shown(desk.open_path(path))
    long_run.work(window, secrets.randbelow(10**6), 300, 50)
    assert dump(load(path).installation) == path.read_bytes(), "what was saved on the way is whole"


@pytest.mark.long
def test_twenty_thousand_edits_leave_nothing_behind(tmp_path: Path) -> None:
    seed = secrets.randbelow(10**6)
    running = []
    for n in range(PROCESSES):
        home = tmp_path / str(n)
        home.mkdir()
        own = {name: str(home) for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME")}
        asked = [sys.executable, "-X", "faulthandler", str(SCRIPT), str(home), str(seed + n), str(EDITS)]
        running.append(subprocess.Popen(asked, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                                        env=os.environ | own | {"QT_QPA_PLATFORM": "offscreen"}))  # fmt: skip
    for n, program in enumerate(running):
        out, said = program.communicate(timeout=LONGEST_S)
        assert (program.returncode, said) == (0, ""), f"seed {seed + n}: {said[-6000:]}"
        chapters = [json.loads(line) for line in out.splitlines() if line.startswith("{")]
        assert sum(chapter["edits"] for chapter in chapters) >= EDITS
        half = len(chapters) // 2  # by then what is kept for good is full
        first, last = chapters[half - 1], chapters[-1]
        thousands = sum(chapter["edits"] for chapter in chapters[half:]) / 1000
        growth = {name: (last[name] - first[name]) / thousands for name in GROWTH}
        print(f"seed {seed + n}: {growth} for 1000 edits; {last}")
        assert {name for name, most in GROWTH.items() if growth[name] > most} == set(), growth
        assert max(chapter["journal"] for chapter in chapters) < JOURNAL


@pytest.mark.long
def test_what_the_study_process_says_after_some_hundred_edits_is_what_a_fresh_look_says(
    tmp_path: Path, judging_desk: Desk, shown: Shown, answers: list[str], qtbot: QtBot
) -> None:
    path = tmp_path / "tern.linewright"
    path.write_bytes(SAMPLE.read_bytes())
    window = shown(judging_desk.open_path(path))
    document = window.document
    long_run.work(window, secrets.randbelow(10**6), 300, 50)
    document.set_condition("")
    document.set_view("all")
    with qtbot.waitSignal(document.judged, timeout=60_000):
        document.do(SetFields("vessel", "vessel", (("name", "Tern"),)))
    wanted = {finding.key for finding in check(document.snapshot()).findings}
    qtbot.waitUntil(
        lambda: document.judgement is not None and {f.key for f in document.judgement.result.findings} == wanted,
        timeout=60_000,
    )
    fresh = Screen()
    fresh.set(document.snapshot())

    def drawn(of: Mapping[str, tuple[Primitive, ...]]) -> dict[str, set[Primitive]]:
        return {owner: set(each) for owner, each in of.items() if owner[:1] in "erk" and owner[1:].isdecimal()}

    there = drawn(fresh.picture(document.sheet, 1).of) if document.sheet else {}
    qtbot.waitUntil(lambda: drawn(window.board.shown.items.of) == there, timeout=60_000)
