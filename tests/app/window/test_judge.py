"""The study process as the window knows it: real processes, real drawings."""

from __future__ import annotations

import logging
import os
import signal
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

pytestmark = pytest.mark.qt
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

from app.drawing.screen import Screen  # noqa: E402
from app.judgement import Judgement, LiveParts, SheetPicture  # noqa: E402
from app.window import judge as judge_module  # noqa: E402
from app.window.document import Document  # noqa: E402
from app.window.judge import Judge  # noqa: E402
from engine.check import check  # noqa: E402
from engine.edits import Put, SetFields, apply  # noqa: E402
from engine.files.drawing import load  # noqa: E402
from engine.installation import Condition, Setting  # noqa: E402
from engine.installation.model import Installation  # noqa: E402

LAUNCH = Path(__file__).parents[3] / "samples/launch/launch.linewright"
LONG = 30_000  # ms: a process starts on a busy machine


class Ear:
    """Everything a judge has said."""

    def __init__(self, judge: Judge) -> None:
        self.judged: list[Judgement] = []
        self.drawn: list[SheetPicture] = []
        self.lit: list[LiveParts] = []
        self.busy: list[bool] = []
        self.failed: list[str] = []
        for name in ("judged", "drawn", "lit", "busy", "failed"):
            getattr(judge, name).connect(getattr(self, name).append)


@pytest.fixture
def document() -> Document:
    return Document(load(LAUNCH).installation)


@pytest.fixture
def judge() -> Iterator[Judge]:
    made = Judge()
    yield made
    made.close()
    assert not made.process_id


def idle(qtbot: Any, judge: Judge) -> None:
    qtbot.waitUntil(lambda: not judge._is_busy, timeout=LONG)


def right(document: Document) -> None:
    """What the document shows is what its drawing says."""
    snapshot = document.snapshot()
    result = check(snapshot)
    assert document.judgement is not None
    assert document.judgement.result == result
    assert document.live is not None
    assert document.live.condition == document.condition
    screen = Screen()
    screen.set(snapshot, document.condition)
    screen.note(result)
    every = [screen.picture(sheet, 0) for sheet in screen.sheets]
    if screen.count_pages():
        every = [screen.picture(sheet, 0) for sheet in screen.sheets]
    assert {s: p.of for s, p in document.pictures.items()} == {p.sheet: p.of for p in every}
    assert {s: p.note_boxes for s, p in document.pictures.items()} == {p.sheet: p.note_boxes for p in every}


def title(document: Document, text: str) -> None:
    document.do(SetFields("sheets", document.sheet, (("title", text),), "Change a title"))


def test_a_drawing_is_judged_drawn_and_lit(qtbot: Any, document: Document, judge: Judge) -> None:
    ear = Ear(judge)
    document.take_judge(judge)
    assert ear.busy == [True]
    idle(qtbot, judge)
    assert ear.busy == [True, False]
    right(document)
    assert document.live is not None
    assert document.live.live
    assert ear.failed == []


def test_after_edits_undo_and_redo_everything_is_right_and_nothing_old_is_told(
    qtbot: Any, document: Document, judge: Judge
) -> None:
    document.take_judge(judge)
    idle(qtbot, judge)
    ear = Ear(judge)
    for n in range(8):  # faster than they can be studied
        title(document, f"Title {n}")
    document.undo()
    document.undo()
    document.redo()
    newest = judge._number
    idle(qtbot, judge)
    assert {j.at for j in ear.judged} == {newest}
    assert {p.at for p in ear.drawn} == {newest}
    assert len(ear.judged) in (1, 2)  # one that takes long is told in two parts
    right(document)
    run = document.installation.ids("runs")[0]
    document.do(SetFields("runs", run, (("size", "16 AWG"), ("length_m", 31.0)), "Change a run"))
    idle(qtbot, judge)
    right(document)


def test_the_sheet_that_is_shown_comes_first_and_a_condition_is_followed(
    qtbot: Any, document: Document, judge: Judge
) -> None:
    every = document.installation.items("equipment")
    item = next(i for i, r in every if r.KIND == "battery_switch" and r.drawn_position() == "closed")
    apply(
        document.installation,
        Put("conditions", "c900", Condition(name="Laid up", settings=(Setting(equipment=item, position="open"),))),
    )
    document.take_judge(judge)
    idle(qtbot, judge)
    as_drawn = document.live
    ear = Ear(judge)
    document.turn_to(document.sheets()[-1])
    document.set_condition("c900")
    idle(qtbot, judge)
    right(document)
    assert ear.drawn[0].sheet == document.sheets()[-1]
    assert as_drawn is not None
    assert document.live is not None
    assert document.live.live < as_drawn.live
    document.set_condition("")
    idle(qtbot, judge)
    right(document)
    assert document.live is not None
    assert document.live.live == as_drawn.live


@pytest.mark.posix
@pytest.mark.says_in_log
def test_a_process_that_dies_is_started_anew_and_told_of_once(
    qtbot: Any, document: Document, judge: Judge, caplog: pytest.LogCaptureFixture
) -> None:
    document.take_judge(judge)
    idle(qtbot, judge)
    ear = Ear(judge)
    first = judge.process_id
    with caplog.at_level(logging.WARNING):
        os.kill(first, signal.SIGKILL)
        qtbot.waitUntil(lambda: judge.process_id not in (0, first), timeout=LONG)
        title(document, "After the fall")
        idle(qtbot, judge)
    right(document)
    assert len(ear.failed) == 1
    assert "started anew" in ear.failed[0]
    assert "ended by itself" in caplog.text
    title(document, "And on")  # nothing is told again once all is well
    idle(qtbot, judge)
    assert len(ear.failed) == 1
    right(document)


HANGS = """
import os, pathlib, sys, time
import app.worker as w
mark = pathlib.Path({mark!r})
old = w.check
def check(*some, **more):
    if not mark.exists():
        mark.touch()
        time.sleep(600)
    return old(*some, **more)
w.check = check
w.main()
"""


@pytest.mark.says_in_log
def test_a_study_that_does_not_give_up_is_killed(
    qtbot: Any,
    document: Document,
    judge: Judge,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    mark = tmp_path / "hung"
    monkeypatch.setattr(judge_module, "ARGUMENTS", ("-P", "-c", HANGS.format(mark=str(mark))))
    monkeypatch.setattr(judge_module, "PATIENCE_MS", 300)
    ear = Ear(judge)
    with caplog.at_level(logging.WARNING):
        document.take_judge(judge)
        qtbot.waitUntil(mark.exists, timeout=LONG)
        first = judge.process_id
        monkeypatch.setattr(judge_module, "PATIENCE_MS", 5_000)
        judge._patience.stop()
        title(document, "Newer")
        judge._patience.start(100)
        idle(qtbot, judge)
    assert judge.process_id != first
    assert len(ear.failed) == 1
    assert "did not turn to request" in caplog.text
    right(document)


@pytest.mark.parametrize(
    "code",
    [
        "import sys; sys.stdout.write('Hello, sailor, and more of it\\n'); sys.stdout.flush(); sys.stdin.read()",
        "import sys; sys.stdout.buffer.write(b'\\0\\0\\0\\1x'); sys.stdout.flush(); sys.stdin.read()",
        "raise SystemExit(3)",
        "import os; os.abort()",
    ],
)
@pytest.mark.says_in_log
def test_a_process_of_no_use_is_tried_again_later_and_later(
    qtbot: Any,
    document: Document,
    judge: Judge,
    code: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(judge_module, "ARGUMENTS", ("-P", "-c", code))
    monkeypatch.setattr(judge_module, "PAUSES_MS", (0, 20, 40_000))
    ear = Ear(judge)
    document.take_judge(judge)
    qtbot.waitUntil(lambda: judge._troubles == 3, timeout=LONG)
    assert judge._again.isActive()
    title(document, "Meanwhile")
    assert len(ear.failed) == 1
    monkeypatch.undo()
    judge._again.start(0)
    idle(qtbot, judge)
    right(document)
    assert len(ear.failed) == 1


@pytest.mark.says_in_log
def test_a_program_that_is_not_there_is_told_and_closed_in_peace(
    qtbot: Any, document: Document, judge: Judge, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    ear = Ear(judge)
    with caplog.at_level(logging.WARNING):
        document.take_judge(judge)
        qtbot.waitUntil(lambda: bool(ear.failed), timeout=LONG)
        judge.close()
    assert "cannot be started" in caplog.text


@pytest.mark.says_in_log
def test_a_fault_of_the_study_is_told_once(
    qtbot: Any, document: Document, judge: Judge, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.WARNING):
        document.take_judge(judge)
        ear = Ear(judge)
        document.do(SetFields("settings", "settings", (("book", "of-the-sea"),), "Change the book"))
        idle(qtbot, judge)
        assert len(ear.failed) == 1
        assert "of-the-sea" in ear.failed[0]
        document.undo()
        idle(qtbot, judge)
    assert "study process:" in caplog.text  # what it logs ends in our log
    right(document)
    assert len(ear.failed) == 1


@pytest.mark.says_in_log
def test_a_process_that_is_out_of_step_is_given_the_whole_drawing(qtbot: Any, document: Document, judge: Judge) -> None:
    document.take_judge(judge)
    idle(qtbot, judge)
    judge.edit(Put("placements", "a77777", None))  # which the drawing never had
    idle(qtbot, judge)
    title(document, "In step again")
    idle(qtbot, judge)
    right(document)


RUNS_AHEAD = """
import app.worker as w, app.worker_messages as m
old = m.packed
def packed(answer):
    if isinstance(answer, m.Judged):
        answer = m.msgspec.structs.replace(answer, at=answer.at + {ahead})
    return old(answer)
w.packed = packed
w.main()
"""


@pytest.mark.says_in_log
def test_an_answer_to_what_was_never_asked_is_no_judgement(
    qtbot: Any, document: Document, judge: Judge, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(judge_module, "ARGUMENTS", ("-P", "-c", RUNS_AHEAD.format(ahead=1000)))
    monkeypatch.setattr(judge_module, "PAUSES_MS", (40_000,))
    ear = Ear(judge)
    document.take_judge(judge)
    qtbot.waitUntil(lambda: bool(ear.failed), timeout=LONG)
    assert ear.judged == []
    assert document.judgement is None
    monkeypatch.undo()
    judge._again.start(0)
    idle(qtbot, judge)
    right(document)


def test_an_answer_to_what_was_asked_before_is_no_judgement(
    qtbot: Any, document: Document, judge: Judge, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(judge_module, "ARGUMENTS", ("-P", "-c", RUNS_AHEAD.format(ahead=-2)))
    ear = Ear(judge)
    document.take_judge(judge)
    idle(qtbot, judge)
    assert ear.judged == []
    assert document.judgement is None


CONTRADICTS = """
import app.worker as w, app.worker_messages as m
old = m.packed
def packed(answer):
    if isinstance(answer, m.Drawn):
        answer = m.msgspec.structs.replace(answer, of={{"e1": {letters!r}}}, paths=(), texts=())
    return old(answer)
w.packed = packed
w.main()
"""


@pytest.mark.says_in_log
@pytest.mark.parametrize("letters", ["pt", "x"])
def test_a_message_that_contradicts_itself_ends_the_process(
    qtbot: Any, document: Document, judge: Judge, monkeypatch: pytest.MonkeyPatch, letters: str
) -> None:
    monkeypatch.setattr(judge_module, "ARGUMENTS", ("-P", "-c", CONTRADICTS.format(letters=letters)))
    monkeypatch.setattr(judge_module, "PAUSES_MS", (40_000,))
    ear = Ear(judge)
    document.take_judge(judge)
    qtbot.waitUntil(lambda: bool(ear.failed), timeout=LONG)
    assert ear.drawn == []
    monkeypatch.undo()
    judge._again.start(0)
    idle(qtbot, judge)
    right(document)


def test_numbers_no_message_can_carry_are_judged_all_the_same(qtbot: Any, judge: Judge) -> None:
    made = load(LAUNCH).installation
    item = made.ids("equipment")[0]
    record = made.get("equipment", item)
    apply(made, Put("equipment", item, replace(record, unknown=(("later", "1" + "0" * 40),))))
    document = Document(made)
    document.take_judge(judge)
    document.do(SetFields("equipment", item, (("label", "Main"),)))
    idle(qtbot, judge)
    right(document)


@pytest.mark.posix
@pytest.mark.says_in_log
def test_a_process_that_stands_still_is_replaced_at_the_next_edit(
    qtbot: Any, document: Document, judge: Judge, monkeypatch: pytest.MonkeyPatch
) -> None:
    document.take_judge(judge)
    idle(qtbot, judge)
    first = judge.process_id
    monkeypatch.setattr(judge_module, "PATIENCE_MS", 300)
    judge._longest_s = 0.1
    os.kill(first, signal.SIGSTOP)
    before = document.judgement
    for n in range(1000):  # and it takes nothing in
        title(document, f"Title {n}")
    assert document.judgement is before
    qtbot.waitUntil(lambda: judge.process_id not in (0, first), timeout=LONG)
    idle(qtbot, judge)
    right(document)


def _ended(number: int) -> bool:
    state = Path(f"/proc/{number}/stat")
    return not state.exists()


@pytest.mark.parametrize(
    "moment", ["start", "ready", "study", "idle", pytest.param("again", marks=pytest.mark.says_in_log)]
)
def test_closing_leaves_nothing_behind_at_any_moment(qtbot: Any, document: Document, moment: str) -> None:
    judge = Judge()
    document.take_judge(judge)
    number = judge.process_id
    if moment == "ready":
        qtbot.waitUntil(lambda: judge._ready, timeout=LONG)
    elif moment == "study":
        with qtbot.waitSignal(judge.judged, timeout=LONG):
            pass
    elif moment in ("idle", "again"):
        idle(qtbot, judge)
    if moment == "again":
        judge._drop()
    judge.close()
    judge.close()
    if sys.platform == "linux":
        assert number
        assert _ended(number)
    assert not judge._is_busy
    title(document, "Nobody listens")  # and nothing happens
    document.set_condition("")
    judge.open(document.snapshot(), 0)
    assert judge.process_id == 0


def test_a_judge_that_was_never_asked_closes() -> None:
    Judge().close()


def test_an_empty_drawing_and_one_that_loses_its_sheets(qtbot: Any, judge: Judge) -> None:
    document = Document(Installation())
    document.take_judge(judge)
    idle(qtbot, judge)
    right(document)
    assert document.pictures == {}
