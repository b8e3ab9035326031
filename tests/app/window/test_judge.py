"""The study process as the window knows it: real processes, real drawings."""

from __future__ import annotations

import logging
import os
import signal
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

pytestmark = pytest.mark.qt
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

from app.judgement import Judgement, LiveParts, SheetPicture  # noqa: E402
from app.window.document import Document  # noqa: E402
from app.window.judge import Judge  # noqa: E402
from engine.check import check  # noqa: E402
from engine.edits import Put, SetFields  # noqa: E402
from engine.files.drawing import load  # noqa: E402

LAUNCH = Path(__file__).parents[3] / "samples/launch/launch.linewright"
LONG = 20_000  # ms: a process starts on a busy machine


@pytest.fixture
def document() -> Document:
    return Document(load(LAUNCH).installation)


@pytest.fixture
def judge(document: Document) -> Iterator[Judge]:
    made = Judge()
    yield made
    made.close()
    assert not made.process_id


def idle(qtbot, judge: Judge) -> None:
    qtbot.waitUntil(lambda: not judge._is_busy, timeout=LONG)


def test_a_drawing_is_judged_drawn_and_lit(qtbot, document: Document, judge: Judge) -> None:
    document.take_judge(judge)
    idle(qtbot, judge)
    assert document.judgement is not None
    assert document.judgement.result == check(document.snapshot())
    assert set(document.pictures) == set(document.sheets())
    assert document.live is not None
    assert document.live.live
