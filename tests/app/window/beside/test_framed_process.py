"""A process beside the window that cannot be started, or ends by itself, is told of once and in words."""

from __future__ import annotations

import sys
from typing import Any

import pytest
from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.frames import framed
from app.window.beside.framed import FramedProcess

pytestmark = pytest.mark.qt


class Echo(FramedProcess):
    def __init__(self, parent: QObject, module: str) -> None:
        super().__init__(parent, module, "testing")
        self.heard: list[bytes] = []
        self.whys: list[str] = []

    def hear(self, body: bytes) -> None:
        self.heard.append(body)

    def fail(self, why: str) -> None:
        self.whys.append(why)
        self.end()


def test_one_that_cannot_be_started_is_told_once_it_is_all_there(
    qtbot: QtBot, qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    made = Echo(qapp, "app.merging.process")
    qtbot.waitUntil(lambda: len(made.whys) == 1)
    assert made.whys == ["no second process could be started"]
    assert made.is_over


@pytest.mark.says_in_log
def test_one_that_ends_by_itself_is_told(qtbot: QtBot, qapp: QApplication, caplog: Any) -> None:
    made = Echo(qapp, "app.merging.process")
    made.tell(framed(b"nonsense"))
    qtbot.waitUntil(lambda: len(made.whys) == 1, timeout=20_000)
    assert made.whys == ["the process that works it out ended"]
    assert made.heard == []
