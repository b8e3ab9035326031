"""What the tests of the page of notes share: the ketch, judged in this process, and the page on it."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.judgement import Judgement
from app.window.document import Document
from app.window.notes import NotesPage
from engine.check import check
from engine.files.drawing import load

KETCH = Path(__file__).parents[4] / "samples" / "ketch" / "ketch.linewright"
QUICK = (
    "bypass-unprotected",
    "duplicate-designation",
    "equipment-over-protected",
    "far-end-unprotected",
    "far-from-source",
    "needless-waiver",
    "no-protection",
    "rated-below-voltage",
    "rating-above-ampacity",
    "sources-meet",
    "unconnected",
    "voltage-mismatch",
)
TODAY = datetime.date(2026, 11, 27)


@pytest.fixture
def judge() -> Callable[[Document], None]:
    """Has a drawing judged here and now."""

    def judged(document: Document) -> None:
        # what the page does with remarks does not depend on how many rules there are: those that solve nothing
        result = check(document.snapshot(), only=QUICK, today=TODAY)
        sheet = next(iter(document.sheets()), "")
        numbers = {f.key: n for n, f in enumerate(result.findings, 1)}
        document._judged(Judgement(0, result, numbers, {f.key: sheet for f in result.findings}))

    return judged


@pytest.fixture
def ketch(judge: Callable[[Document], None]) -> Document:
    document = Document(load(KETCH).installation, KETCH)
    judge(document)
    return document


@pytest.fixture
def page(qtbot: QtBot, ketch: Document) -> NotesPage:
    made = NotesPage(ketch)
    made.today = _today
    qtbot.addWidget(made)
    made.resize(340, 900)
    made.show()
    qtbot.waitExposed(made)
    return made


def _today() -> datetime.date:
    return TODAY
