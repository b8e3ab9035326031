"""The page that tells why nothing is said: from a key to every rule's word on a piece. A real study process."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

pytestmark = pytest.mark.qt
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

from PySide6.QtCore import Qt, QUrl  # noqa: E402
from pytestqt.qtbot import QtBot  # noqa: E402

from app.window.main import Window  # noqa: E402
from app.window.start import Desk  # noqa: E402
from engine.edits import SetFields  # noqa: E402
from engine.files.drawing import save  # noqa: E402
from engine.rules.example_parts import boat as drawn  # noqa: E402
from engine.rules.example_parts import cable  # noqa: E402

LONG = 30_000  # ms: a process starts on a busy machine
Shown = Callable[[Window | None], Window]


@pytest.fixture
def boat(tmp_path: Path) -> Path:
    """A lamp behind a fuse that suits its conductors."""
    b = drawn()
    b.add("battery_bank", "G1", unit_v=12, unit_ah=100)
    b.add("fuse", "F1", rating_a=45, rated_dc_v=32)
    b.add("load", "E1", dc_v=12, power_w=60)
    cable(b, "W1", "G1.pos", "F1.in", "10 AWG", 4)
    cable(b, "W2", "F1.out", "E1.in", "10 AWG", 80)
    path = tmp_path / "sandling.linewright"
    save(b.installation, path)
    return path


def test_one_key_tells_why_nothing_is_said(judging_desk: Desk, shown: Shown, boat: Path, qtbot: QtBot) -> None:
    window = shown(judging_desk.open_path(boat))
    ((_table, run),) = window.document.installation.find("W2")
    ((_table, fuse),) = window.document.installation.find("F1")
    window.show_page("why")
    page = window.pages.why()
    assert page.head.text() == "Choose a run or a piece of equipment."
    window.document.select(run)
    qtbot.waitUntil(lambda: page.told is not None, timeout=LONG)
    assert "passed" in page.head.text()
    # 45 A behind 10 AWG: 60 A, 150 % of it behind one device
    assert "50 % left rating-above-ampacity: feed 45 A, at most 90 A (allowed):" in page.whole.toPlainText()
    assert "It looks at buses" not in page.whole.toPlainText()
    page.away.setChecked(True)
    assert "It looks at buses; not at W2 (run)." in page.whole.toPlainText()
    # it follows the selection, and what is edited
    window.document.select(fuse)
    qtbot.waitUntil(lambda: page.told is not None and page.told.items == (fuse,), timeout=LONG)
    window.document.select(run)
    qtbot.waitUntil(lambda: page.told is not None and page.told.items == (run,), timeout=LONG)
    window.document.do(SetFields("equipment", fuse, (("rating_a", 90.0),)))
    qtbot.waitUntil(lambda: "0 % left rating-above-ampacity: feed 90 A" in page.whole.toPlainText(), timeout=LONG)
    # a rule's name leads to its page
    page.whole.anchorClicked.emit(QUrl("rating-above-ampacity"))
    assert window.page == "rules"
    assert window.pages.rules().slug == "rating-above-ampacity"


def test_a_key_shows_and_hides_it_and_without_a_process_it_says_so(
    desk: Desk, shown: Shown, boat: Path, qtbot: QtBot
) -> None:
    window = shown(desk.open_path(boat))
    ((_table, run),) = window.document.installation.find("W2")
    window.document.select(run)
    window.board.setFocus()
    qtbot.waitUntil(window.board.hasFocus)
    qtbot.keyClick(window.board, Qt.Key.Key_F7, Qt.KeyboardModifier.ShiftModifier)
    assert window.page == "why"
    page = window.pages.why()
    assert page.head.text() == "What rules say cannot be worked out: there is no study process."
    assert page.whole.accessibleName()
    assert page.away.accessibleName()
